//! `report.html`: one self-contained page that shows what [`Findings`] hold. Nothing is computed here but layout and units.
//!
//! ```text
//! Findings + Scene ─▶ sections/* ─▶ chart/* (SVG) ─▶ page (HTML, style, script) ─▶ report.html
//! ```

pub mod blend;
mod chart;
mod choice;
mod document;
mod figure;
mod format;
mod page;
pub mod place;
mod sections;
pub mod study;
pub mod surrounds;

use crate::case::{BodySketch, Sketch};
use panelwright_solver::listening::Findings;
use panelwright_solver::scene::Scene;
use std::path::{Path, PathBuf};

/// What a report is made of.
#[derive(Clone, Debug)]
pub struct ReportInput<'a> {
    /// The findings.
    pub findings: &'a Findings,
    /// The scene they belong to.
    pub scene: &'a Scene,
    /// Layers of the panel from front to back, in words; none for a single sheet.
    pub lay_up: Vec<String>,
    /// The case file, word for word.
    pub case_text: &'a str,
    /// Name of the case.
    pub case_name: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// When the prediction was computed, as people read it.
    pub computed_at: String,
    /// How long it took [s].
    pub seconds: f64,
    /// Cautions; words before the first colon are set in bold.
    pub cautions: &'a [&'a str],
}

/// The report could not be written.
#[derive(Debug, thiserror::Error)]
#[error("could not write {path}: {source}. Is the folder writable and the disk not full?")]
pub struct ReportError {
    /// The file.
    pub path: PathBuf,
    /// What the system said.
    pub source: std::io::Error,
}

/// Writes `report.html` into the folder `dir`, which must exist; returns the file's path.
pub fn write(dir: &Path, input: &ReportInput) -> Result<PathBuf, ReportError> {
    write_page(dir, &render(input))
}

fn write_page(dir: &Path, page: &str) -> Result<PathBuf, ReportError> {
    let path = dir.join("report.html");
    match std::fs::write(&path, page) {
        Ok(()) => Ok(path),
        Err(source) => Err(ReportError { path, source }),
    }
}

/// What `check --picture` writes: the panel's outline, then the driver with every surround.
pub fn picture(outline: Option<&Sketch>, bodies: &[BodySketch]) -> String {
    let outline = outline.map(|sketch| chart::sketch::outline(&sketch.contours, &sketch.marks));
    let bodies = bodies.iter().map(chart::body::body);
    chart::sketch::sheet(outline.into_iter().chain(bodies).collect()).into_string()
}

/// The page as text.
pub fn render(input: &ReportInput) -> String {
    page::document(input).into_string()
}
