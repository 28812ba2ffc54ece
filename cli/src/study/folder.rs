//! The folder of a study.
//!
//! ```text
//! study.json               what the study is: identity, case, when it began
//! shard-1-of-1.journal     finished variants of a shard (see `journal`)
//! shard-1-of-1.h5          the same for reading, written anew block by block
//! shard-1-of-1.lock        held by the process that computes the shard
//! ```

use super::identity::Identity;
use super::journal::{self, Journal, JournalError, Kept};
use super::record::Record;
use crate::failure::Failure;
use crate::results::now;
use crate::store::write_whole;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{self, File, TryLockError};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Duration;

const DESCRIPTION: &str = "study.json";

/// A part of a study: number `index` (from 1) of `count`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shard {
    /// From 1.
    pub index: usize,
    /// How many there are.
    pub count: usize,
}

/// What a study is.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Description {
    /// What makes it the same study.
    pub identity: Identity,
    /// When it began, RFC 3339.
    pub begun: String,
    /// How many variants.
    pub variants: usize,
    /// The text of its case.
    pub case: String,
}

/// The folder of a study.
#[derive(Clone, Debug)]
pub struct StudyFolder {
    path: PathBuf,
}

/// A shard that this process computes.
pub struct Held {
    /// Its journal.
    pub journal: Journal,
    /// What was in it.
    pub kept: Kept,
    /// Released when this is dropped, or when the process ends in whatever way.
    _lock: File,
}

impl Shard {
    /// The whole.
    pub const WHOLE: Self = Self { index: 1, count: 1 };

    /// `3/64`.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let help = "write NUMBER/COUNT, such as 3/64";
        let (index, count) = text.split_once('/').ok_or(help)?;
        let number = |text: &str| text.trim().parse::<usize>().map_err(|_| help.to_owned());
        let shard = Self { index: number(index)?, count: number(count)? };
        match (1..=shard.count).contains(&shard.index) && shard.count <= 100_000 {
            true => Ok(shard),
            false => Err(format!("{help}: the number is between 1 and the count, which is at most 100000")),
        }
    }

    /// Which of `total` things in a row are this shard's.
    pub fn range(&self, total: usize) -> std::ops::Range<usize> {
        let end = |index: usize| (total as u128 * index as u128 / self.count as u128) as usize;
        end(self.index - 1)..end(self.index)
    }

    fn stem(&self) -> String {
        format!("shard-{}-of-{}", self.index, self.count)
    }

    /// Of the name of one of its files.
    fn of_file(path: &Path) -> Option<Self> {
        let stem = path.file_stem()?.to_str()?;
        let (index, count) = stem.strip_prefix("shard-")?.split_once("-of-")?;
        Some(Self { index: index.parse().ok()?, count: count.parse().ok()? })
    }
}

impl StudyFolder {
    /// The folder at `path`, which need not exist.
    pub fn at(path: &Path) -> Self {
        Self { path: path.into() }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The file of this name in it.
    pub fn file(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    /// The shard's file for reading.
    pub fn results(&self, shard: Shard) -> PathBuf {
        self.path.join(format!("{}.h5", shard.stem()))
    }

    /// What the study is; `None` where none has begun.
    ///
    /// # Errors
    /// When it is there and cannot be read.
    pub fn description(&self) -> Result<Option<Description>, Failure> {
        let path = self.path.join(DESCRIPTION);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(self.refused(&path, &error)),
        };
        serde_json::from_str(&text).map(Some).map_err(|error| {
            Failure::input(
                format!("{} is not the description of a study: {error}", path.display()),
                "Give another folder with --into.",
            )
        })
    }

    /// Begins a study here.
    ///
    /// # Errors
    /// When the folder cannot be written to.
    pub fn begin(&self, identity: Identity, variants: usize, case: &str) -> Result<(), Failure> {
        let description = Description { identity, begun: now(), variants, case: case.into() };
        let text = serde_json::to_string_pretty(&description).map_err(Failure::ours)?;
        fs::create_dir_all(&self.path).map_err(|error| self.refused(&self.path, &error))?;
        let path = self.path.join(DESCRIPTION);
        write_whole(&path, text.as_bytes()).map_err(|error| self.refused(&path, &error))
    }

    /// Moves the whole folder aside, to the first free name with a number.
    ///
    /// # Errors
    /// When it cannot be moved.
    pub fn put_aside(&self) -> Result<PathBuf, Failure> {
        let name = self.path.file_name().map_or("study".into(), |name| name.to_string_lossy().into_owned());
        let aside = (1..).map(|number| self.path.with_file_name(format!("{name}-{number}")));
        let aside = aside
            .into_iter()
            .find(|path| !path.exists())
            .unwrap_or_else(|| self.path.with_extension("aside"));
        fs::rename(&self.path, &aside).map_err(|error| self.refused(&self.path, &error))?;
        Ok(aside)
    }

    /// Takes a shard for this process.
    ///
    /// # Errors
    /// When another process computes it, or its files cannot be used.
    pub fn hold(&self, shard: Shard, study: &[u8; 32]) -> Result<Held, Failure> {
        let path = self.path.join(format!("{}.lock", shard.stem()));
        let mut lock = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|error| self.refused(&path, &error))?;
        match locked(&lock) {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let by = fs::read_to_string(&path).unwrap_or_default();
                return Err(Failure::input(
                    format!("another process computes this study already{}", by.trim_end()),
                    "Wait for it, watch it with `panelwright study status`, or stop it: what it has finished is kept.",
                ));
            }
            Err(TryLockError::Error(error)) => return Err(self.refused(&path, &error)),
        }
        // Who holds it is for people to read; without it the lock is as good.
        let _ =
            lock.set_len(0).and_then(|()| write!(lock, " (process {}, since {})", std::process::id(), now()));
        let path = self.path.join(format!("{}.journal", shard.stem()));
        let (journal, kept) = Journal::open(&path, study).map_err(|error| self.unusable(error))?;
        Ok(Held { journal, kept, _lock: lock })
    }

    /// The shards that have begun.
    pub fn shards(&self) -> Vec<Shard> {
        let entries = fs::read_dir(&self.path).into_iter().flatten().flatten().map(|entry| entry.path());
        let journals = entries.filter(|path| path.extension().is_some_and(|ending| ending == "journal"));
        let mut shards: Vec<Shard> = journals.filter_map(|path| Shard::of_file(&path)).collect();
        shards.sort();
        shards
    }

    /// True when a process computes this shard now.
    pub fn is_held(&self, shard: Shard) -> bool {
        let lock = File::options().write(true).open(self.path.join(format!("{}.lock", shard.stem())));
        lock.is_ok_and(|lock| matches!(lock.try_lock_shared(), Err(TryLockError::WouldBlock)))
    }

    /// Every finished variant of all shards, by its number, each once.
    ///
    /// # Errors
    /// When a journal cannot be read.
    pub fn records(&self, study: &[u8; 32]) -> Result<BTreeMap<u64, Record>, Failure> {
        let mut records = BTreeMap::new();
        for shard in self.shards() {
            let path = self.path.join(format!("{}.journal", shard.stem()));
            let kept = journal::look(&path, study).map_err(|error| self.unusable(error))?;
            for record in kept.records {
                records.entry(record.number).or_insert(record);
            }
        }
        Ok(records)
    }

    fn refused(&self, path: &Path, error: &std::io::Error) -> Failure {
        Failure::input(
            format!("{} cannot be used: {error}", path.display()),
            "Free some space or mend its permissions, or give another folder with --into. What is finished is kept.",
        )
    }

    fn unusable(&self, error: JournalError) -> Failure {
        let help = match error {
            JournalError::Foreign(_) => {
                "It is left as it is. Give another folder with --into, or move it away."
            }
            JournalError::File { .. } => "Free some space or mend its permissions. What is finished is kept.",
        };
        Failure::input(error, help)
    }
}

/// Locks a file; whoever only looks whether it is locked holds it for an instant, which is waited for.
fn locked(file: &File) -> Result<(), TryLockError> {
    for _ in 0..5 {
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(20)),
            other => return other,
        }
    }
    file.try_lock()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shards_share_everything_out_once() {
        for total in [0, 1, 7, 64, 1000] {
            for count in [1, 3, 8, 64] {
                let ranges = (1..=count).map(|index| Shard { index, count }.range(total));
                let all: Vec<usize> = ranges.clone().flatten().collect();
                assert_eq!(all, (0..total).collect::<Vec<_>>());
                let sizes: Vec<usize> = ranges.map(|range| range.len()).collect();
                assert!(sizes.iter().max().unwrap_or(&0) - sizes.iter().min().unwrap_or(&0) <= 1);
            }
        }
    }

    #[test]
    fn shards_are_read_as_they_are_written() {
        assert_eq!(Shard::parse("3/64"), Ok(Shard { index: 3, count: 64 }));
        for wrong in ["3", "0/4", "5/4", "a/4", "1/0", "-1/4"] {
            assert!(Shard::parse(wrong).is_err(), "{wrong}");
        }
        let shard = Shard { index: 3, count: 64 };
        assert_eq!(Shard::of_file(Path::new("x/shard-3-of-64.journal")), Some(shard));
    }

    #[test]
    fn a_shard_is_held_by_one_at_a_time_and_free_again_afterwards() {
        let place = tempfile::tempdir().expect("a folder");
        let folder = StudyFolder::at(place.path());
        let held = folder.hold(Shard::WHOLE, &[1; 32]);
        assert!(held.is_ok() && folder.is_held(Shard::WHOLE));
        assert!(matches!(folder.hold(Shard::WHOLE, &[1; 32]), Err(Failure::Input(_))));
        assert!(folder.hold(Shard { index: 1, count: 2 }, &[1; 32]).is_ok());
        drop(held);
        assert!(!folder.is_held(Shard::WHOLE) && folder.hold(Shard::WHOLE, &[1; 32]).is_ok());
    }
}
