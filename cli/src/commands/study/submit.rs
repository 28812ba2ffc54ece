//! `panelwright study submit`: hands a study to a cluster, part by part.

use super::run::{begin, moving};
use super::{command, folder, gather, shareable};
use crate::args::{self, KEPT};
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{Cluster, Finished, Shard, SlurmError, Study, StudyFolder, Submitted, Wanted, ranges};
use crate::terminal;
use std::path::Path;

/// Memory of the program itself [bytes].
const PROGRAM: f64 = 2e8;

/// Submits the parts in which something is missing and that are not queued; gathers when nothing is missing.
///
/// # Errors
/// When the case is wrong, the folder holds another study or cannot be used, or Slurm is not there or refuses.
pub fn run(options: &args::StudySubmit) -> Result<(), Failure> {
    let study = Study::read(&options.case)?;
    shareable(&study)?;
    let folder = folder(&options.case, options.into.as_ref());
    begin(&study, &folder, false)?;
    let cluster = Cluster::of(&study, &folder)?;
    let before = cluster.submitted()?;
    let mut wanted = wanted(options, before.as_ref().map(|before| &before.wanted))?;
    wanted.megabytes = wanted.megabytes.or_else(|| needed(&study, wanted.workers));
    let unfinished = finished(&study, &folder)?.unfinished_parts(&study.order(), wanted.shards);
    if unfinished.is_empty() {
        return gather_all(&study, &folder, options);
    }
    let queued = match &before {
        Some(before) if !options.dry_run => {
            let queued = cluster.queued(&before.jobs).map_err(|error| refused(error, None, options))?;
            same_parts(&queued, before.wanted.shards, wanted.shards)?;
            queued
        }
        _ => vec![],
    };
    let free = |part: &usize| queued.iter().all(|(_, waiting)| waiting != part);
    let parts: Vec<usize> = unfinished.into_iter().filter(free).collect();
    if parts.is_empty() {
        terminal::print(&all_queued(&queued, options));
        return Ok(());
    }
    let scripts = cluster.write_scripts(&wanted, &parts)?;
    let told = match options.dry_run {
        true => would_submit(&parts, &wanted, &scripts.0),
        false => submit(&cluster, (&scripts.0, &scripts.1), (&parts, wanted), &queued, options)?,
    };
    terminal::print(&told);
    Ok(())
}

/// What the options say, and of what they do not say what was wanted before.
fn wanted(options: &args::StudySubmit, before: Option<&Wanted>) -> Result<Wanted, Failure> {
    let minutes = options.time.map(|time| time.as_secs().div_ceil(60));
    Ok(Wanted {
        shards: shards(options.shards.or(before.map(|before| before.shards)))?,
        workers: options.workers.or(before.map(|before| before.workers)).unwrap_or(1).max(1),
        megabytes: options.memory,
        partition: options.partition.clone().or_else(|| before?.partition.clone()),
        minutes: minutes.or_else(|| before?.minutes),
    })
}

/// Memory [MB] of a task with so many workers: of the program, of what is kept for all, and of each worker, which is known within a factor of two.
fn needed(study: &Study, workers: usize) -> Option<u64> {
    let numbers: Vec<usize> = (0..study.chosen()).collect();
    let each = study.forecast((&numbers, study.count()), moving(study))?.bytes;
    let all = PROGRAM + KEPT as f64 * 1e6 + 2.0 * workers as f64 * each;
    Some((all / 1e8).ceil() as u64 * 100)
}

fn shards(count: Option<usize>) -> Result<usize, Failure> {
    match count {
        Some(count @ 1..=Shard::MOST) => Ok(count),
        Some(count) => Err(Failure::input(
            format!("a study cannot be cut into {count} parts"),
            format!("Give a number from 1 to {}: --shards 64.", Shard::MOST),
        )),
        None => Err(Failure::input(
            "into how many parts the study is to be cut is not said",
            "Give a number: --shards 64. Each part is a task of its own.",
        )),
    }
}

/// What any journal has finished.
fn finished(study: &Study, folder: &StudyFolder) -> Result<Finished, Failure> {
    let mut finished = Finished::default();
    for record in folder.stream(&study.identity.digest(), None) {
        finished.note(&record.map_err(|error| folder.unusable(error))?);
    }
    Ok(finished)
}

/// Parts that are queued under another number of parts would be computed twice.
fn same_parts(queued: &[(u64, usize)], before: usize, shards: usize) -> Result<(), Failure> {
    if queued.is_empty() || before == shards {
        return Ok(());
    }
    let jobs = numbers(&jobs(queued));
    let count = queued.len();
    Err(Failure::input(
        format!("{count} parts of {before} are still queued or running, so it cannot be cut into {shards}"),
        format!("Wait for them, or stop them with `scancel {jobs}`: what they have finished is kept."),
    ))
}

fn submit(
    cluster: &Cluster,
    (array, gather): (&Path, &Path),
    (parts, wanted): (&[usize], Wanted),
    queued: &[(u64, usize)],
    options: &args::StudySubmit,
) -> Result<String, Failure> {
    let job = cluster.submit(array, &[]).map_err(|error| refused(error, Some(array), options))?;
    let all: Vec<u64> = jobs(queued).into_iter().chain([job]).collect();
    let shards = wanted.shards;
    cluster.keep(&Submitted { wanted, jobs: all.clone() })?;
    let again = command("submit", &options.case, options.into.as_ref());
    let afterwards = match cluster.submit(gather, &all) {
        Ok(job) => format!("Job {job} gathers what they have computed when all have ended."),
        Err(error) => format!(
            "Nothing gathers afterwards ({error}); give the same command once more when they have ended."
        ),
    };
    let told = [
        format!("Script: {}; what the tasks say is in the folder log beside it.", array.display()),
        afterwards,
        format!(
            "`squeue --job {job}` shows the queue, `panelwright study status` what is finished, and `{again}` submits what is missing then."
        ),
    ];
    let waiting = match queued.len() {
        0 => String::new(),
        count => format!("; {count} others were queued already"),
    };
    Ok(format!("Submitted parts {} of {shards} as job {job}{waiting}.\n{}", ranges(parts), bullets(&told)))
}

fn would_submit(parts: &[usize], wanted: &Wanted, script: &Path) -> String {
    let parts = ranges(parts);
    format!("It would submit parts {parts} of {}: `sbatch {}`", wanted.shards, script.display())
}

fn gather_all(study: &Study, folder: &StudyFolder, options: &args::StudySubmit) -> Result<(), Failure> {
    let (case, into) = (options.case.clone(), options.into.clone());
    let gathered = gather::gathered(study, folder, &args::StudyGather { case, into, folders: vec![] })?;
    terminal::print(&format!("Nothing is left to submit.\n{gathered}"));
    Ok(())
}

fn all_queued(queued: &[(u64, usize)], options: &args::StudySubmit) -> String {
    format!(
        "Nothing to submit: every part in which something is missing is queued or running already (jobs {}).\n`{}` once more when they have ended.",
        numbers(&jobs(queued)),
        command("submit", &options.case, options.into.as_ref())
    )
}

/// The jobs of these tasks, each once.
fn jobs(queued: &[(u64, usize)]) -> Vec<u64> {
    let mut jobs: Vec<u64> = queued.iter().map(|(job, _)| *job).collect();
    jobs.sort();
    jobs.dedup();
    jobs
}

fn numbers(jobs: &[u64]) -> String {
    jobs.iter().map(u64::to_string).collect::<Vec<_>>().join(" ")
}

/// What to do when Slurm does not do it; `script` is what it was to submit.
fn refused(error: SlurmError, script: Option<&Path>, options: &args::StudySubmit) -> Failure {
    let kept = script.map(|script| format!(" The script is in {}.", script.display())).unwrap_or_default();
    let by_hand = command("run", &options.case, options.into.as_ref());
    let help = match error {
        SlurmError::Missing(_) => format!(
            "Give the command on a machine of the cluster, or install Slurm's commands (Debian: slurm-client). Without Slurm, compute part by part on any machine: `{by_hand} --shard 1/4` to 4/4, then gather.{kept}"
        ),
        _ => format!("Mend what it complains of and give the same command again.{kept}"),
    };
    Failure::input(error, help)
}
