//! `[[surround]]` → what is put around the driver.

mod clear;
mod drawn;
mod form;
mod part;

pub use drawn::{BodySketch, sketch};

use super::driver::Sited;
use super::keys::{one_of, strangers};
use super::names;
use crate::case::problem::Problem;
use crate::case::schema::quoted;
use crate::case::section::Section;
use crate::file_name::file_name;
use panelwright_mesh::Surface;
use panelwright_solver::scene::{Surround, SurroundForm};
use std::path::Path;

/// The surrounds of a driver, the one that others are compared with first; `None` if one could not be built. Files are looked for in `folder`.
pub fn build(
    (case, driver): (&Section, &Section),
    sited: Option<&Sited>,
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Surround>> {
    let sections = &around(case, driver)?[..];
    let names = names(sections, "surround", problems);
    problems.extend(of_one_file(sections, &names));
    let built: Vec<_> = sections
        .iter()
        .zip(names)
        .map(|(section, name)| surround(section, name, (sited, folder), problems))
        .collect();
    let mut surrounds = built.into_iter().collect::<Option<Vec<_>>>()?;
    if surrounds.is_empty() {
        surrounds.push(Surround { name: "bare driver".into(), form: SurroundForm::Bare, absorption: 0.0 });
    }
    // The bare driver is what everybody compares with.
    if let Some(bare) = surrounds.iter().position(|s| s.form == SurroundForm::Bare) {
        surrounds[..=bare].rotate_right(1);
    }
    Some(surrounds)
}

/// Tables of the surrounds of a driver: those that name it, and of the only driver those that name none.
fn around(case: &Section, driver: &Section) -> Option<Vec<Section>> {
    let only = case.tables("driver").is_some_and(|drivers| drivers.len() == 1);
    let own = |section: &&Section| match section.text("driver") {
        Some(name) => Some(name) == driver.text("name"),
        None => only,
    };
    Some(case.tables("surround")?.iter().filter(own).cloned().collect())
}

/// Tables of surrounds that belong to no driver.
pub fn strays(case: &Section, problems: &mut Vec<Problem>) -> Option<()> {
    let before = problems.len();
    let drivers = case.tables("driver")?;
    let names: Vec<&str> = drivers.iter().filter_map(|driver| driver.text("name")).collect();
    for section in case.tables("surround")? {
        let place = || section.place("driver");
        problems.extend(match section.text("driver") {
            Some(name) if !names.contains(&name) => {
                let problem = Problem::error(place(), format!("no driver is called \"{name}\""));
                Some(problem.because("unknown driver").instead(format!("the case has {}", quoted(&names))))
            }
            None if names.len() > 1 && !section.unreadable("driver") => {
                let problem = Problem::error(place(), "which driver is this around?").because("names none");
                Some(problem.instead(format!("add a line: driver = {}", quoted(&names))))
            }
            _ => None,
        });
    }
    (problems.len() == before).then_some(())
}

/// Names that differ only in signs or capitals would write the same files.
fn of_one_file(sections: &[Section], names: &[String]) -> Vec<Problem> {
    let problem = |(i, name): (usize, &String)| {
        let file = file_name(name);
        let twin = names[..i].iter().find(|other| file_name(other) == file && *other != name)?;
        let message = format!("\"{name}\" and \"{twin}\" differ only in signs or capitals");
        let label = format!("the files of both would be called {file}");
        let help = "let their letters or digits differ";
        Some(Problem::error(sections[i].place("name"), message).because(label).instead(help))
    };
    names.iter().enumerate().filter_map(problem).collect()
}

fn surround(
    section: &Section,
    name: String,
    (sited, folder): (Option<&Sited>, &Path),
    problems: &mut Vec<Problem>,
) -> Option<Surround> {
    let chosen = one_of(section, &["shape", "file"], problems)?;
    let (form, body) = match chosen {
        "file" => {
            strangers(section, ("a part from a `file`", "file"), form::OWN, problems)?;
            part::read(section, folder, problems)?
        }
        _ => {
            let word = section.text("shape")?;
            let owned = strangers(section, (&format!("shape = \"{word}\""), word), form::OWN, problems);
            let formed = form::build(section, word, sited.map(|s| &s.driver), problems);
            owned.and(formed)?
        }
    };
    if let Some(sited) = sited.filter(|sited| sited.clear) {
        body.map_or(Some(()), |body| clear::of_all(section, (&form, &body), sited, problems))?;
    }
    Some(Surround { name, form, absorption: section.number("absorption")? })
}

/// A surround and its surface [m] about the middle of the driver's front, as far as it is needed to judge where it reaches.
type Formed = (SurroundForm, Option<Surface>);
