//! Writes the report, tables and store of the invented specimen into a folder, to look at while working on them:
//! `cargo run --release -p panelwright-tests --example specimen -- FOLDER`.

use panelwright::report::{self, ReportInput};
use panelwright::store::{self, Provenance};
use panelwright::tables;
use panelwright_tests::specimen;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("which folder?")?);
    let (scene, findings) = (specimen::scene(), specimen::findings());
    let computed_at = "25 November 2026, 13:00 UTC";
    report::write(
        &folder,
        &ReportInput {
            findings: &findings,
            scene: &scene,
            lay_up: vec![],
            case_text: specimen::CASE_TEXT,
            case_name: "specimen",
            version: "0.0.0-specimen",
            computed_at: computed_at.into(),
            seconds: 1.23,
            cautions: &specimen::CAUTIONS,
        },
    )?;
    tables::write(&folder, &findings)?;
    let provenance = Provenance {
        version: "0.0.0-specimen",
        case_name: "specimen",
        case_text: specimen::CASE_TEXT,
        computed_at,
    };
    store::write(&folder.join("results.h5"), &findings, &scene, &provenance)?;
    Ok(())
}
