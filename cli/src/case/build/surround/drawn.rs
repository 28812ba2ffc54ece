//! What can be drawn of a driver and its surrounds, sound or not.

use super::{clear, form, part};
use crate::case::build::driver::Sited;
use crate::case::build::names;
use crate::case::problem::Problem;
use crate::case::section::Section;
use nalgebra::Vector3;
use panelwright_mesh::Surface;
use panelwright_solver::driver::{Assembly, SURROUND};
use panelwright_solver::scene::{Behind, Surround, SurroundForm};
use std::path::Path;

/// Elements across the diaphragm's radius of a sound body.
const ACROSS: f64 = 6.0;
/// Places that are marked at most.
const MARKS: usize = 8;

/// The driver with one surround, as far as it can be drawn; places [m] count from the middle of the driver's front.
pub struct BodySketch {
    /// Name of the surround.
    pub name: String,
    /// Housing, diaphragm and surround by patch.
    pub surface: Surface,
    /// Where it is at fault.
    pub marks: Vec<[f64; 3]>,
    /// Sides at which the surface ends or too many triangles meet.
    pub sides: Vec<[[f64; 3]; 2]>,
    /// What is wrong, in a sentence.
    pub fault: Option<String>,
    /// z of the panel's or the plane's front, if there is one.
    pub behind: Option<f64>,
}

/// What is wrong and where.
#[derive(Default)]
struct Wrong {
    sentence: Option<String>,
    marks: Vec<Vector3<f64>>,
}

/// Every surround of a driver round it; the bare driver where there is none.
pub fn sketch((case, driver): (&Section, &Section), sited: &Sited, folder: &Path) -> Vec<BodySketch> {
    let sections = super::around(case, driver).unwrap_or_default();
    let names = names(&sections, "surround", &mut vec![]);
    match sections.is_empty() {
        true => vec![drawn(None, "bare driver".into(), sited, folder)],
        false => sections
            .iter()
            .zip(names)
            .map(|(section, name)| drawn(Some(section), name, sited, folder))
            .collect(),
    }
}

fn drawn(section: Option<&Section>, name: String, sited: &Sited, folder: &Path) -> BodySketch {
    let bare = (Some(SurroundForm::Bare), Surface::default(), Wrong::default());
    let (form, alone, mut wrong) = section.map_or(bare, |section| looked_at(section, sited, folder));
    let surround = form.map(|form| Surround { name: name.clone(), form, absorption: 0.0 });
    let fault = surround.as_ref().and_then(|surround| {
        Assembly::new(&sited.driver, surround, &sited.behind).err().filter(|_| wrong.marks.is_empty())
    });
    if let Some(fault) = fault {
        wrong.marks.extend(fault.from_front(sited.driver.place));
        wrong.sentence.get_or_insert_with(|| fault.to_string());
    }
    let surface = surround.and_then(|surround| whole(&surround, sited));
    let surface = surface.unwrap_or_else(|| beside(&alone, sited));
    BodySketch {
        name,
        sides: loose_sides(&surface),
        surface,
        marks: wrong.marks.into_iter().take(MARKS).map(<[f64; 3]>::from).collect(),
        fault: wrong.sentence,
        behind: (sited.behind != Behind::Nothing).then_some(-sited.driver.place[2]),
    }
}

/// The surround by itself with what is wrong about it.
fn looked_at(section: &Section, sited: &Sited, folder: &Path) -> (Option<SurroundForm>, Surface, Wrong) {
    let mut problems = vec![];
    let (form, surface, mut marks) = match section.mentions("file") {
        true => match part::looked_at(section, folder, &mut problems) {
            Some((surface, wrong)) => {
                let file = section.text("file").unwrap_or_default().to_owned();
                let marks: Vec<_> = wrong.iter().filter_map(|fault| fault.at()).collect();
                (Some(SurroundForm::Part { surface: surface.clone(), file }), surface, marks)
            }
            None => (None, Surface::default(), vec![]),
        },
        false => {
            let word = section.text("shape").unwrap_or_default();
            let formed = form::build(section, word, Some(&sited.driver), &mut problems);
            let (form, surface) = formed.unzip();
            (form, surface.flatten().unwrap_or_default(), vec![])
        }
    };
    if let Some(form) = form.as_ref().filter(|_| marks.is_empty())
        && let Some((problem, at)) = clear::met(section, (form, &surface), sited)
    {
        problems.push(problem);
        marks.push(at);
    }
    let wrong = |problem: &&Problem| problem.severity == miette::Severity::Error;
    let sentence = problems.iter().find(wrong).map(|problem| problem.message.clone());
    let unclear = || form.is_none().then(|| "its keys are not understood: see the messages".to_owned());
    let sentence = sentence.or_else(unclear);
    (form, surface, Wrong { sentence, marks })
}

/// All bodies about the middle of the driver's front, crossing or not; nothing when one of them cannot be built by itself.
fn whole(surround: &Surround, sited: &Sited) -> Option<Surface> {
    let assembly = Assembly::unjudged(&sited.driver, surround).ok()?;
    let curved = assembly.meshed(sited.driver.diaphragm.radius / ACROSS, [false; 2]).ok()?;
    Some(Surface {
        points: curved.points.iter().map(|point| point - Vector3::z() * sited.driver.place[2]).collect(),
        triangles: curved.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect(),
        patches: curved.patches,
    })
}

/// The housing with a surround that it may not go with.
fn beside(surround: &Surface, sited: &Sited) -> Surface {
    let patches = vec![SURROUND; surround.triangles.len()];
    let surround = Surface { patches, ..surround.clone() };
    clear::housing(&sited.driver).unwrap_or_default().joined(&surround)
}

fn loose_sides(surface: &Surface) -> Vec<[[f64; 3]; 2]> {
    let mut sides: Vec<_> =
        surface.edges().into_iter().filter(|(_, users)| users.len() != 2).map(|(ends, _)| ends).collect();
    sides.sort_unstable();
    sides.into_iter().map(|ends| ends.map(|end| surface.points[end as usize].into())).collect()
}
