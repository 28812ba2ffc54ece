//! The results folder: report, tables, HDF5 file, findings as JSON, and a copy of the case.

use crate::case::{Case, filter_words};
use crate::cautions::{self, CAUTIONS};
use crate::failure::Failure;
use crate::report::{self, ReportInput};
use crate::store::{self, Provenance};
use crate::tables;
use panelwright_solver::Prediction;
use panelwright_solver::filters::Chain;
use panelwright_solver::scene::Channel;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// File of the channels' filters.
const BIQUADS: &str = "biquads.txt";

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
        if path.is_file() {
            return Err(Failure::input(
                format!("{} is a file, so it cannot be the results folder", path.display()),
                "Choose another place with --into FOLDER.",
            ));
        }
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

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
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
        let name = case.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
        let computed_at = now();
        let version = env!("CARGO_PKG_VERSION");
        let own_cautions = cautions::of_findings(findings);
        let cautions: Vec<&str> = own_cautions.iter().map(String::as_str).chain(CAUTIONS).collect();
        let provenance =
            Provenance { version, case_name: &name, case_text: &case.source, computed_at: &computed_at };
        tables::write(&self.path, findings).map_err(Failure::ours)?;
        store::write(&self.path.join("results.h5"), findings, &case.scene, &provenance)
            .map_err(Failure::ours)?;
        let json = serde_json::to_string(findings).map_err(Failure::ours)?;
        self.write_text("findings.json", &json)?;
        self.write_text("case.toml", &case.source)?;
        self.write_biquads(&case.scene.channels)?;
        let input = ReportInput {
            computed_at: as_written(&computed_at),
            findings,
            scene: &case.scene,
            lay_up: crate::case::words::layers(&case.material.makeup),
            case_text: &case.source,
            case_name: &name,
            version,
            seconds,
            cautions: &cautions,
        };
        report::write(&self.path, &input).map(drop).map_err(Failure::ours)
    }

    /// The filters of the channels for a signal processor; nothing if no channel has any, an earlier run's file is then taken away.
    fn write_biquads(&self, channels: &[Channel]) -> Result<(), Failure> {
        let filtered = channels.iter().filter(|c| !filter_words::filters(&c.filters).is_empty());
        let sections: Vec<_> =
            filtered.map(|c| (&*c.name, Chain::new(&c.filters).biquads(tables::USUAL_RATE))).collect();
        if sections.is_empty() {
            // Usually there is none to take away.
            let _ = fs::remove_file(self.path.join(BIQUADS));
            return Ok(());
        }
        self.write_text(BIQUADS, &tables::biquads(&sections))
    }

    /// Takes away what an earlier run left under names that this one may not use.
    pub fn forget(&self, left: impl Fn(&str) -> bool) {
        let files = fs::read_dir(&self.path).into_iter().flatten().flatten();
        for file in files.filter(|file| left(&file.file_name().to_string_lossy())) {
            // What cannot be taken away stays: it hurts nothing that is written now.
            let _ = fs::remove_file(file.path());
        }
    }

    /// Writes a text into a file of the folder.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn write_text(&self, name: &str, text: &str) -> Result<(), Failure> {
        self.write_bytes(name, text.as_bytes())
    }

    /// Writes bytes into a file of the folder.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn write_bytes(&self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        let path = self.path.join(name);
        fs::write(&path, bytes)
            .map_err(|error| Failure::ours(format!("could not write {}: {error}", path.display())))
    }
}

/// The time, as RFC 3339 writes it.
pub(crate) fn now() -> String {
    humantime::format_rfc3339_seconds(SystemTime::now()).to_string()
}

/// `2026-11-25T14:22:03Z` → `25 November 2026, 14:22 UTC`; any other text stays as it is.
pub(crate) fn as_written(rfc3339: &str) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let parts = || {
        let (date, time) = rfc3339.split_once('T')?;
        let [year, month, day] = date.split('-').collect::<Vec<_>>().try_into().ok()?;
        let month = MONTHS.get(month.parse::<usize>().ok()?.checked_sub(1)?)?;
        Some(format!("{} {month} {year}, {} UTC", day.trim_start_matches('0'), time.get(..5)?))
    };
    parts().unwrap_or_else(|| rfc3339.into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use panelwright_solver::scene::{Alignment, Filters, PassFilter, Wiring};

    #[test]
    fn times_read_as_people_write_them() {
        assert_eq!(as_written("2026-11-05T04:22:03Z"), "5 November 2026, 04:22 UTC");
        assert_eq!(as_written("2026-13-05T04:22:03Z"), "2026-13-05T04:22:03Z");
        assert_eq!(as_written("yesterday"), "yesterday");
    }

    fn channel(name: &str, low_pass: Option<PassFilter>) -> Channel {
        Channel {
            name: name.into(),
            voltage: 2.83,
            gain: 1.0,
            delay: 0.0,
            filters: Filters { low_pass, ..Filters::default() },
            source_resistance: 0.0,
            wiring: Wiring::Parallel,
            exciters: vec![0],
        }
    }

    #[test]
    fn biquads_are_written_for_filtered_channels_and_taken_away_without() {
        let place = tempfile::tempdir().expect("a folder for the test");
        let folder = ResultsFolder::prepare(place.path()).unwrap_or_else(|_| panic!("can be written to"));
        let text = || fs::read_to_string(place.path().join(BIQUADS)).ok();
        let low = PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 2000.0 };
        let written = folder.write_biquads(&[channel("bass", Some(low)), channel("rest", None)]);
        assert!(written.is_ok());
        let found = text().expect("is written");
        assert!(found.contains("channel bass, sample rate 48000 Hz") && !found.contains("rest"), "{found}");
        assert_eq!(found.matches("\nsection ").count(), 2, "{found}");
        assert!(folder.write_biquads(&[channel("bass", None)]).is_ok());
        assert_eq!(text(), None);
    }
}
