//! Sections → scene, with the checks that concern more than one key.
//!
//! A part that misses something it needs becomes `None`; the others are built and checked all the same, so that every
//! problem of a file is found.

mod attachments;
mod back;
mod drive;
mod edges;
mod exciters;
mod faults;
mod listening;
mod makeup;
mod outline;
mod panel;
mod series;
mod solid;
mod spread;
mod supports;

pub use makeup::{Makeup, Ply};
pub use outline::{Sketch, sketch};
pub use panel::MaterialInUse;

use super::problem::Problem;
use super::section::Section;
use attachments::Bare;
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::scene::{Floor, Receivers, Scene};
use std::collections::BTreeMap;
use std::path::Path;

/// Builds the scene; `None` only if `problems` holds at least one error.
///
/// Drawings are looked for in `folder`.
pub fn scene(case: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<(Scene, MaterialInUse)> {
    let panel = case.table("panel");
    let outline = panel.and_then(|section| outline::build(section, folder, problems));
    let built = panel.and_then(|section| panel::build(section, outline.as_ref(), problems));
    let bare = built.as_ref().map(|b| Bare { outline: &b.panel.outline, section: &b.panel.section });
    let fixed = bare.and_then(|bare| attachments::build(case, &bare, problems));
    let exciters = exciters::build(case, outline.as_ref(), problems);
    let channels = drive::channels(case, exciters.as_deref(), problems);
    let room = case.table_or_defaults("room");
    let receivers = receivers(case, &room, outline.as_ref(), problems);
    let frequencies = series::build(&case.table_or_defaults("range"), problems);
    let (built, (attachments, hangs)) = (built?, fixed?);
    let mut supports = built.supports;
    supports.join(hangs);
    let material = built.material;
    let spread =
        spread::build(&case.table_or_defaults("spread"), &material.makeup, material.own_loss, supports);
    let scene = Scene {
        title: case.text("title")?.to_owned(),
        panel: built.panel,
        attachments,
        exciters: exciters?,
        channels: channels?,
        air: air(&room)?,
        receivers: receivers?,
        spread: spread?,
        frequencies: frequencies?,
    };
    Some((scene, material))
}

fn receivers(
    case: &Section,
    room: &Section,
    outline: Option<&Outline>,
    problems: &mut Vec<Problem>,
) -> Option<Receivers> {
    let seats = listening::seats(case, outline, problems);
    let map = listening::map(&case.table_or_defaults("map"), outline, problems);
    let arc = listening::arc(&case.table_or_defaults("polar"));
    let reflection = room.number("floor_reflection")?;
    let floor = room.number("floor").map(|below| Floor { y: -below, reflection });
    Some(Receivers { seats: seats?, map: map?, arc: arc?, floor })
}

fn air(room: &Section) -> Option<Air> {
    Some(Air::new(room.number("temperature")?, room.number("humidity")?, room.number("pressure")?))
}

/// Names of repeated tables: as given, else "`noun` 1", "`noun` 2" …; a name used twice is a problem.
fn names(sections: &[Section], noun: &str, problems: &mut Vec<Problem>) -> Vec<String> {
    let numbered =
        |(i, s): (usize, &Section)| s.text("name").map_or_else(|| format!("{noun} {}", i + 1), str::to_owned);
    let names: Vec<_> = sections.iter().enumerate().map(numbered).collect();
    let mut first = BTreeMap::new();
    for (i, name) in names.iter().enumerate() {
        if let Some(earlier) = first.get(name).copied() {
            let message = format!("two {noun}s are called \"{name}\"");
            let label = format!("{noun} {} has this name, too", earlier + 1);
            let help = format!("give each {noun} its own name");
            problems.push(Problem::error(sections[i].place("name"), message).because(label).instead(help));
        } else {
            first.insert(name, i);
        }
    }
    names
}

/// A length for messages: mm below one metre.
fn millimetres(metres: f64) -> String {
    super::quantity::LENGTH.show((metres * 1e4).round() / 1e4, "mm")
}

/// A length for messages, to a hundredth of a millimetre.
fn millimetres_fine(metres: f64) -> String {
    super::quantity::LENGTH.show((metres * 1e5).round() / 1e5, "mm")
}
