//! `[driver]` → the small driver and what is behind it.

mod diaphragm;
mod feed;
mod housing;
mod motor;
mod site;

pub use site::LEAST_AIR;

use super::keys::below;
use super::names;
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::Outline;
use panelwright_solver::air::Air;
use panelwright_solver::scene::{
    Behind, Channel, Diaphragm, DiaphragmForm, Housing, HousingBack, SmallDriver,
};

/// A driver in its place.
pub struct Sited {
    /// The driver.
    pub driver: SmallDriver,
    /// What is behind it.
    pub behind: Behind,
    /// False when the housing touches or cuts into that, which is an error already.
    pub clear: bool,
    /// What feeds it.
    pub channel: Channel,
}

/// Word that stands for the panel where parts are named.
pub const PANEL: &str = "panel";

/// The driver of a section; `None` if `problems` holds an error about it. `outline` is the panel's.
pub fn build(
    (case, section): (&Section, &Section),
    outline: Option<&Outline>,
    air: &Air,
    problems: &mut Vec<Problem>,
) -> Option<Sited> {
    let diaphragm = diaphragm::build(section, problems);
    let housing = housing::build(section, problems);
    let motor = motor::build(section, diaphragm.as_ref(), air, problems);
    let channel = feed::build(case, section, problems);
    let site = site::build(case, section, (outline, housing.as_ref()), problems);
    let (diaphragm, housing) = (diaphragm?, housing?);
    fit(section, &diaphragm, &housing, problems)?;
    let (site, channel) = (site?, channel?);
    let driver = SmallDriver {
        name: section.text("name")?.to_owned(),
        place: site.place,
        motor: motor?,
        diaphragm,
        housing,
        voltage: channel.voltage,
        source_resistance: channel.source_resistance,
    };
    Some(Sited { driver, behind: site.behind, clear: site.clear, channel })
}

/// Names that are taken twice, channels that feed two drivers, and, near a panel, housings that stand in each other. Without a panel each driver is
/// looked at alone and all may be in the same place.
pub fn together(
    case: &Section,
    sections: &[Section],
    sited: &[Option<Sited>],
    problems: &mut Vec<Problem>,
) -> Option<()> {
    let before = problems.len();
    names(sections, "driver", problems);
    for (i, section) in sections.iter().enumerate() {
        if section.text("name") == Some(PANEL) {
            let problem = Problem::error(section.place("name"), "a driver cannot be called \"panel\"");
            problems.push(problem.because("that is the panel").instead("give it another name"));
        }
        let channel = section.text("channel");
        if channel.is_some() && sections[..i].iter().any(|other| other.text("channel") == channel) {
            let problem =
                Problem::error(section.place("channel"), "this channel feeds another driver already");
            problems.push(problem.because("twice").instead("give every driver a channel of its own"));
        }
        let Some(one) = &sited[i] else { continue };
        let others = sited[..i].iter().flatten().filter(|_| case.mentions("panel"));
        if let Some(other) = others.into_iter().find(|other| one.driver.meets(&other.driver)) {
            let message = format!("“{}” stands in “{}”", one.driver.name, other.driver.name);
            let problem = Problem::error(section.place("position"), message);
            problems.push(problem.because("their housings meet").instead("move one of them"));
        }
    }
    (problems.len() == before).then_some(())
}

/// The diaphragm must find room in the housing.
fn fit(
    section: &Section,
    diaphragm: &Diaphragm,
    housing: &Housing,
    problems: &mut Vec<Problem>,
) -> Option<()> {
    let [x, y] = housing.front.half_extents();
    let room = x.min(y) - diaphragm.radius;
    let wide = "it must be smaller than the housing";
    below(section, "diaphragm_diameter", 2.0 * x.min(y), wide, problems)?;
    let round = "with it the housing's front has no room for the diaphragm";
    let rounded = below(section, "housing_rounding", room, round, problems);
    let deep = match diaphragm.form {
        DiaphragmForm::Cone { .. } => {
            let why = "its apex would pierce the housing's back";
            below(section, "cone_depth", housing.depth, why, problems)
        }
        _ => Some(()),
    };
    let walled = match housing.back {
        HousingBack::Open { .. } => {
            let why = "the tube's inside must be wider than the diaphragm";
            below(section, "housing_wall", room, why, problems)
        }
        HousingBack::Sealed { .. } => Some(()),
    };
    rounded.and(deep).and(walled)
}
