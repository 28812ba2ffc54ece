//! What moves the air.

use crate::case::build::keys::{Belongings, all_needed, below, idle, missing, needed, strangers};
use crate::case::build::makeup;
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_solver::scene::{Diaphragm, DiaphragmForm, PlateSection, RingMass};

/// What belongs to which diaphragm.
const OWN: &Belongings = &[
    ("cone_depth", &["cone"]),
    ("dome_height", &["dome"]),
    ("ring_inner_diameter", &["ring"]),
    ("coil_diameter", &["ring", "bending disc"]),
    ("disc", &["bending disc"]),
];

/// The diaphragm.
pub fn build(driver: &Section, problems: &mut Vec<Problem>) -> Option<Diaphragm> {
    if driver.mentions("ball_diameter") {
        return cap(driver, problems);
    }
    if driver.unreadable("diaphragm") {
        return None;
    }
    let word = driver.text("diaphragm")?;
    let owned = strangers(driver, (&format!("diaphragm = \"{word}\""), word), OWN, problems);
    let radius = 0.5 * driver.number("diaphragm_diameter")?;
    let form = match word {
        "cone" => DiaphragmForm::Cone { depth: needed(driver, "cone_depth", problems)? },
        "dome" => dome(driver, radius, problems)?,
        "ring" => ring(driver, radius, problems)?,
        "bending disc" => bending(driver, radius, problems)?,
        _ => DiaphragmForm::Flat,
    };
    owned.map(|()| Diaphragm { radius, form })
}

/// Of a ball; one that is too large for it is told where the housing is built.
fn cap(driver: &Section, problems: &mut Vec<Problem>) -> Option<Diaphragm> {
    let reason = "`ball_diameter` says that the diaphragm is a cap of the ball";
    let keys = OWN.iter().map(|(key, _)| *key).chain(["diaphragm"]);
    let said: Vec<_> = keys.map(|key| idle(driver, key, reason, problems)).collect();
    let [radius, ball] = ["diaphragm_diameter", "ball_diameter"].map(|key| driver.number(key));
    let (radius, ball) = (0.5 * radius?, 0.5 * ball?);
    (radius < ball && said.iter().all(Option::is_some)).then(|| Diaphragm::cap(radius, ball))
}

fn dome(driver: &Section, radius: f64, problems: &mut Vec<Problem>) -> Option<DiaphragmForm> {
    let height = needed(driver, "dome_height", problems)?;
    let why = "a dome is half a ball at most, as high as half its diameter";
    below(driver, "dome_height", radius * (1.0 + 1e-9), why, problems)?;
    Some(DiaphragmForm::Dome { height })
}

fn ring(driver: &Section, radius: f64, problems: &mut Vec<Problem>) -> Option<DiaphragmForm> {
    let [inner, coil] = all_needed(driver, ["ring_inner_diameter", "coil_diameter"], problems)?;
    let out = below(driver, "coil_diameter", 2.0 * radius, "the coil pushes within the diaphragm", problems);
    below(driver, "ring_inner_diameter", coil, "the ring moves outside its middle, at the coil", problems)
        .and(out)?;
    Some(DiaphragmForm::Ring { inner_radius: 0.5 * inner, coil_radius: 0.5 * coil })
}

fn bending(driver: &Section, radius: f64, problems: &mut Vec<Problem>) -> Option<DiaphragmForm> {
    let coil = needed(driver, "coil_diameter", problems);
    if !driver.mentions("disc") {
        problems.push(missing(driver, "disc"));
    }
    let disc = driver.table("disc")?;
    let (section, masses) = (plate(disc, problems), masses(disc, radius, problems));
    below(driver, "coil_diameter", 2.0 * radius, "the coil pushes within the diaphragm", problems)?;
    Some(DiaphragmForm::BendingDisc { section: section?, coil_radius: 0.5 * coil?, masses: masses? })
}

/// Described as the panel is.
fn plate(disc: &Section, problems: &mut Vec<Problem>) -> Option<PlateSection> {
    let (_, mut section) = makeup::build(disc, problems)?;
    if let Some(loss) = disc.curve("loss_factor") {
        section.shear_loss = loss.clone();
        section.bending_loss = loss;
    }
    Some(section)
}

fn masses(disc: &Section, radius: f64, problems: &mut Vec<Problem>) -> Option<Vec<RingMass>> {
    let mut ring = |section: &Section| {
        let mass = RingMass { radius: 0.5 * section.number("diameter")?, mass: section.number("mass")? };
        let least = 2.0 * radius * (1.0 + 1e-9);
        below(section, "diameter", least, "it must lie on the disc", problems)?;
        Some(mass)
    };
    let rings: Vec<_> = disc.tables("mass")?.iter().map(&mut ring).collect();
    rings.into_iter().collect()
}
