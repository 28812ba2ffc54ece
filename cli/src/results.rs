//! The results folder: report, tables, HDF5 file, findings as JSON, and a copy of the case.

use crate::case::Case;
use crate::cautions::{self, CAUTIONS};
use crate::failure::Failure;
use crate::report::{self, ReportInput};
use crate::{store, tables};
use panelwright_solver::Prediction;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A folder that exists and can be written to.
pub struct ResultsFolder {
    path: PathBuf,
}

impl ResultsFolder {
    /// Makes the folder, and tries whether it can be written to.
    ///
    /// # Errors
    /// When the folder cannot be made or written to: the user's choice of place.
    pub fn prepare(path: &Path) -> Result<Self, Failure> {
        let trial = || {
            fs::create_dir_all(path)?;
            let probe = path.join(".writable");
            fs::write(&probe, b"")?;
            fs::remove_file(&probe)
        };
        trial().map(|()| Self { path: path.to_path_buf() }).map_err(|error| {
            Failure::input(
                format!("the results folder {} cannot be written to: {error}", path.display()),
                "Choose another place with --into FOLDER.",
            )
        })
    }

    /// The page to open.
    pub fn report(&self) -> PathBuf {
        self.path.join("report.html")
    }

    /// Writes everything; results of an earlier run are replaced.
    ///
    /// # Errors
    /// When a file cannot be written.
    pub fn write(&self, case: &Case, prediction: &Prediction, seconds: f64) -> Result<(), Failure> {
        let findings = &prediction.findings;
        let mut cautions = cautions::of_findings(findings);
        cautions.extend(CAUTIONS.map(String::from));
        let computed_at = humantime::format_rfc3339_seconds(SystemTime::now()).to_string();
        let input = ReportInput {
            findings,
            scene: &case.scene,
            case_text: &case.text,
            case_name: &case.name(),
            version: env!("CARGO_PKG_VERSION"),
            computed_at,
            seconds,
            cautions,
        };
        tables::write(&self.path, findings, &case.scene).map_err(Failure::ours)?;
        store::write(&self.path.join("results.h5"), &input).map_err(Failure::ours)?;
        let json = serde_json::to_string(findings).map_err(Failure::ours)?;
        fs::write(self.path.join("findings.json"), json).map_err(Failure::ours)?;
        fs::write(self.path.join("case.toml"), &case.text).map_err(Failure::ours)?;
        report::write(&self.path, &input).map_err(Failure::ours)
    }
}
