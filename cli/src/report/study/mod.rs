//! `report.html` of a study: why the best is the best, all variants in one picture, what is traded for what, and which values matter.
//!
//! ```text
//! StudyFindings ─▶ sections ─▶ chart/* (SVG) ─▶ document ─▶ report.html
//!        └▶ data: every variant's numbers, for the script that shows one of them in all pictures
//! ```

mod best;
mod data;
mod failures;
mod influence;
mod page;
mod robust;
mod trade;
mod variants;

use super::ReportError;
use super::chart::axis::Axis;
use crate::study::{Aspect, Study, StudyFindings};
use std::path::{Path, PathBuf};

/// Variants that stand out in every picture, each with its own line.
const BEST: usize = 3;

/// What a report on a study is made of.
pub struct StudyInput<'a> {
    /// The study.
    pub study: &'a Study,
    /// What it says.
    pub findings: &'a StudyFindings,
    /// Sentences besides those of the findings.
    pub told: &'a [String],
    /// Files of printable surrounds, best first.
    pub bodies: &'a [String],
    /// Variants that are finished.
    pub finished: usize,
    /// Why variants failed, and why others were beyond a limit: a reason, and how many share it.
    pub failures: [Vec<(String, usize)>; 2],
    /// Which objectives do not exist, and why: a reason, and how many variants share it.
    pub missing: Vec<(String, usize)>,
    /// Name of the case.
    pub case_name: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// When it began, as people read it.
    pub begun: &'a str,
    /// Time that workers took for all variants, added up [s].
    pub seconds: f64,
}

/// Writes `report.html` into the folder `dir`, which must exist; returns the file's path.
///
/// # Errors
/// When the file cannot be written.
pub fn write(dir: &Path, input: &StudyInput) -> Result<PathBuf, ReportError> {
    super::write_page(dir, &page::document(input).into_string())
}

impl StudyInput<'_> {
    /// How many variants stand out.
    fn best(&self) -> usize {
        BEST.min(self.findings.ranking.best_first.len())
    }
}

/// The axis of an aspect.
fn axis(aspect: &Aspect) -> Axis<'_> {
    Axis::of(aspect.title(), &aspect.words, aspect.logarithmic, &aspect.values)
}
