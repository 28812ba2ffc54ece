//! The page of a study.

use super::Begun;
use super::status::{missing, not_computed, reasons};
use crate::failure::Failure;
use crate::report::study::{self, StudyInput};
use crate::results::as_written;
use crate::study::{StudyFindings, VariantResult};
use std::path::PathBuf;

/// Writes `report.html` into the study's folder; `told` are sentences besides those of the findings, `bodies` the files of printable surrounds.
///
/// # Errors
/// When it cannot be written.
pub(super) fn write(
    begun: &Begun,
    findings: &StudyFindings,
    told: &[String],
    bodies: &[String],
) -> Result<PathBuf, Failure> {
    let records = begun.records.values();
    let failed = records.clone().filter(|record| matches!(record.result, VariantResult::Failed(_)));
    let beyond = records.clone().filter(|record| matches!(record.result, VariantResult::Beyond(_)));
    let name = begun.study.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    let input = StudyInput {
        study: &begun.study,
        findings,
        told,
        bodies,
        finished: begun.records.len(),
        failures: [reasons(failed, not_computed), reasons(beyond, not_computed)],
        missing: reasons(records.clone(), |result| missing(&begun.study, result)),
        case_name: &name,
        version: env!("CARGO_PKG_VERSION"),
        begun: &as_written(&begun.begun),
        seconds: records.map(|record| f64::from(record.seconds)).sum(),
    };
    study::write(begun.folder.path(), &input).map_err(|error| {
        Failure::input(
            error,
            "The list itself is complete. Mend the folder's permissions or free some space.",
        )
    })
}
