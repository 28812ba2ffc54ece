//! The results folder of a search for places: report, tables, HDF5 file, lines for the case file, findings as JSON, and a copy of the case.

use crate::case::Case;
use crate::case::quantity::LENGTH;
use crate::cautions::CAUTIONS;
use crate::failure::Failure;
use crate::report::{self, place::PlaceInput};
use crate::results::{self, ResultsFolder};
use crate::store::{self, Provenance};
use crate::tables;
use panelwright_solver::place::{ExciterPlaces, PlaceFindings};
use panelwright_solver::search::drivers::DriverPlaces;

/// Name of the HDF5 file.
const STORE: &str = "places.h5";

/// A finished search.
pub struct Placed<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was found.
    pub findings: &'a PlaceFindings,
    /// How long it took [s].
    pub seconds: f64,
}

/// Tables that not every case has.
const OF_SOME_CASES: [&str; 4] = ["pairs.csv", "triples.csv", "sets.csv", "driver_places.csv"];

/// Writes everything; results of an earlier run are replaced.
///
/// # Errors
/// When a file cannot be written.
pub fn write(folder: &ResultsFolder, placed: &Placed) -> Result<(), Failure> {
    let Placed { case, findings, seconds } = *placed;
    let name = case.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    folder.write_text("findings.json", &serde_json::to_string(findings).map_err(Failure::ours)?)?;
    folder.write_text("case.toml", &case.source)?;
    folder.write_text("positions.txt", &case_lines(findings))?;
    folder.forget(|name| OF_SOME_CASES.contains(&name));
    tables::write_places(folder.path(), findings).map_err(Failure::ours)?;
    let computed_at = results::now();
    let version = env!("CARGO_PKG_VERSION");
    let provenance =
        Provenance { version, case_name: &name, case_text: &case.source, computed_at: &computed_at };
    store::write_places(&folder.path().join(STORE), findings, &case.scene, &provenance)
        .map_err(Failure::ours)?;
    let input = PlaceInput {
        case,
        findings,
        case_name: &name,
        version,
        computed_at: &results::as_written(&computed_at),
        seconds,
        cautions: &CAUTIONS,
    };
    report::place::write(folder.path(), &input).map(drop).map_err(Failure::ours)
}

/// All recommended places as lines of a case file.
pub(crate) fn case_lines(findings: &PlaceFindings) -> String {
    let drivers = findings.drivers.iter().map(driver_lines);
    let how = "# Change these lines of the tables that the case has.\n".to_owned()
        + &exciter_lines(&findings.exciters);
    std::iter::once(how).chain(drivers).collect::<Vec<_>>().join("\n")
}

/// Those of the exciters.
pub(crate) fn exciter_lines(found: &ExciterPlaces) -> String {
    let lines =
        found.exciters.iter().zip(&found.best.positions).map(|(name, at)| lines("[[exciter]]", name, *at));
    lines.collect::<Vec<_>>().join("\n")
}

/// Those of a driver.
pub(crate) fn driver_lines(found: &DriverPlaces) -> String {
    let (table, stay) = match found.others.is_empty() {
        true => ("[driver]", "the exciters"),
        false => ("[[driver]]", "exciters and other drivers"),
    };
    let lines = lines(table, &found.driver[0], found.best.position);
    format!(
        "# This place is for {stay} where they are in this case: move one, then search again for the others.\n{lines}"
    )
}

fn lines(table: &str, name: &str, [x, y]: [f64; 2]) -> String {
    let length = |metres: f64| LENGTH.show((metres * 1e4).round() / 1e4, "mm");
    let name = toml::Value::String(name.to_owned());
    format!("{table}\nname = {name}\nposition = [\"{}\", \"{}\"]\n", length(x), length(y))
}
