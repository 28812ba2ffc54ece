//! The results folder of a comparison of surrounds: report, tables, HDF5 file, findings as JSON, surfaces for general viewers, printable
//! surrounds, and a copy of the case.

use crate::case::DriverCase;
use crate::cautions::CAUTIONS;
use crate::failure::Failure;
use crate::file_name::file_name;
use crate::report::{self, surrounds::SurroundInput};
use crate::results::{self, ResultsFolder};
use crate::store::{self, Provenance};
use crate::{tables, vtu};
use panelwright_mesh::stl;
use panelwright_solver::listening::SurroundFindings;
use panelwright_solver::surrounds::{Bodies, Comparison};

/// Name of the HDF5 file.
const STORE: &str = "surrounds.h5";
/// Sides of the triangles of a printable surround [m].
const PRINTED: f64 = 1e-3;

/// A finished comparison.
pub struct Computed<'a> {
    /// The case.
    pub case: &'a DriverCase,
    /// Its bodies.
    pub bodies: &'a Bodies<'a>,
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
    let Computed { case, comparison, findings, .. } = *computed;
    let name = case.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    let computed_at = results::now();
    let provenance = Provenance {
        version: env!("CARGO_PKG_VERSION"),
        case_name: &name,
        case_text: &case.source,
        computed_at: &computed_at,
    };
    folder.write_text("findings.json", &serde_json::to_string(findings).map_err(Failure::ours)?)?;
    folder.write_text("case.toml", &case.source)?;
    tables::write_surrounds(folder.path(), findings, comparison).map_err(Failure::ours)?;
    store::write_surrounds(&folder.path().join(STORE), findings, comparison, &case.scene, &provenance)
        .map_err(Failure::ours)?;
    printables(folder, computed.bodies)?;
    pictures(folder, comparison)?;
    report(folder, computed, &provenance)
}

fn report(folder: &ResultsFolder, computed: &Computed, provenance: &Provenance) -> Result<(), Failure> {
    let input = SurroundInput {
        case: computed.case,
        comparison: computed.comparison,
        findings: computed.findings,
        case_name: provenance.case_name,
        version: provenance.version,
        computed_at: &results::as_written(provenance.computed_at),
        seconds: computed.seconds,
        cautions: &CAUTIONS,
    };
    report::surrounds::write(folder.path(), &input).map(drop).map_err(Failure::ours)
}

/// The sound on every body at every pictured frequency.
fn pictures(folder: &ResultsFolder, comparison: &Comparison) -> Result<(), Failure> {
    for variant in &comparison.variants {
        for picture in &variant.pictures {
            let name = format!("{}-{:.0}-hz.vtu", file_name(&variant.name), picture.frequency);
            folder.write_text(&name, &vtu::unstructured_grid(picture))?;
        }
    }
    Ok(())
}

/// Every surround that was made from measures, as an STL file in millimetres.
fn printables(folder: &ResultsFolder, bodies: &Bodies) -> Result<(), Failure> {
    for printed in printed(bodies) {
        let (name, bytes) = printed?;
        folder.write_bytes(&format!("{}.stl", file_name(name)), &bytes)?;
    }
    Ok(())
}

/// Name and STL bytes, in millimetres, of every surround that was made from measures.
pub(crate) fn printed<'b>(
    bodies: &'b Bodies,
) -> impl Iterator<Item = Result<(&'b str, Vec<u8>), Failure>> + 'b {
    bodies.printable(PRINTED).map(|(name, surface)| {
        let surface = surface.map_err(Failure::ours)?;
        Ok((name, stl::write_binary(&surface, stl::MILLIMETRE)))
    })
}
