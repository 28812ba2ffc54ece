//! `report.html` of a search for places: maps of the panel with every place scored, and what the best ones do at the seats.
//!
//! ```text
//! PlaceFindings ─▶ sections ─▶ chart/* (SVG) ─▶ document ─▶ report.html
//! ```

mod arrangements;
mod driver_map;
mod drivers;
mod map;
mod page;
mod response;
mod rules;
mod scores;
mod small;
mod whereto;

use super::ReportError;
use crate::case::Case;
use panelwright_solver::place::PlaceFindings;
use std::path::{Path, PathBuf};

/// What a report on places is made of.
#[derive(Clone, Copy, Debug)]
pub struct PlaceInput<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was found.
    pub findings: &'a PlaceFindings,
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
pub fn write(dir: &Path, input: &PlaceInput) -> Result<PathBuf, ReportError> {
    super::write_page(dir, &page::document(input).into_string())
}
