//! `panelwright surround`: what parts around the small driver do to its sound.

use super::predict::bullets;
use super::shelf::Shelf;
use crate::args;
use crate::case::{DriverCase, quoted};
use crate::cautions::CAUTIONS;
use crate::commands;
use crate::failure::Failure;
use crate::file_name::file_name;
use crate::results::ResultsFolder;
use crate::surround_results::{self, Computed};
use crate::terminal::{self, ProgressView};
use panelwright_solver::kept::KeptWork;
use panelwright_solver::listening::SurroundFindings;
use panelwright_solver::surrounds::{Bodies, CompareError, Comparison, compare, surround_findings};
use std::path::Path;
use std::time::Instant;
use sysinfo::{MemoryRefreshKind, RefreshKind, System};

/// Compares the surrounds of every driver of the case, or of the one that is asked for, and writes a results folder each.
///
/// # Errors
/// When the case is wrong, a surround cannot be computed, or the results cannot be written.
pub fn run(options: &args::Surround) -> Result<(), Failure> {
    let case = commands::load_driver(&options.case)?;
    let all = case.each();
    let wanted = chosen(&all, options.driver.as_deref())?;
    let several = all.len() > 1;
    if several && options.json && wanted.len() > 1 {
        return Err(Failure::input(
            format!("the case has {} drivers, and JSON is printed of one", all.len()),
            "Choose one: `--driver NAME`.",
        ));
    }
    let into = options.into.clone().unwrap_or_else(|| commands::beside(&options.case, "surrounds"));
    for (i, case) in wanted.iter().enumerate() {
        let name = &case.scene.driver.name;
        if several {
            terminal::complain(&format!("Driver \"{name}\", {} of {}.", i + 1, wanted.len()));
        }
        let into = if several { into.join(file_name(name)) } else { into.clone() };
        of_driver(case, &into, options)?;
    }
    Ok(())
}

/// The driver of this name, or all.
fn chosen<'c>(all: &'c [DriverCase], name: Option<&str>) -> Result<Vec<&'c DriverCase>, Failure> {
    let Some(name) = name else { return Ok(all.iter().collect()) };
    let names: Vec<&str> = all.iter().map(|case| case.scene.driver.name.as_str()).collect();
    match all.iter().find(|case| case.scene.driver.name == name) {
        Some(case) => Ok(vec![case]),
        None => Err(Failure::input(
            format!("no driver is called \"{name}\""),
            format!("The case has {}.", quoted(&names)),
        )),
    }
}

fn of_driver(case: &DriverCase, into: &Path, options: &args::Surround) -> Result<(), Failure> {
    let folder = ResultsFolder::prepare(into)?;
    let bodies = Bodies::of(&case.scene).map_err(refused)?;
    announce(&bodies, case.scene.frequencies.len())?;
    let begun = Instant::now();
    let shelf = Shelf::open(&folder, &options.kept)?;
    let comparison = watched(case, &bodies, shelf.work())?;
    shelf.tell(comparison.solutions());
    let findings = surround_findings(&case.scene, &comparison);
    let seconds = begun.elapsed().as_secs_f64();
    let computed = Computed { case, bodies: &bodies, comparison: &comparison, findings: &findings, seconds };
    surround_results::write(&folder, &computed)?;
    match options.json {
        true => terminal::print(&serde_json::to_string(&findings).map_err(Failure::ours)?),
        false => terminal::print(&words(&findings, &folder, seconds)),
    }
    Ok(())
}

/// Says what the comparison takes, and refuses what does not fit into the memory.
fn announce(bodies: &Bodies, frequencies: usize) -> Result<(), Failure> {
    let outlooks = bodies.outlook().map_err(refused)?;
    let Some(largest) = outlooks.iter().max_by(|a, b| a.bytes.total_cmp(&b.bytes)) else { return Ok(()) };
    let memory = |bytes: f64| format!("{:.1} GB", bytes / 1e9);
    terminal::complain(&format!(
        "{} surrounds at {} frequencies; the largest, \"{}\", has {} elements and takes about {}.",
        outlooks.len(),
        frequencies,
        largest.name,
        largest.elements,
        memory(largest.bytes)
    ));
    let free =
        System::new_with_specifics(RefreshKind::nothing().with_memory(MemoryRefreshKind::everything()));
    let available = free.available_memory() as f64;
    if available > 0.0 && largest.bytes > available {
        return Err(Failure::input(
            format!(
                "\"{}\" takes about {}, and {} are free",
                largest.name,
                memory(largest.bytes),
                memory(available)
            ),
            "Ask for a lower `to` or fewer `elements_per_wavelength` in [driver]; half of either takes a quarter.",
        ));
    }
    Ok(())
}

fn watched(case: &DriverCase, bodies: &Bodies, kept: &dyn KeptWork) -> Result<Comparison, Failure> {
    let view = ProgressView::new();
    let comparison = compare(bodies, case.panel.as_ref(), kept, &|progress| view.show(progress));
    view.finish();
    comparison.map_err(refused)
}

/// A comparison that cannot be, with what to do about it.
pub(super) fn refused(error: CompareError) -> Failure {
    match error {
        CompareError::Disc(plate) | CompareError::Panel(plate) => Failure::from(plate),
        CompareError::NoFrequency => Failure::input(error, "Widen `from` and `to` of the [driver] table."),
        CompareError::Shape { .. } => Failure::input(
            error,
            "Change the measures of that [[surround]]; `panelwright check CASE --picture FILE.svg` draws it with the place marked.",
        ),
        CompareError::Sound { .. } => Failure::input(
            error,
            "Look at its shape with `panelwright check CASE --picture FILE.svg`, or ask for a lower `to`.",
        ),
    }
}

fn words(findings: &SurroundFindings, folder: &ResultsFolder, seconds: f64) -> String {
    let doubts: Vec<String> = findings.warnings.iter().map(|warning| warning.message.clone()).collect();
    let doubts = if doubts.is_empty() { String::new() } else { format!("\nDoubts\n{}", bullets(&doubts)) };
    format!(
        "Findings\n{}{doubts}\nCautions\n{}\nComputed in {seconds:.1} s. Open {}",
        bullets(&findings.summary),
        bullets(&CAUTIONS.map(String::from)),
        folder.report().display(),
    )
}
