//! `panelwright study run`: computes what is not finished.

use super::{command, cores, expected, folder, same, shareable};
use crate::args;
use crate::failure::Failure;
use crate::results::now;
use crate::study::{
    Description, Finished, Held, Outcome, Pending, Shard, ShardResults, Status, Study, StudyFolder, evaluate,
    run as compute,
};
use crate::terminal::{self, StudyView, duration, whole};
use panelwright_solver::study::Workbench;
use std::path::{Path, PathBuf};
use std::process;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Computes the unfinished variants of a shard.
///
/// # Errors
/// When the case is wrong, the folder holds another study or is in use, or nothing can be written.
pub fn run(options: &args::StudyRun) -> Result<(), Failure> {
    let mut study = Study::read(&options.case)?;
    let shard = shard(options)?;
    if shard != Shard::WHOLE {
        shareable(&study)?;
    }
    let folder = folder(&options.case, options.into.as_ref());
    let begun = begin(&study, &folder, options.anew)?;
    study.resume(&folder)?;
    if options.retry_failed {
        folder.forget_failed(shard, &study.identity.digest())?;
    }
    beware(&folder, (&options.case, options.into.as_ref()), shard, options.retry_failed);
    let moving = moving(&study);
    let (bench, stop) = (bench(moving, options.keep), stopped_by_hand()?);
    let run = Run { options, shard, folder, begun, moving, bench, stop };
    let (mut status, mut failed) = run.computed(&study, true)?;
    while status.finished == status.total && study.is_adaptive() && run.goes_on(&mut study)? {
        let earlier = status;
        (status, failed) = run.computed(&study, false)?;
        status.fresh += earlier.fresh;
        status.elapsed += earlier.elapsed;
    }
    terminal::print(&closing(&status, &study, &run, failed));
    Ok(())
}

/// What other parts of the study mean for this run.
fn beware(folder: &StudyFolder, (case, into): (&Path, Option<&PathBuf>), shard: Shard, anew: bool) {
    let others: Vec<Shard> = folder.shards().into_iter().filter(|other| *other != shard).collect();
    let overlap = |other: &&Shard| other.count != shard.count && folder.is_held(**other);
    if let Some(other) = others.iter().find(overlap) {
        terminal::complain(&format!(
            "Another process computes part {} of {} of this study now. What it finishes from now on, this run may compute as well: that costs time and nothing else.",
            other.index, other.count
        ));
    }
    if anew && !others.is_empty() {
        terminal::complain(&format!(
            "The results files of other parts keep the rows of what failed there; `{}` makes one file of all in which every variant stands once.",
            command("gather", case, into)
        ));
    }
}

/// What stays the same while the generations of a search come and go.
struct Run<'a> {
    options: &'a args::StudyRun,
    shard: Shard,
    folder: StudyFolder,
    begun: String,
    /// True when exciters move on panels that are worth knowing.
    moving: bool,
    bench: Workbench,
    stop: Arc<AtomicBool>,
}

impl Run<'_> {
    /// Computes what is chosen and not finished; how it went, and how many have failed in all. The `first` time it is said what is to be done.
    fn computed(&self, study: &Study, first: bool) -> Result<(Status, usize), Failure> {
        let (folder, digest) = (&self.folder, study.identity.digest());
        let files = (&*folder.journal(self.shard), &*folder.results(self.shard));
        let mut results = ShardResults::of(study, files, &self.begun);
        let (mut held, mut finished) = held(folder, self.shard, &digest, &mut results)?;
        let order = study.order();
        let mine = &order[self.shard.range(order.len())];
        if first && self.options.retry_failed {
            finished.forget_failed(mine);
        }
        let pending: Vec<usize> = mine.iter().copied().filter(|number| !finished.has(*number)).collect();
        let earlier = mine.len() - pending.len();
        let workers = self.options.workers.unwrap_or_else(cores).max(1);
        let renewals = study.renewals(&pending);
        if first {
            let expected = self.expected(study, &pending, workers);
            terminal::complain(&announced(study, self.shard, (mine.len(), earlier), expected));
        }
        let mut view = StudyView::new(pending.len(), workers);
        let one = |number: usize| evaluate(study, &self.bench, number);
        let ran = compute(
            &Pending { numbers: &pending, finished: earlier, renewals: &renewals },
            (&mut held, &mut results),
            (&one, workers),
            &self.stop,
            &mut |status| view.show(&status),
        );
        view.finish();
        let status = ran?;
        Ok((status, finished.count(Outcome::Failed) + status.failed))
    }

    /// How long these variants will take, and those that a search will choose; `None` where nobody knows, or nothing is to be done.
    fn expected(&self, study: &Study, pending: &[usize], workers: usize) -> Option<String> {
        let count = pending.len() + study.count() - study.chosen();
        let forecast = study.forecast((pending, count), self.moving).filter(|_| !pending.is_empty())?;
        Some(expected(&forecast, count, workers))
    }

    /// Chooses the next generation; true when there is one.
    fn goes_on(&self, study: &mut Study) -> Result<bool, Failure> {
        let records = self.folder.records(&study.identity.digest())?;
        study.go_on(&self.folder, &records)
    }
}

fn shard(options: &args::StudyRun) -> Result<Shard, Failure> {
    let Some(text) = &options.shard else { return Ok(Shard::WHOLE) };
    Shard::parse(text)
        .map_err(|help| Failure::input(format!("`--shard {text}` names no part of a study"), help))
}

/// True when exciters move on panels that are worth knowing.
pub(super) fn moving(study: &Study) -> bool {
    study.variants_per_panel() >= WORTH_KNOWING
}

/// Variants of one panel from which it pays to work out what a force anywhere on it does: that takes as long as a dozen of them.
const WORTH_KNOWING: usize = 24;
/// Takes the shard for this process, lets `results` meet what its journal holds, and finds out what any journal has finished.
fn held(
    folder: &StudyFolder,
    shard: Shard,
    digest: &[u8; 32],
    results: &mut ShardResults,
) -> Result<(Held, Finished), Failure> {
    let mut finished = Finished::default();
    let held = folder.hold(shard, digest, &mut |record, end| {
        finished.note(record);
        results.meet(record, end);
    })?;
    if held.spoilt > 0 {
        terminal::complain(
            "The end of the journal was damaged and is put aside; what it held is computed again.",
        );
    }
    for record in folder.stream(digest, Some(shard)) {
        finished.note(&record.map_err(|error| folder.unusable(error))?);
    }
    Ok((held, finished))
}

/// What variants have in common, at most so many megabytes of it.
fn bench(moving: bool, megabytes: u64) -> Workbench {
    let limit = usize::try_from(megabytes.saturating_mul(1_000_000)).unwrap_or(usize::MAX);
    if moving { Workbench::for_moving_exciters(limit) } else { Workbench::new(limit) }
}

/// Begins the study in its folder unless it has begun; when that was.
pub(super) fn begin(study: &Study, folder: &StudyFolder, anew: bool) -> Result<String, Failure> {
    if let Some(description) = folder.description()? {
        let differences = description.differences(study);
        if differences.is_empty() {
            return supplied(study, folder, description);
        }
        if !anew {
            same(
                &differences,
                folder,
                "Put the case and its files back as they were to go on; or begin the new one with `study run --anew` (the old is moved aside) or in another folder: --into FOLDER.",
            )?;
        }
        if folder.shards().into_iter().any(|shard| folder.is_held(shard)) {
            return Err(Failure::input(
                "the study in this folder is being computed, so it cannot be moved aside",
                "Stop that process first, or begin the new study in another folder: --into FOLDER.",
            ));
        }
        let aside = folder.put_aside()?;
        terminal::complain(&format!("The earlier study is in {} now.", aside.display()));
    }
    let description = Description::of(study, now());
    folder.describe(&description)?;
    Ok(description.begun)
}

/// Remembers files that have come since the study of this description began; when that was.
fn supplied(study: &Study, folder: &StudyFolder, mut description: Description) -> Result<String, Failure> {
    if study.files.keys().any(|name| !description.files.contains_key(name)) {
        description.files.extend(study.files.clone());
        folder.describe(&description)?;
    }
    Ok(description.begun)
}

/// A flag that Ctrl-C sets; the second time the process ends at once, and loses only what it was computing.
pub(super) fn stopped_by_hand() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    ctrlc::set_handler(move || {
        if flag.swap(true, Ordering::Relaxed) {
            process::exit(130);
        }
        terminal::complain(
            "Stopping: the variants at hand are being finished. Ctrl-C once more stops at once.",
        );
    })
    .map_err(Failure::ours)?;
    Ok(stop)
}

fn announced(
    study: &Study,
    shard: Shard,
    (mine, earlier): (usize, usize),
    expected: Option<String>,
) -> String {
    let varied: Vec<&str> = study.parameters.iter().map(|parameter| parameter.name.as_str()).collect();
    let all = if study.is_adaptive() { study.count() } else { mine };
    let part = match shard {
        Shard::WHOLE if study.is_adaptive() => ", chosen by what earlier ones gave".into(),
        Shard::WHOLE => String::new(),
        Shard { index, count } => format!(", of {} in all: part {index} of {count}", whole(study.count())),
    };
    let before = match earlier {
        0 => String::new(),
        earlier => format!("; {} are finished, {} to go", whole(earlier), whole(all - earlier)),
    };
    let long = expected.unwrap_or_default();
    format!("{} variants of {}{part}{before}.{long}", whole(all), varied.join("; "))
}

fn closing(status: &Status, study: &Study, run: &Run, failed: usize) -> String {
    let failures = match failed {
        0 => String::new(),
        failed => format!(" {} failed: `panelwright study status` says why.", whole(failed)),
    };
    let speed = match status.fresh {
        0 => String::new(),
        fresh => format!(" {} in {}.", whole(fresh), duration(status.elapsed)),
    };
    let case = run.options.case.display();
    let total = if study.is_adaptive() { study.count() } else { status.total };
    let next = match status.finished == total {
        true => format!(
            "All {} variants are finished.{speed}{failures}\n`panelwright study rank {case}` tells the best.",
            whole(total)
        ),
        false => format!(
            "Stopped: {} of {} variants are finished and kept.{speed}{failures}\nThe same command goes on.",
            whole(status.finished),
            whole(total)
        ),
    };
    format!("{next}\nResults are in {}", run.folder.path().display())
}
