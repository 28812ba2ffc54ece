//! `panelwright surround`: what parts around the small driver do to its sound.

use super::predict::bullets;
use crate::args;
use crate::case::DriverCase;
use crate::cautions::CAUTIONS;
use crate::commands;
use crate::failure::Failure;
use crate::results::ResultsFolder;
use crate::surround_results::{self, Computed};
use crate::terminal::{self, ProgressView};
use panelwright_solver::listening::SurroundFindings;
use panelwright_solver::surrounds::{CompareError, Comparison, compare, outlook, surround_findings};
use std::time::Instant;
use sysinfo::{MemoryRefreshKind, RefreshKind, System};

/// Compares the surrounds of the case and writes the results folder.
///
/// # Errors
/// When the case is wrong, a surround cannot be computed, or the results cannot be written.
pub fn run(options: &args::Surround) -> Result<(), Failure> {
    let case = commands::load_driver(&options.case)?;
    let folder = ResultsFolder::prepare(
        &options.into.clone().unwrap_or_else(|| commands::beside(&options.case, "surrounds")),
    )?;
    announce(&case)?;
    let begun = Instant::now();
    let comparison = watched(&case)?;
    let findings = surround_findings(&case.scene, &comparison);
    let seconds = begun.elapsed().as_secs_f64();
    let computed = Computed { case: &case, comparison: &comparison, findings: &findings, seconds };
    surround_results::write(&folder, &computed)?;
    match options.json {
        true => terminal::print(&serde_json::to_string(&findings).map_err(Failure::ours)?),
        false => terminal::print(&words(&findings, &folder, seconds)),
    }
    Ok(())
}

/// Says what the comparison takes, and refuses what does not fit into the memory.
fn announce(case: &DriverCase) -> Result<(), Failure> {
    let outlooks = outlook(&case.scene).map_err(refused)?;
    let Some(largest) = outlooks.iter().max_by(|a, b| a.bytes.total_cmp(&b.bytes)) else { return Ok(()) };
    let memory = |bytes: f64| format!("{:.1} GB", bytes / 1e9);
    terminal::complain(&format!(
        "{} surrounds at {} frequencies; the largest, \"{}\", has {} elements and takes about {}.",
        outlooks.len(),
        case.scene.frequencies.len(),
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

fn watched(case: &DriverCase) -> Result<Comparison, Failure> {
    let view = ProgressView::new();
    let comparison = compare(&case.scene, case.panel.as_ref(), &|progress| view.show(progress));
    view.finish();
    comparison.map_err(refused)
}

fn refused(error: CompareError) -> Failure {
    match error {
        CompareError::Disc(plate) | CompareError::Panel(plate) => Failure::from(plate),
        CompareError::NoFrequency => Failure::input(error, "Widen `from` and `to` of the [driver] table."),
        CompareError::Shape { .. } => Failure::input(error, "Change the measures of that [[surround]]."),
        CompareError::Sound { .. } => {
            Failure::input(error, "Look at its shape with `panelwright check`, or ask for a lower `to`.")
        }
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
