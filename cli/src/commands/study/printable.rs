//! The surrounds of the best variants, for a printer.

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
    if !study.parameters.iter().any(|parameter| parameter.slot.path.starts_with("surround.")) {
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
        Loaded::Panel(case) => case.driver,
        Loaded::Driver(case) => Some(case.scene),
    }
}
