//! A folder of finished work, so that a stopped run goes on and a changed one computes only what has changed.
//!
//! One file per piece, named after what it depends on: the question's own [`Key`] and this very program. It holds a line that says what it is, a
//! BLAKE3 digest of the rest, and the work. A file appears whole or not at all (written beside its place, on the disk before it is moved there), so
//! that a run may be killed at any time, and two runs may share a folder. What is damaged all the same is removed and counts as not there. When the
//! folder grows beyond its limit, what has not been used for longest goes first.

use super::write_whole;
use panelwright_solver::kept::{KeptWork, Key};
use std::cell::RefCell;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// First line of every file.
const HEAD: &[u8] = b"panelwright kept work 1\n";
const DIGEST: usize = 32;
/// Ending of finished files.
const WORK: &str = "work";
/// Ending of files that are being written.
const PARTIAL: &str = "partial";
/// Unfinished files older than this belong to a run that was killed.
const FORSAKEN: Duration = Duration::from_secs(3600);

/// The folder.
pub struct KeptFolder {
    path: PathBuf,
    /// Most bytes of all files together.
    limit: u64,
    /// Digest of the program: another one may compute otherwise.
    program: [u8; DIGEST],
    noted: RefCell<Noted>,
}

/// What went wrong.
#[derive(Default)]
struct Noted {
    damaged: usize,
    failure: Option<String>,
}

/// A finished file.
struct Piece {
    path: PathBuf,
    size: u64,
    used: SystemTime,
}

impl KeptFolder {
    /// The folder at `path`, made now if need be, for at most `limit` bytes.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn open(path: &Path, limit: u64) -> io::Result<Self> {
        Self::of_program(path, limit, this_program())
    }

    fn of_program(path: &Path, limit: u64, program: [u8; DIGEST]) -> io::Result<Self> {
        fs::create_dir_all(path)?;
        let folder = Self { path: path.into(), limit, program, noted: RefCell::default() };
        folder.remove_forsaken();
        folder.shrink();
        Ok(folder)
    }

    /// Removes everything that is kept at `path`; a folder that is not there has nothing to remove.
    ///
    /// # Errors
    /// When a file cannot be removed.
    pub fn clear(path: &Path) -> io::Result<()> {
        if !path.is_dir() {
            return Ok(());
        }
        files(path, WORK).chain(files(path, PARTIAL)).try_for_each(fs::remove_file)
    }

    /// What went wrong, in sentences.
    pub fn notes(&self) -> Vec<String> {
        let noted = self.noted.borrow();
        let place = self.path.display();
        let damaged = (noted.damaged > 0).then(|| match noted.damaged {
            1 => format!("One file in {place} was damaged; what it held was computed again."),
            count => format!("{count} files in {place} were damaged; what they held was computed again."),
        });
        let failure = noted.failure.as_ref();
        let failed = failure.map(|error| format!("Not everything could be kept in {place}: {error}."));
        damaged.into_iter().chain(failed).collect()
    }

    fn file(&self, key: &Key) -> PathBuf {
        let name = blake3::keyed_hash(&self.program, key.to_string().as_bytes());
        self.path.join(format!("{}.{WORK}", name.to_hex()))
    }

    fn write(&self, path: &Path, work: &[u8]) -> io::Result<()> {
        let digest = blake3::hash(work);
        let written = write_whole(path, &[HEAD, digest.as_bytes(), work].concat());
        // A new name is on the disk once its folder is; not every system can say so of a folder.
        let _ = File::open(&self.path).and_then(|folder| folder.sync_all());
        written
    }

    fn remove_forsaken(&self) {
        for file in files(&self.path, PARTIAL) {
            let age =
                file.metadata().and_then(|about| about.modified()).ok().and_then(|at| at.elapsed().ok());
            if age.is_some_and(|age| age > FORSAKEN) {
                let _ = fs::remove_file(file);
            }
        }
    }

    /// Removes what was not used for longest until the rest is within the limit.
    fn shrink(&self) {
        let piece = |path: PathBuf| {
            let about = path.metadata().ok()?;
            Some(Piece { size: about.len(), used: about.modified().ok()?, path })
        };
        let mut pieces: Vec<Piece> = files(&self.path, WORK).filter_map(piece).collect();
        pieces.sort_by(|a, b| b.used.cmp(&a.used).then_with(|| a.path.cmp(&b.path)));
        let mut total = 0;
        for piece in pieces {
            total += piece.size;
            if total > self.limit {
                let _ = fs::remove_file(piece.path);
            }
        }
    }
}

impl KeptWork for KeptFolder {
    fn find(&self, key: &Key) -> Option<Vec<u8>> {
        let path = self.file(key);
        let bytes = fs::read(&path).ok()?;
        let Some(work) = whole(&bytes) else {
            self.noted.borrow_mut().damaged += 1;
            let _ = fs::remove_file(path);
            return None;
        };
        // The time of last use decides what goes first; a folder that is read-only has no use for it.
        let _ = File::options().append(true).open(path).and_then(|file| file.set_modified(SystemTime::now()));
        Some(work.to_vec())
    }

    fn keep(&self, key: &Key, work: &[u8]) {
        if (HEAD.len() + DIGEST + work.len()) as u64 > self.limit {
            self.noted.borrow_mut().failure.get_or_insert_with(|| "the limit is too small for it".into());
        } else if let Err(error) = self.write(&self.file(key), work) {
            self.noted.borrow_mut().failure.get_or_insert_with(|| error.to_string());
        } else {
            self.shrink();
        }
    }
}

/// The work in a file, if it is as it was written.
fn whole(bytes: &[u8]) -> Option<&[u8]> {
    let (digest, work) = bytes.strip_prefix(HEAD)?.split_at_checked(DIGEST)?;
    (blake3::hash(work).as_bytes() == digest).then_some(work)
}

/// Files of a folder with this ending.
fn files(folder: &Path, ending: &'static str) -> impl Iterator<Item = PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).filter(move |path| path.extension().is_some_and(|e| e == ending))
}

/// Digest of the program that runs; of its version alone where the program's file cannot be read.
fn this_program() -> [u8; DIGEST] {
    let mut digest = blake3::Hasher::new();
    digest.update(env!("CARGO_PKG_VERSION").as_bytes());
    if let Ok(mut program) = std::env::current_exe().and_then(File::open) {
        let _ = digest.update_reader(&mut program);
    }
    digest.finalize().into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::thread::sleep;

    fn key(number: u32) -> Key {
        Key::of("test", &number)
    }

    fn folder(limit: u64) -> (tempfile::TempDir, KeptFolder) {
        let place = tempfile::tempdir().expect("a temporary folder");
        let folder = KeptFolder::open(&place.path().join("kept"), limit).expect("a folder");
        (place, folder)
    }

    #[test]
    fn what_was_kept_is_found_by_the_next_run_of_the_same_program_only() {
        let (place, folder) = folder(1 << 20);
        folder.keep(&key(1), b"long work");
        assert_eq!((folder.find(&key(1)), folder.find(&key(2))), (Some(b"long work".to_vec()), None));
        let path = place.path().join("kept");
        let next = KeptFolder::open(&path, 1 << 20).expect("a folder");
        assert_eq!(next.find(&key(1)), Some(b"long work".to_vec()));
        let other = KeptFolder::of_program(&path, 1 << 20, [7; DIGEST]).expect("a folder");
        assert_eq!(other.find(&key(1)), None);
        KeptFolder::clear(&path).expect("it can be cleared");
        assert_eq!((next.find(&key(1)), files(&path, WORK).count()), (None, 0));
    }

    #[test]
    fn every_damage_is_seen_told_and_removed() {
        let (_place, folder) = folder(1 << 20);
        folder.keep(&key(1), b"long work");
        let file = folder.file(&key(1));
        let sound = fs::read(&file).expect("it was written");
        let mut damaged: Vec<Vec<u8>> = (0..sound.len()).map(|end| sound[..end].to_vec()).collect();
        damaged.extend((0..sound.len()).map(|at| {
            let mut flipped = sound.clone();
            flipped[at] ^= 1;
            flipped
        }));
        for bytes in &damaged {
            fs::write(&file, bytes).expect("the folder is writable");
            assert_eq!(folder.find(&key(1)), None);
            assert!(!file.exists());
        }
        assert!(folder.notes()[0].starts_with(&format!("{} files", damaged.len())), "{:?}", folder.notes());
        fs::write(&file, &sound).expect("the folder is writable");
        assert!(folder.find(&key(1)).is_some());
    }

    #[test]
    fn what_was_not_used_for_longest_goes_first() {
        let (_place, folder) = folder(3 * (HEAD.len() + DIGEST + 100) as u64);
        for number in 0..3 {
            folder.keep(&key(number), &[0; 100]);
            sleep(Duration::from_millis(15));
        }
        assert!(folder.find(&key(0)).is_some());
        sleep(Duration::from_millis(15));
        folder.keep(&key(3), &[0; 100]);
        assert_eq!([0, 1, 2, 3].map(|n| folder.find(&key(n)).is_some()), [true, false, true, true]);
        folder.keep(&key(4), &[0; 1000]);
        assert_eq!(folder.find(&key(4)), None);
        assert!(folder.notes()[0].contains("too small"), "{:?}", folder.notes());
    }

    #[test]
    fn a_place_that_cannot_be_written_is_told_and_the_work_goes_on() {
        let (_place, folder) = folder(1 << 20);
        fs::remove_dir_all(&folder.path).expect("it can be removed");
        folder.keep(&key(1), b"work");
        assert_eq!((folder.find(&key(1)), folder.notes().len()), (None, 1));
    }
}
