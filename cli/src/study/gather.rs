//! Several folders of one study → every variant once, in the journal and the results file that say so.
//!
//! ```text
//! journals of all folders ─▶ which record of each variant counts ─▶ gathered.journal ─▶ gathered.h5
//!                            (24 bytes a variant)                    whole or not at all
//! ```
//!
//! Journals are read twice, as streams: once to choose, once to copy. Those that were gathered from stay as they are, and may be appended to
//! meanwhile: what came later is there the next time.

use super::folder::StudyFolder;
use super::journal::{JournalError, write};
use super::plan::Study;
use super::record::Record;
use super::results::ShardResults;
use super::run::Results;
use super::{Finished, Outcome};
use crate::failure::Failure;

/// What came together.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// Which variants there are now.
    pub finished: Finished,
    /// How many variants are from each folder, in the order of the folders.
    pub from: Vec<usize>,
    /// Variants that more than one folder holds, with the same bits.
    pub alike: usize,
    /// Numbers of variants that were computed twice and came out differently; the one of the earlier folder counts.
    pub different: Vec<u64>,
}

/// Gathers what `folders` hold of a study that `begun` at that time into the first of them. `None` when they hold nothing.
///
/// # Errors
/// When another process gathers there, a journal cannot be read, or the result cannot be written; what was there before stays.
pub fn gather(study: &Study, folders: &[StudyFolder], begun: &str) -> Result<Option<Gathered>, Failure> {
    let target = &folders[0];
    let _lock = target.hold_gathered()?;
    let digest = study.identity.digest();
    let mut choice =
        Choice { gathered: Gathered { from: vec![0; folders.len()], ..Gathered::default() }, of: vec![] };
    for (f, folder) in folders.iter().enumerate() {
        for record in folder.stream(&digest, None) {
            choice.weigh(f, &record.map_err(|error| folder.unusable(error))?);
        }
    }
    if choice.of.is_empty() {
        return Ok(None);
    }
    let (journal, results) = target.gathered();
    let all = folders.iter().flat_map(|folder| folder.stream(&digest, None));
    let chosen = all.filter_map(|record| choice.taken(record));
    write(&journal, &digest, chosen).map_err(|error| target.unusable(error))?;
    ShardResults::of(study, (&journal, &results), begun).flush()?;
    Ok(Some(choice.gathered))
}

/// Which record of each variant counts.
struct Choice {
    gathered: Gathered,
    /// By number.
    of: Vec<Option<Chosen>>,
}

#[derive(Clone, Copy)]
struct Chosen {
    digest: [u8; 16],
    folder: u32,
    failed: bool,
}

impl Choice {
    /// Looks at a record of folder number `f`. The first counts, but what was computed counts more than what failed.
    fn weigh(&mut self, f: usize, record: &Record) {
        let number = record.number as usize;
        if number >= self.of.len() {
            self.of.resize(number + 1, None);
        }
        self.gathered.finished.note(record);
        let failed = record.outcome() == Outcome::Failed;
        let new = Chosen { digest: record.digest(), folder: f as u32, failed };
        let Some(known) = self.of[number] else { return self.choose(number, new) };
        match (known.failed, failed) {
            (true, false) => {
                self.gathered.from[known.folder as usize] -= 1;
                self.choose(number, new);
            }
            (_, true) => {}
            (false, false) if known.digest != new.digest => self.gathered.different.push(record.number),
            (false, false) => self.gathered.alike += usize::from(known.folder != new.folder),
        }
    }

    fn choose(&mut self, number: usize, new: Chosen) {
        self.of[number] = Some(new);
        self.gathered.from[new.folder as usize] += 1;
    }

    /// The record if it is the one that counts, once.
    fn taken(&mut self, record: Result<Record, JournalError>) -> Option<Result<Record, JournalError>> {
        let Ok(found) = &record else { return Some(record) };
        let chosen = self.of.get_mut(found.number as usize)?;
        chosen.take_if(|chosen| chosen.digest == found.digest())?;
        Some(record)
    }
}

#[cfg(test)]
mod tests {
    use super::super::record::VariantResult;
    use super::super::shard::Shard;
    use super::*;
    use std::path::Path;

    const CASE: &str = include_str!("../../../tests/data/small-study.toml");

    fn computed(number: u64, value: f64) -> Record {
        let (values, levels) = (vec![value], vec![70.0; 3]);
        let result = VariantResult::Measured { values, cost: 1.0, levels, missing: vec![] };
        Record { number, seconds: value as f32, result }
    }

    fn failed(number: u64) -> Record {
        Record { number, seconds: 0.0, result: VariantResult::Failed("why".into()) }
    }

    fn study() -> Study {
        Study::of(CASE.into(), Path::new("small.toml")).unwrap_or_else(|_| panic!("a sound case"))
    }

    fn folder(path: &Path, study: &Study, records: &[Record]) -> StudyFolder {
        std::fs::create_dir(path).expect("room");
        let folder = StudyFolder::at(path);
        let held = folder.hold(Shard::WHOLE, &study.identity.digest(), &mut |_, _| ());
        held.unwrap_or_else(|_| panic!("free")).journal.append(records).expect("room");
        folder
    }

    #[test]
    fn every_variant_is_there_once_and_what_was_twice_or_different_is_told() {
        let place = tempfile::tempdir().expect("a folder");
        let study = study();
        let at = |name: &str| place.path().join(name);
        let slower = Record { seconds: 9.0, ..computed(1, 1.0) };
        let folders = [
            folder(&at("a"), &study, &[computed(0, 0.5), computed(1, 1.0), failed(2), failed(7)]),
            folder(&at("b"), &study, &[slower, computed(2, 2.0), computed(3, f64::NAN), failed(0)]),
            folder(&at("c"), &study, &[computed(3, f64::NAN), computed(0, 0.25), failed(7)]),
        ];
        let gathered = gather(&study, &folders, "").unwrap_or_else(|_| panic!("gathers")).expect("something");
        assert_eq!((gathered.from, gathered.alike, gathered.different), (vec![3, 2, 0], 2, vec![0]));
        assert_eq!(gathered.finished.count(Outcome::Measured), 4);
        let (journal, results) = folders[0].gathered();
        let records: Vec<Record> = super::super::journal::Records::of(&journal, &study.identity.digest())
            .expect("sound")
            .map(|record| record.expect("readable"))
            .collect();
        let expected =
            [computed(0, 0.5), computed(1, 1.0), failed(7), computed(2, 2.0), computed(3, f64::NAN)];
        assert_eq!(records.len(), expected.len());
        assert!(records.iter().zip(&expected).all(|(a, b)| a.tells_the_same(b)));
        let rows = hdf5::File::open(&results).and_then(|file| file.dataset("variant")?.read_raw::<u64>());
        assert_eq!(rows.expect("whole"), [0, 1, 7, 2, 3]);
        // Gathered once more, it is the same, and nothing of it counts as twice.
        let again =
            gather(&study, &folders[..1], "").unwrap_or_else(|_| panic!("gathers")).expect("something");
        assert_eq!((again.from, again.alike, again.different), (vec![5], 0, vec![]));
    }

    #[test]
    fn nothing_is_gathered_from_nothing() {
        let place = tempfile::tempdir().expect("a folder");
        let study = study();
        let empty = folder(&place.path().join("a"), &study, &[]);
        assert!(matches!(gather(&study, &[empty], ""), Ok(None)));
    }
}
