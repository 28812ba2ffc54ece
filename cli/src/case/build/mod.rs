//! Sections → scene, with the checks that concern more than one key.
//!
//! A part that misses something it needs becomes `None`; the others are built and checked all the same, so that every
//! problem of a file is found.

mod attachments;
mod back;
mod drive;
mod driver;
mod edges;
mod exciters;
mod faults;
mod filters;
mod keys;
mod listening;
mod makeup;
mod measured;
mod outline;
mod panel;
mod place;
mod series;
mod solid;
mod spread;
mod supports;
mod surround;

pub use makeup::{Makeup, Ply};
pub use outline::{Sketch, sketch};
pub use panel::MaterialInUse;
pub use surround::BodySketch;

use super::problem::Problem;
use super::section::Section;
use attachments::Bare;
use driver::Sited;
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::listening::fractional_octaves;
use panelwright_solver::place::PlaceOptions;
use panelwright_solver::scene::{DriverScene, FedDriver, Floor, Measured, Receivers, Scene, Seat};
use std::collections::BTreeMap;
use std::path::Path;

/// What a case is about, as far as it could be built.
pub struct Contents {
    /// The panel's scene, and what the panel is made of.
    pub panel: Option<(Scene, MaterialInUse)>,
    /// What a search for places on the panel goes by.
    pub places: Option<PlaceOptions>,
    /// The driver's scene, and what feeds it.
    pub driver: Option<FedDriver>,
    /// What was measured of panel and driver.
    pub measured: Option<Vec<Measured>>,
}

/// Builds everything; what a case has is `None` only if `problems` holds at least one error.
///
/// Drawings and parts are looked for in `folder`.
pub fn contents(case: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Contents {
    let outline = case.table("panel").and_then(|section| outline::build(section, folder, problems));
    let room = case.table_or_defaults("room");
    let sited = air(&room).and_then(|air| driver::build(case, outline.as_ref(), &air, problems));
    let origin = match case.mentions("panel") {
        true => outline.as_ref().map(|outline| outline.centre()).map(|[x, y]| [x, y, 0.0]),
        false => sited.as_ref().map(|sited| sited.driver.place),
    };
    let seats = listening::seats(case, origin, problems);
    let driver = driver_scene(case, (sited, seats.clone()), folder, problems);
    let panel = case.mentions("panel").then(|| scene(case, outline.as_ref(), seats, problems)).flatten();
    if !case.mentions("panel") && case.mentions("driver") {
        belong_to_a_panel(case, problems);
    }
    let places = panel.as_ref().and_then(|(scene, _)| place::build(case, scene, problems));
    let parts = (panel.as_ref().map(|(scene, _)| scene), driver.as_slice());
    let measured = measured::build(case, parts, folder, problems);
    Contents { panel, places, driver, measured }
}

/// What can be drawn of the driver and its surrounds; nothing when the driver itself is not understood.
pub fn body_sketches(case: &Section, folder: &Path) -> Vec<BodySketch> {
    let mut unheard = vec![];
    let outline = case.table("panel").and_then(|section| outline::build(section, folder, &mut unheard));
    let sited = air(&case.table_or_defaults("room"))
        .and_then(|air| driver::build(case, outline.as_ref(), &air, &mut unheard));
    sited.map_or(vec![], |sited| surround::sketch(case, &sited, folder))
}

/// The panel's scene.
fn scene(
    case: &Section,
    outline: Option<&Outline>,
    seats: Option<Vec<Seat>>,
    problems: &mut Vec<Problem>,
) -> Option<(Scene, MaterialInUse)> {
    let built = case.table("panel").and_then(|section| panel::build(section, outline, problems));
    let bare = built.as_ref().map(|b| Bare { outline: &b.panel.outline, section: &b.panel.section });
    let fixed = bare.and_then(|bare| attachments::build(case, &bare, problems));
    let exciters = exciters::build(case, outline, problems);
    let channels = drive::channels(case, exciters.as_deref(), problems);
    let room = case.table_or_defaults("room");
    let receivers = receivers(case, &room, (outline, seats), problems);
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

/// The scene of a driver and its surrounds.
fn driver_scene(
    case: &Section,
    (sited, seats): (Option<Sited>, Option<Vec<Seat>>),
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<FedDriver> {
    let surrounds = surround::build(case, sited.as_ref(), folder, problems);
    let section = case.table("driver")?;
    let frequencies = series::build(section, problems)?;
    let Sited { driver, behind, channel, .. } = sited?;
    let scene = DriverScene {
        title: case.text("title")?.to_owned(),
        driver,
        behind,
        surrounds: surrounds?,
        air: air(&case.table_or_defaults("room"))?,
        seats: seats?,
        near: section.number("near")?,
        arc: listening::arc(&case.table_or_defaults("polar"))?,
        pictured: octaves(&frequencies),
        frequencies,
        elements_per_wavelength: section.number("elements_per_wavelength")?,
    };
    Some(FedDriver { scene, channel })
}

/// Octaves from 1 kHz on that the frequencies cover, to be pictured.
fn octaves(frequencies: &[f64]) -> Vec<f64> {
    let (Some(&low), Some(&high)) = (frequencies.first(), frequencies.last()) else { return vec![] };
    fractional_octaves(1, low.max(950.0), high).iter().map(|band| band.nominal).collect()
}

/// Tables that say nothing without a panel.
fn belong_to_a_panel(case: &Section, problems: &mut Vec<Problem>) {
    let tables =
        ["exciter", "channel", "hang", "mass", "patch", "bar", "map", "range", "spread", "place", "measured"];
    let fed = |table: &str| table == "channel" && drive::fed(case).is_some();
    for table in tables.into_iter().filter(|table| case.mentions(table) && !fed(table)) {
        let message = format!("`{table}` belongs to a panel, and the case has none");
        let help = match table {
            "range" => "the driver's frequencies stand in [driver]: from, to, per_octave",
            _ => "add a table [panel], or take this table out",
        };
        problems.push(Problem::error(case.place(table), message).because("no [panel]").instead(help));
    }
}

fn receivers(
    case: &Section,
    room: &Section,
    (outline, seats): (Option<&Outline>, Option<Vec<Seat>>),
    problems: &mut Vec<Problem>,
) -> Option<Receivers> {
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
