//! `panelwright predict`: the whole chain, into a results folder.

use crate::args;
use crate::case::Case;
use crate::cautions::{self, CAUTIONS};
use crate::commands;
use crate::failure::Failure;
use crate::results::ResultsFolder;
use crate::terminal::{self, ProgressView};
use crate::wrap::wrap;
use panelwright_solver::{PredictError, Prediction, predict};
use std::time::Instant;

/// Predicts the case and writes the results folder.
///
/// # Errors
/// When the case is wrong, nothing can be predicted from it, or the results cannot be written.
pub fn run(options: &args::Predict) -> Result<(), Failure> {
    let case = commands::load(&options.case)?;
    // The folder is made before anything is computed: an hour's work must not end at a missing permission.
    let folder = ResultsFolder::prepare(
        &options.into.clone().unwrap_or_else(|| commands::beside(&options.case, "results")),
    )?;
    let begun = Instant::now();
    let prediction = watched(&case)?;
    let seconds = begun.elapsed().as_secs_f64();
    folder.write(&case, &prediction, seconds)?;
    match options.json {
        true => terminal::print(&serde_json::to_string(&prediction.findings).map_err(Failure::ours)?),
        false => terminal::print(&words(&prediction, &folder, seconds)),
    }
    Ok(())
}

fn watched(case: &Case) -> Result<Prediction, Failure> {
    let view = ProgressView::new();
    let prediction = predict(&case.scene, &|progress| view.show(progress));
    view.finish();
    prediction.map_err(|error| match error {
        PredictError::NoExciter => Failure::input(
            "the case has no exciter, so nothing moves the panel",
            "add an [[exciter]] table, or run `panelwright modes` for the natural frequencies alone.",
        ),
        PredictError::NoFrequency => Failure::input(error, "Widen the [range] of the case."),
        PredictError::Plate(plate) => Failure::from(plate),
    })
}

/// What the user reads in the terminal.
fn words(prediction: &Prediction, folder: &ResultsFolder, seconds: f64) -> String {
    let findings = &prediction.findings;
    // The summary tells some of the doubts already.
    let untold =
        findings.warnings.iter().map(|warning| &warning.message).filter(|m| !findings.summary.contains(m));
    let warnings: Vec<String> = untold.cloned().collect();
    let mut cautions: Vec<String> = cautions::of_findings(findings);
    cautions.extend(CAUTIONS.map(String::from));
    let doubts =
        if warnings.is_empty() { String::new() } else { format!("\nDoubts\n{}", bullets(&warnings)) };
    format!(
        "Findings\n{}{doubts}\nCautions\n{}\nComputed in {seconds:.1} s. Open {}",
        bullets(&findings.summary),
        bullets(&cautions),
        folder.report().display(),
    )
}

/// Sentences as a list, wrapped to the terminal.
pub(super) fn bullets(items: &[String]) -> String {
    let lines = items.iter().flat_map(|item| wrap(item, "  - ", "    "));
    lines.map(|line| line + "\n").collect()
}
