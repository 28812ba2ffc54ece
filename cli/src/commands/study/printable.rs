//! The surrounds of the best variants, or of one, for a printer.

use super::Begun;
use crate::case::{self, Loaded};
use crate::commands::surround::refused;
use crate::failure::Failure;
use crate::file_name::file_name;
use crate::results::ResultsFolder;
use crate::study::{Ranking, Study};
use crate::surround_results::printed;
use panelwright_solver::scene::DriverScene;
use panelwright_solver::surrounds::Bodies;
use std::path::PathBuf;

/// Variants whose surrounds are written.
const BEST: usize = 3;
/// What the names of their files begin with.
const STEM: &str = "best-";

/// Writes the surround of each of the best variants as an STL file; their names. None when no surround is varied, or the variant's is not made from measures.
///
/// # Errors
/// When a body cannot be made or written.
pub(super) fn write(begun: &Begun, ranking: &Ranking) -> Result<Vec<String>, Failure> {
    let study = &begun.study;
    if !varies_a_surround(study) {
        return Ok(vec![]);
    }
    let folder = ResultsFolder::prepare(begun.folder.path())?;
    // Those of an earlier ranking.
    folder.forget(|name| name.starts_with(STEM) && name.ends_with(".stl"));
    let mut names = vec![];
    for (place, ranked) in ranking.best_first.iter().take(BEST).enumerate() {
        let Some((surround, bytes)) = body(study, ranked.number)? else { continue };
        let name = format!("{STEM}{}-variant-{}-{}.stl", place + 1, ranked.number, file_name(&surround));
        folder.write_bytes(&name, &bytes)?;
        names.push(name);
    }
    Ok(names)
}

/// Writes the surround of one variant as an STL file; where it is. None in the same cases.
///
/// # Errors
/// When the body cannot be made or written.
pub(super) fn write_one(begun: &Begun, number: usize) -> Result<Option<PathBuf>, Failure> {
    if !varies_a_surround(&begun.study) {
        return Ok(None);
    }
    let Some((surround, bytes)) = body(&begun.study, number)? else { return Ok(None) };
    let name = format!("variant-{number}-{}.stl", file_name(&surround));
    ResultsFolder::prepare(begun.folder.path())?.write_bytes(&name, &bytes)?;
    Ok(Some(begun.folder.file(&name)))
}

fn varies_a_surround(study: &Study) -> bool {
    study.parameters.iter().any(|parameter| parameter.slot.path.starts_with("surround."))
}

/// Name and STL bytes of the last surround, which is the one that the variant is judged by.
fn body(study: &Study, number: usize) -> Result<Option<(String, Vec<u8>)>, Failure> {
    let Some(scene) = driver(case::parse_whole(&study.text(number), &study.path)?) else { return Ok(None) };
    let Some(last) = scene.surrounds.last() else { return Ok(None) };
    let bodies = Bodies::of(&scene).map_err(refused)?;
    for printed in printed(&bodies) {
        let (name, bytes) = printed?;
        if name == last.name {
            return Ok(Some((name.to_owned(), bytes)));
        }
    }
    Ok(None)
}

fn driver(loaded: Loaded) -> Option<DriverScene> {
    match loaded {
        Loaded::Panel(case) => case.drivers.into_iter().next().map(|fed| fed.scene),
        Loaded::Driver(case) => Some(case.scene),
    }
}
