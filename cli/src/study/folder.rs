//! The folder of a study.
//!
//! ```text
//! study.json               what the study is: identity, case, when it began
//! shard-1-of-1.journal     finished variants of a shard (see `journal`)
//! shard-1-of-1.h5          the same for reading, written anew block by block
//! shard-1-of-1.lock        held by the process that computes the shard
//! gathered.journal  .h5    what was gathered from several shards or machines, every variant once
//! slurm.json  shards.sh    what was submitted to a cluster (see `slurm`)
//! ```

use super::identity::Identity;
use super::journal::{Journal, JournalError, Records, write};
use super::named_files::{NamedFiles, changed};
use super::plan::Study;
use super::record::{Record, VariantResult};
use super::shard::Shard;
use crate::failure::Failure;
use crate::results::now;
use crate::store::write_whole;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{self, File, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

const DESCRIPTION: &str = "study.json";
const GATHERED: &str = "gathered";

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
    /// What the files that only variants name held.
    #[serde(default)]
    pub files: NamedFiles,
}

impl Description {
    /// Of a `study` that began then.
    pub fn of(study: &Study, begun: String) -> Self {
        Self {
            identity: study.identity.clone(),
            begun,
            variants: study.count(),
            case: study.source.clone(),
            files: study.files.clone(),
        }
    }

    /// How `study` differs from what this describes, in sentences; none when it is the same.
    pub fn differences(&self, study: &Study) -> Vec<String> {
        [self.identity.differences(&study.identity), changed(&self.files, &study.files)].concat()
    }
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
    /// Bytes at its end that were no record.
    pub spoilt: u64,
    /// Released when this is dropped, or when the process ends in whatever way.
    _lock: File,
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

    /// The shard's journal.
    pub fn journal(&self, shard: Shard) -> PathBuf {
        self.path.join(format!("{}.journal", shard.stem()))
    }

    /// The shard's file for reading.
    pub fn results(&self, shard: Shard) -> PathBuf {
        self.path.join(format!("{}.h5", shard.stem()))
    }

    /// The journal of what was gathered, and the file for reading.
    pub fn gathered(&self) -> (PathBuf, PathBuf) {
        (self.path.join(format!("{GATHERED}.journal")), self.path.join(format!("{GATHERED}.h5")))
    }

    /// What the study is; `None` where none has begun.
    ///
    /// # Errors
    /// When it is there and cannot be read.
    pub fn description(&self) -> Result<Option<Description>, Failure> {
        let path = self.path.join(DESCRIPTION);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(self.refused(&path, &error)),
        };
        serde_json::from_str(&text).map(Some).map_err(|error| {
            Failure::input(
                format!("{} is not the description of a study: {error}", path.display()),
                "Give another folder with --into.",
            )
        })
    }

    /// Says what the study here is.
    ///
    /// # Errors
    /// When the folder cannot be written to.
    pub fn describe(&self, description: &Description) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(description).map_err(Failure::ours)?;
        fs::create_dir_all(&self.path).map_err(|error| self.refused(&self.path, &error))?;
        self.write(DESCRIPTION, text.as_bytes()).map(drop)
    }

    /// Writes a file of this name in it, whole or not at all; where it is.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<PathBuf, Failure> {
        let path = self.path.join(name);
        write_whole(&path, bytes).map_err(|error| self.refused(&path, &error))?;
        Ok(path)
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

    /// Takes a shard for this process. `seen` is told every record of its journal and the byte behind it.
    ///
    /// # Errors
    /// When another process computes it, or its files cannot be used.
    pub fn hold(
        &self,
        shard: Shard,
        study: &[u8; 32],
        seen: &mut dyn FnMut(&Record, u64),
    ) -> Result<Held, Failure> {
        let _lock = self.lock(&shard.stem(), "computes")?;
        let opened = Journal::open(&self.journal(shard), study, seen);
        let (journal, spoilt) = opened.map_err(|error| self.unusable(error))?;
        Ok(Held { journal, spoilt, _lock })
    }

    /// Takes failed variants out of a shard's journal, so that they count as not finished; how many those were.
    ///
    /// # Errors
    /// When another process computes the shard, or its files cannot be used.
    pub fn forget_failed(&self, shard: Shard, study: &[u8; 32]) -> Result<usize, Failure> {
        let _lock = self.lock(&shard.stem(), "computes")?;
        let path = self.journal(shard);
        let failed = |record: &Record| matches!(record.result, VariantResult::Failed(_));
        let forget = || {
            let count = Records::of(&path, study)?.filter(|record| record.as_ref().is_ok_and(failed)).count();
            if count > 0 {
                let others = Records::of(&path, study)?.filter(|record| !record.as_ref().is_ok_and(failed));
                write(&path, study, others)?;
            }
            Ok(count)
        };
        if path.exists() { forget().map_err(|error| self.unusable(error)) } else { Ok(0) }
    }

    /// The lock of this name, for this process alone; `does` says what another one does that has it.
    fn lock(&self, stem: &str, does: &str) -> Result<File, Failure> {
        let path = self.path.join(format!("{stem}.lock"));
        let opened = File::options().create(true).truncate(false).write(true).open(&path);
        let mut lock = opened.map_err(|error| self.refused(&path, &error))?;
        match locked(&lock) {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let by = fs::read_to_string(&path).unwrap_or_default();
                return Err(Failure::input(
                    format!("another process {does} this study already{}", by.trim_end()),
                    "Wait for it, watch it with `panelwright study status`, or stop it: what it has finished is kept.",
                ));
            }
            Err(TryLockError::Error(error)) => return Err(self.refused(&path, &error)),
        }
        // Who holds it is for people to read; without it the lock is as good.
        let who = format!(" (process {}, since {})", std::process::id(), now());
        let _ = lock.set_len(0).and_then(|()| lock.write_all(who.as_bytes()));
        Ok(lock)
    }

    /// Takes the place where gathered variants lie for this process alone.
    ///
    /// # Errors
    /// When another process gathers here, or the folder cannot be written to.
    pub fn hold_gathered(&self) -> Result<File, Failure> {
        self.lock(GATHERED, "gathers")
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

    /// Every record of all journals but that of one shard, one after the other; a variant may stand in several.
    pub fn stream(
        &self,
        study: &[u8; 32],
        but: Option<Shard>,
    ) -> impl Iterator<Item = Result<Record, JournalError>> + use<> {
        let study = *study;
        let others = self.shards().into_iter().filter(|shard| Some(*shard) != but);
        let gathered = Some(self.gathered().0).filter(|path| path.exists());
        let journals: Vec<PathBuf> = gathered.into_iter().chain(others.map(|s| self.journal(s))).collect();
        journals.into_iter().flat_map(move |path| match Records::of(&path, &study) {
            Ok(records) => Box::new(records) as Box<dyn Iterator<Item = _>>,
            Err(error) => Box::new(std::iter::once(Err(error))),
        })
    }

    /// Every finished variant by its number, each once; levels at the seats are left out.
    ///
    /// # Errors
    /// When a journal cannot be read.
    pub fn records(&self, study: &[u8; 32]) -> Result<BTreeMap<u64, Record>, Failure> {
        let mut records: BTreeMap<u64, Record> = BTreeMap::new();
        for record in self.stream(study, None) {
            let mut record = record.map_err(|error| self.unusable(error))?;
            if let VariantResult::Measured { levels, .. } = &mut record.result {
                *levels = vec![];
            }
            // What failed once and was computed another time is computed.
            let counts = |known: &Record| !matches!(known.result, VariantResult::Failed(_));
            if !records.get(&record.number).is_some_and(counts) {
                records.insert(record.number, record);
            }
        }
        Ok(records)
    }

    /// What a file of it that cannot be used means for the user.
    pub(super) fn refused(&self, path: &Path, error: &io::Error) -> Failure {
        let help = match error.kind() {
            ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied => {
                "It is read-only for you: mend its permissions, or give another folder with --into. What is finished is kept."
            }
            _ => {
                "Free some space or mend its permissions, or give another folder with --into. What is finished is kept."
            }
        };
        Failure::input(format!("{} cannot be used: {error}", path.display()), help)
    }

    /// What a journal that cannot be used means for the user.
    pub fn unusable(&self, error: JournalError) -> Failure {
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

    fn hold(folder: &StudyFolder, shard: Shard) -> Result<Held, Failure> {
        folder.hold(shard, &[1; 32], &mut |_, _| ())
    }

    #[test]
    fn a_shard_is_held_by_one_at_a_time_and_free_again_afterwards() {
        let place = tempfile::tempdir().expect("a folder");
        let folder = StudyFolder::at(place.path());
        let held = hold(&folder, Shard::WHOLE);
        assert!(held.is_ok() && folder.is_held(Shard::WHOLE));
        assert!(matches!(hold(&folder, Shard::WHOLE), Err(Failure::Input(_))));
        assert!(hold(&folder, Shard { index: 1, count: 2 }).is_ok());
        drop(held);
        assert!(!folder.is_held(Shard::WHOLE) && hold(&folder, Shard::WHOLE).is_ok());
    }

    #[test]
    fn what_failed_is_forgotten_and_the_rest_stays() {
        let place = tempfile::tempdir().expect("a folder");
        let folder = StudyFolder::at(place.path());
        let record = |number, result| Record { number, seconds: 0.0, result };
        let computed =
            VariantResult::Measured { values: vec![1.0], cost: 0.0, levels: vec![70.0], missing: vec![] };
        let failed = VariantResult::Failed("why".into());
        let records = [record(3, computed.clone()), record(1, failed), record(2, computed)];
        let mut held = hold(&folder, Shard::WHOLE).unwrap_or_else(|_| panic!("free"));
        held.journal.append(&records).expect("room");
        drop(held);
        let forgotten = || folder.forget_failed(Shard::WHOLE, &[1; 32]).unwrap_or_else(|_| panic!("sound"));
        assert_eq!((forgotten(), forgotten()), (1, 0));
        let left = folder.records(&[1; 32]).unwrap_or_else(|_| panic!("sound"));
        assert_eq!(left.keys().copied().collect::<Vec<_>>(), [2, 3]);
    }
}
