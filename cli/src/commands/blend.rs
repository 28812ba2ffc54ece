//! `panelwright blend`: panel and small drivers as one source.

use super::predict::bullets;
use super::shelf::Shelf;
use crate::args;
use crate::blend_results::{self, Blend};
use crate::case::BlendCase;
use crate::cautions::CAUTIONS;
use crate::commands;
use crate::failure::Failure;
use crate::recording;
use crate::rendering::{self, Heard};
use crate::results::ResultsFolder;
use crate::terminal::{self, ProgressView};
use panelwright_solver::PredictError;
use panelwright_solver::blend::{BlendError, BlendFindings, Ensemble, blend_findings, clicks, ensemble};
use panelwright_solver::kept::KeptWork;
use panelwright_solver::surrounds::CompareError;
use std::time::Instant;

/// Computes panel and drivers, sums them, and writes the results folder.
///
/// # Errors
/// When the case is wrong, a part cannot be computed, or the results cannot be written.
pub fn run(options: &args::Blend) -> Result<(), Failure> {
    let case = commands::load_blend(&options.case)?;
    let recording = options.render.as_deref().map(recording::read).transpose()?;
    let folder = ResultsFolder::prepare(
        &options.into.clone().unwrap_or_else(|| commands::beside(&options.case, "blend")),
    )?;
    let begun = Instant::now();
    let shelf = Shelf::open(&folder, &options.kept)?;
    let ensemble = watched(&case, shelf.work())?;
    shelf.tell(ensemble.solutions);
    let parts = begun.elapsed().as_secs_f64();
    let findings = blend_findings(&ensemble);
    let seconds = begun.elapsed().as_secs_f64();
    let found = &findings;
    let heard = recording.map_or(Ok(vec![]), |recording| {
        rendering::write(&folder, &recording, &clicks(&ensemble, found, f64::from(recording.sample_rate)))
    })?;
    blend_results::write(&folder, &Blend { case: &case, findings: found, heard: &heard, seconds })?;
    match options.json {
        true => terminal::print(&serde_json::to_string(found).map_err(Failure::ours)?),
        false => terminal::print(&words(found, &heard, &folder, [parts, seconds - parts])),
    }
    Ok(())
}

fn watched(case: &BlendCase, kept: &dyn KeptWork) -> Result<Ensemble, Failure> {
    let view = ProgressView::new();
    let found = ensemble(&case.scene, kept, &|progress| view.show(progress));
    view.finish();
    found.map_err(refused)
}

/// What stands in the way of panel and driver together, and what to do about it.
pub(super) fn refused(error: BlendError) -> Failure {
    match error {
        BlendError::Panel(PredictError::NoExciter) => Failure::input(
            "the case has no exciter, so nothing moves the panel",
            "Add an [[exciter]] table, or run `panelwright surround` for the driver alone.",
        ),
        BlendError::Panel(PredictError::Plate(plate))
        | BlendError::Driver(CompareError::Disc(plate) | CompareError::Panel(plate)) => Failure::from(plate),
        BlendError::Panel(error @ PredictError::NoFrequency) => {
            Failure::input(error, "Widen the [range] of the case.")
        }
        BlendError::Driver(error) => {
            Failure::input(error, "Run `panelwright surround` on this case: it looks at the driver alone.")
        }
        error @ BlendError::NothingInCommon => {
            Failure::input(error, "Both ranges end where their `from` and `to` say.")
        }
    }
}

fn words(
    findings: &BlendFindings,
    heard: &[Heard],
    folder: &ResultsFolder,
    [parts, sums]: [f64; 2],
) -> String {
    let doubts: Vec<String> = findings.warnings.iter().map(|warning| warning.message.clone()).collect();
    let doubts = if doubts.is_empty() { String::new() } else { format!("\nDoubts\n{}", bullets(&doubts)) };
    let listen = match heard {
        [] => String::new(),
        _ => format!("\nTo hear\n{}", bullets(&[rendering::words(heard, &findings.frequencies)])),
    };
    format!(
        "Findings\n{}{doubts}{listen}\nCautions\n{}\nParts computed in {parts:.1} s, blended and searched in {sums:.1} s. Open {}",
        bullets(&findings.summary),
        bullets(&CAUTIONS.map(String::from)),
        folder.report().display(),
    )
}
