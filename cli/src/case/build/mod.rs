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

pub use driver::PANEL;
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
    /// The drivers' scenes, and what feeds them.
    pub drivers: Vec<FedDriver>,
    /// What was measured of panel and driver.
    pub measured: Option<Vec<Measured>>,
}

/// Builds everything; what a case has is `None` only if `problems` holds at least one error.
///
/// Drawings and parts are looked for in `folder`.
pub fn contents(case: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Contents {
    let outline = case.table("panel").and_then(|section| outline::build(section, folder, problems));
    let room = case.table_or_defaults("room");
    let sections = case.tables("driver").unwrap_or_default();
    let mut site =
        |section| air(&room).and_then(|air| driver::build((case, section), outline.as_ref(), &air, problems));
    let sited: Vec<Option<Sited>> = sections.iter().map(&mut site).collect();
    driver::together(case, sections, &sited, problems);
    surround::strays(case, problems);
    let origin = match case.mentions("panel") {
        true => outline.as_ref().map(|outline| outline.centre()).map(|[x, y]| [x, y, 0.0]),
        false => sited.first().and_then(Option::as_ref).map(|sited| sited.driver.place),
    };
    let seats = listening::seats(case, origin, problems);
    let mut scene_of = |(section, sited): (&Section, Option<Sited>)| {
        // Without a panel every driver is alone, and seats are measured from its own front.
        let moved = match (case.mentions("panel"), origin, &sited) {
            (false, Some(from), Some(sited)) => [0, 1, 2].map(|i| sited.driver.place[i] - from[i]),
            _ => [0.0; 3],
        };
        let seats = seats.as_ref().map(|seats| seats.iter().map(|seat| seat_moved(seat, moved)).collect());
        driver_scene((case, section), (sited, seats), folder, problems)
    };
    let drivers: Vec<Option<FedDriver>> = sections.iter().zip(sited).map(&mut scene_of).collect();
    let drivers = drivers.into_iter().collect::<Option<Vec<_>>>().unwrap_or_default();
    let panel = case.mentions("panel").then(|| scene(case, outline.as_ref(), seats, problems)).flatten();
    if !case.mentions("panel") && case.mentions("driver") {
        belong_to_a_panel(case, problems);
    }
    let places = panel.as_ref().and_then(|(scene, _)| place::build(case, scene, problems));
    let parts = (panel.as_ref().map(|(scene, _)| scene), drivers.as_slice());
    let measured = measured::build(case, parts, folder, problems);
    Contents { panel, places, drivers, measured }
}

/// What can be drawn of the driver and its surrounds; nothing when the driver itself is not understood.
pub fn body_sketches(case: &Section, folder: &Path) -> Vec<BodySketch> {
    let mut unheard = vec![];
    let outline = case.table("panel").and_then(|section| outline::build(section, folder, &mut unheard));
    let air = air(&case.table_or_defaults("room"));
    let sketches = case.tables("driver").into_iter().flatten().filter_map(|section| {
        let sited = driver::build((case, section), outline.as_ref(), &air?, &mut unheard)?;
        Some(surround::sketch((case, section), &sited, folder))
    });
    sketches.flatten().collect()
}

fn seat_moved(seat: &Seat, by: [f64; 3]) -> Seat {
    Seat { name: seat.name.clone(), position: [0, 1, 2].map(|i| seat.position[i] + by[i]) }
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
    (case, section): (&Section, &Section),
    (sited, seats): (Option<Sited>, Option<Vec<Seat>>),
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<FedDriver> {
    let surrounds = surround::build((case, section), sited.as_ref(), folder, problems);
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
    let fed = |table: &str| table == "channel" && !drive::fed(case).is_empty();
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
