//! `report.html` of a comparison of surrounds: the look of a prediction's page, one curve per surround.
//!
//! ```text
//! SurroundFindings + Comparison ─▶ sections ─▶ chart/* (SVG) ─▶ document ─▶ report.html
//! ```

mod balloons;
mod bodies;
mod computed;
mod curves;
mod cuts;
mod directivity;
mod driver;
mod inputs;
mod page;
mod response;
mod tables;

use super::ReportError;
use super::choice::Choice;
use crate::case::DriverCase;
use panelwright_solver::listening::{HeardAt, SurroundFindings};
use panelwright_solver::surrounds::Comparison;
use std::path::{Path, PathBuf};

/// What a report on surrounds is made of.
#[derive(Clone, Copy, Debug)]
pub struct SurroundInput<'a> {
    /// The case.
    pub case: &'a DriverCase,
    /// What was computed.
    pub comparison: &'a Comparison,
    /// What it says.
    pub findings: &'a SurroundFindings,
    /// Name of the case.
    pub case_name: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// When it was computed, as people read it.
    pub computed_at: &'a str,
    /// How long it took [s].
    pub seconds: f64,
    /// Cautions; words before the first colon are set in bold.
    pub cautions: &'a [&'a str],
}

/// Writes `report.html` into the folder `dir`, which must exist; returns the file's path.
///
/// # Errors
/// When the file cannot be written.
pub fn write(dir: &Path, input: &SurroundInput) -> Result<PathBuf, ReportError> {
    super::write_page(dir, &render(input))
}

/// The page as text.
pub fn render(input: &SurroundInput) -> String {
    page::document(input).into_string()
}

/// The places where the surrounds are listened to, in every surround alike.
fn places(findings: &SurroundFindings) -> &[HeardAt] {
    findings.surrounds.first().map_or(&[], |surround| &surround.places)
}

/// One option per place.
fn place_choice(findings: &SurroundFindings) -> Choice {
    let short = |place: &HeardAt| place.place.trim_start_matches("the ").to_string();
    Choice::one("place", "Heard at", places(findings).iter().map(short).collect(), 0)
}

/// Name of the surround that the others are compared with.
fn reference(findings: &SurroundFindings) -> &str {
    findings.surrounds.get(findings.reference).map_or("", |surround| &surround.name)
}
