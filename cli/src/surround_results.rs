//! The results folder of a comparison of surrounds: report, tables, HDF5 file, findings as JSON, surfaces for general viewers, printable
//! surrounds, and a copy of the case.

use crate::case::DriverCase;
use crate::cautions::CAUTIONS;
use crate::failure::Failure;
use crate::report::{self, surrounds::SurroundInput};
use crate::results::{self, ResultsFolder};
use panelwright_mesh::stl;
use panelwright_solver::driver::Assembly;
use panelwright_solver::listening::SurroundFindings;
use panelwright_solver::surrounds::Comparison;

/// Sides of the triangles of a printable surround [m].
const PRINTED: f64 = 1e-3;

/// A finished comparison.
pub struct Computed<'a> {
    /// The case.
    pub case: &'a DriverCase,
    /// What was computed.
    pub comparison: &'a Comparison,
    /// What it says.
    pub findings: &'a SurroundFindings,
    /// How long it took [s].
    pub seconds: f64,
}

/// Writes everything; results of an earlier run are replaced.
///
/// # Errors
/// When a file cannot be written.
pub fn write(folder: &ResultsFolder, computed: &Computed) -> Result<(), Failure> {
    let json = serde_json::to_string(computed.findings).map_err(Failure::ours)?;
    folder.write_text("findings.json", &json)?;
    folder.write_text("case.toml", &computed.case.source)?;
    printables(folder, computed.case)?;
    report(folder, computed)
}

fn report(folder: &ResultsFolder, computed: &Computed) -> Result<(), Failure> {
    let name = computed.case.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    let input = SurroundInput {
        case: computed.case,
        comparison: computed.comparison,
        findings: computed.findings,
        case_name: &name,
        version: env!("CARGO_PKG_VERSION"),
        computed_at: &results::as_written(&results::now()),
        seconds: computed.seconds,
        cautions: &CAUTIONS,
    };
    report::surrounds::write(folder.path(), &input).map(drop).map_err(Failure::ours)
}

/// Every surround that was made from measures, as an STL file in millimetres.
fn printables(folder: &ResultsFolder, case: &DriverCase) -> Result<(), Failure> {
    let scene = &case.scene;
    for surround in &scene.surrounds {
        let assembly = Assembly::new(&scene.driver, surround, &scene.behind).map_err(Failure::ours)?;
        if let Some(surface) = assembly.printable(PRINTED) {
            let bytes = stl::write_binary(&surface.map_err(Failure::ours)?, stl::MILLIMETRE);
            folder.write_bytes(&format!("{}.stl", file_name(&surround.name)), &bytes)?;
        }
    }
    Ok(())
}

/// A name that every file system takes: letters and digits, all else a hyphen.
pub(crate) fn file_name(name: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().map(kept).collect()
}
