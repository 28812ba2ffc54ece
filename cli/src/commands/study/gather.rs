//! `panelwright study gather`: what several machines have computed, brought together.

use super::{command, folder, same, shareable};
use crate::args;
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{Description, Gathered, Outcome, Shard, Study, StudyFolder, changed, gather, ranges};
use crate::terminal::{self, whole};
use std::path::Path;

/// Most numbers that a sentence lists.
const LISTED: usize = 8;

/// Gathers every variant of the study once.
///
/// # Errors
/// When a folder holds another study or nothing at all, or the result cannot be written.
pub fn run(options: &args::StudyGather) -> Result<(), Failure> {
    let study = Study::read(&options.case)?;
    shareable(&study)?;
    let target = folder(&options.case, options.into.as_ref());
    terminal::print(&gathered(&study, &target, options)?);
    Ok(())
}

/// Gathers, and says what came of it.
///
/// # Errors
/// As [`run`].
pub fn gathered(study: &Study, target: &StudyFolder, options: &args::StudyGather) -> Result<String, Failure> {
    let folders = different(target, &options.folders);
    let begun = begun(study, &folders)?;
    let found = gather(study, &folders, &begun)?;
    let Some(found) = found else {
        let places: Vec<String> = folders.iter().map(|folder| folder.path().display().to_string()).collect();
        return Err(Failure::input(
            format!("nothing is finished yet in {}", places.join(", ")),
            format!("`{}` computes.", command("run", &options.case, options.into.as_ref())),
        ));
    };
    Ok(words(study, &folders, &found, options))
}

/// The folder to gather into and the others, each once whatever it is called.
fn different(target: &StudyFolder, others: &[std::path::PathBuf]) -> Vec<StudyFolder> {
    let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.into());
    let mut folders = vec![target.clone()];
    for path in others {
        if folders.iter().all(|known| real(known.path()) != real(path)) {
            folders.push(StudyFolder::at(path));
        }
    }
    folders
}

/// When the study in these folders begun; they must all hold this one. The first may be empty: it begins then.
fn begun(study: &Study, folders: &[StudyFolder]) -> Result<String, Failure> {
    let mut begun: Option<String> = None;
    let mut files = study.files.clone();
    for (f, folder) in folders.iter().enumerate() {
        match folder.description()? {
            Some(description) => {
                let help = "Gather only folders of the study that the case describes, computed by the same version of the program.";
                same(&description.differences(study), folder, help)?;
                same(&changed(&files, &description.files), folder, help)?;
                files.extend(description.files.clone());
                begun = Some(begun.map_or(description.begun.clone(), |known| known.min(description.begun)));
            }
            None if f == 0 => {}
            None => {
                return Err(Failure::input(
                    format!("no study has begun in {}", folder.path().display()),
                    "Name the folder with study.json in it.",
                ));
            }
        }
    }
    let begun = begun.ok_or_else(|| {
        Failure::input(
            format!("no study has begun in {}", folders[0].path().display()),
            "Name the folders to gather from; `panelwright study run` begins a study.",
        )
    })?;
    match folders[0].description()? {
        Some(target) if target.files == files => {}
        Some(target) => folders[0].describe(&Description { files, ..target })?,
        None => folders[0].describe(&Description { files, ..Description::of(study, begun.clone()) })?,
    }
    Ok(begun)
}

fn words(study: &Study, folders: &[StudyFolder], found: &Gathered, options: &args::StudyGather) -> String {
    let missing: Vec<usize> = (0..study.count()).filter(|number| !found.finished.has(*number)).collect();
    let (total, there) = (study.count(), study.count() - missing.len());
    let place = folders[0].path().display();
    let into = options.into.as_ref();
    let head = match missing.len() {
        0 => format!("All {} variants are gathered in {place}.", whole(total)),
        _ => format!("{} of {} variants are gathered in {place}.", whole(there), whole(total)),
    };
    let mut told = vec![origins(folders, &found.from)];
    if found.alike > 0 {
        told.push(format!("{} were there twice with the same bits, and are kept once.", whole(found.alike)));
    }
    if !found.different.is_empty() {
        told.push(format!(
            "{} were there twice and differ (numbers {}); those of the folder named first are kept. Processors of another make may differ in the last digits; look at both if it is more.",
            whole(found.different.len()),
            listed(&found.different)
        ));
    }
    match found.finished.count(Outcome::Failed) {
        0 => {}
        failed => told.push(format!(
            "{} failed; `{} --retry-failed` tries them once more.",
            whole(failed),
            command("run", &options.case, into)
        )),
    }
    if !missing.is_empty() {
        told.push(still_missing(&missing, options));
        told.extend(parts(study, folders, found, options));
    }
    let running = folders.iter().map(running).sum::<usize>();
    if running > 0 {
        told.push("Some of it is being computed now: gather again when that has ended.".into());
    }
    format!(
        "{head}\n{}Results are in {}\n`{}` tells the best.",
        bullets(&told),
        folders[0].gathered().1.display(),
        command("rank", &options.case, into)
    )
}

fn origins(folders: &[StudyFolder], from: &[usize]) -> String {
    let one = |(folder, count): (&StudyFolder, &usize)| {
        format!("{} from {}", whole(*count), folder.path().display())
    };
    format!("{}.", folders.iter().zip(from).map(one).collect::<Vec<_>>().join(", "))
}

fn listed<T: ToString>(numbers: &[T]) -> String {
    let shown: Vec<String> = numbers.iter().take(LISTED).map(T::to_string).collect();
    let more = if numbers.len() > LISTED { " …" } else { "" };
    format!("{}{more}", shown.join(", "))
}

fn still_missing(missing: &[usize], options: &args::StudyGather) -> String {
    format!(
        "{} are missing (numbers {}): `{}` computes them here.",
        whole(missing.len()),
        listed(missing),
        command("run", &options.case, options.into.as_ref())
    )
}

/// In which parts of the study something is missing, where it was computed in parts.
fn parts(
    study: &Study,
    folders: &[StudyFolder],
    found: &Gathered,
    options: &args::StudyGather,
) -> Option<String> {
    let count = folders.iter().flat_map(StudyFolder::shards).map(|shard| shard.count).max()?;
    let parts = found.finished.unfinished_parts(&study.order(), count);
    let first = parts.first().filter(|_| count > 1)?;
    let shard = format!("--shard {first}/{count}");
    Some(format!(
        "They are of the parts {} of {count}: `{} {shard}`, and so on, computes them on any machine.",
        ranges(&parts),
        command("run", &options.case, options.into.as_ref())
    ))
}

fn running(folder: &StudyFolder) -> usize {
    folder.shards().into_iter().filter(|shard: &Shard| folder.is_held(*shard)).count()
}
