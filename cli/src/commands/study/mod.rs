//! `panelwright study`: many variants of a case.

mod export;
mod gather;
mod page;
mod printable;
mod rank;
mod robust;
mod run;
mod show;
mod status;
mod submit;

use crate::args;
use crate::commands;
use crate::failure::Failure;
use crate::study::{Forecast, Record, Study, StudyFolder};
use crate::terminal::duration;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

/// Runs one of the commands.
///
/// # Errors
/// When the case is wrong, there is no such study, or its files cannot be used.
pub fn run(command: &args::Study) -> Result<(), Failure> {
    match command {
        args::Study::Run(options) => run::run(options),
        args::Study::Status(options) => status::run(options),
        args::Study::Gather(options) => gather::run(options),
        args::Study::Submit(options) => submit::run(options),
        args::Study::Rank(options) => rank::run(options),
        args::Study::Show(options) => show::run(options),
        args::Study::Export(options) => export::run(options),
    }
}

fn folder(case: &Path, into: Option<&PathBuf>) -> StudyFolder {
    StudyFolder::at(&into.cloned().unwrap_or_else(|| commands::beside(case, "study")))
}

/// A command about the study of this case in this folder, as a user types it.
fn command(verb: &str, case: &Path, into: Option<&PathBuf>) -> String {
    let into = into.map(|folder| format!(" --into {}", folder.display())).unwrap_or_default();
    format!("panelwright study {verb} {}{into}", case.display())
}

fn cores() -> usize {
    thread::available_parallelism().map_or(1, usize::from)
}

/// How long `count` variants will take so many workers, in words.
fn expected(forecast: &Forecast, count: usize, workers: usize) -> String {
    let time = Duration::from_secs_f64(forecast.seconds(workers.min(count), cores()));
    format!(" Expected to take about {}, perhaps half or twice that.", duration(time))
}

/// A study that has begun, and what of it is finished.
struct Begun {
    study: Study,
    folder: StudyFolder,
    /// When it began.
    begun: String,
    records: BTreeMap<u64, Record>,
}

impl Begun {
    /// The study of a case as it stands in its folder.
    fn find(case: &Path, into: Option<&PathBuf>) -> Result<Self, Failure> {
        let mut study = Study::read(case)?;
        let folder = folder(case, into);
        let Some(description) = folder.description()? else {
            return Err(Failure::input(
                format!("no study has begun in {}", folder.path().display()),
                format!("`panelwright study run {}` begins it.", case.display()),
            ));
        };
        same(
            &description.differences(&study),
            &folder,
            "Put the case back as it was, or name its folder with --into.",
        )?;
        study.resume(&folder)?;
        let records = folder.records(&study.identity.digest())?;
        Ok(Self { study, folder, begun: description.begun, records })
    }
}

/// Refuses a variant that is none of the study, or not chosen yet.
fn exists(study: &Study, number: usize) -> Result<(), Failure> {
    if number < study.chosen() {
        return Ok(());
    }
    let help = match number < study.count() {
        true => format!("The search has chosen those up to {}; `study run` goes on.", study.chosen() - 1),
        false => format!("Its variants are numbered from 0 to {}.", study.count() - 1),
    };
    Err(Failure::input(format!("the study has no variant {number}"), help))
}

/// Refuses to share out a study whose variants follow from each other.
fn shareable(study: &Study) -> Result<(), Failure> {
    match study.is_adaptive() {
        false => Ok(()),
        true => Err(Failure::input(
            "an adaptive search cannot be shared out: what it looks at next follows from what it has found",
            "Run it in one piece, with as many --workers as the machine has cores; or take method = \"low discrepancy\".",
        )),
    }
}

/// Refuses a folder that holds another study.
fn same(differences: &[String], folder: &StudyFolder, help: &str) -> Result<(), Failure> {
    const SHOWN: usize = 5;
    if differences.is_empty() {
        return Ok(());
    }
    let more = match differences.len().saturating_sub(SHOWN) {
        0 => String::new(),
        more => format!("; and {more} more"),
    };
    let shown: Vec<&str> = differences.iter().take(SHOWN).map(String::as_str).collect();
    let message = format!("{} holds another study: {}{more}", folder.path().display(), shown.join("; "));
    Err(Failure::input(message, help))
}
