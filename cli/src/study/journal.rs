//! The journal of a shard: finished variants, one after the other, each with a digest. It is only ever appended to.
//!
//! ```text
//! "panelwright journal 1\n"   digest of the study (32)   then per variant: length (4)  digest (16)  record (postcard)
//! ```
//!
//! A variant counts as finished when its record is on the disk. Whatever interrupts a run (a kill, a power cut, a full disk) can spoil no more
//! than the end of the file, which the next run recognises by its digest, puts aside and computes again.

use super::record::Record;
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const HEAD: &[u8] = b"panelwright journal 1\n";
const STUDY_DIGEST: usize = 32;
const DIGEST: usize = 16;
const LENGTH: usize = 4;
/// Largest record that is believed [bytes].
const LARGEST: usize = 64 << 20;

/// A journal that can be appended to.
#[derive(Debug)]
pub struct Journal {
    file: File,
    /// Bytes that are sound.
    sound: u64,
}

/// What a journal holds.
#[derive(Debug, Default)]
pub struct Kept {
    /// Records in the order in which they were finished.
    pub records: Vec<Record>,
    /// Bytes at the end that are no record.
    pub spoilt: u64,
}

/// Why a journal cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// The file belongs to something else.
    #[error("{} is not a journal of this study", .0.display())]
    Foreign(PathBuf),
    /// The file cannot be read or written.
    #[error("{}: {error}", path.display())]
    File {
        /// Which file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
}

impl Journal {
    /// The journal at `path` of the study with this digest, made now if need be, and what it holds. A spoilt end is put aside, into a file of
    /// its own beside it.
    ///
    /// # Errors
    /// [`JournalError`].
    pub fn open(path: &Path, study: &[u8; STUDY_DIGEST]) -> Result<(Self, Kept), JournalError> {
        let failed = |error| JournalError::File { path: path.into(), error };
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path).map_err(failed)?;
        let mut bytes = vec![];
        file.read_to_end(&mut bytes).map_err(failed)?;
        let (kept, sound) = match begun(&bytes, study) {
            Begun::Yes(start) => read(&bytes, start),
            // A run that was killed while it wrote the very first bytes.
            Begun::Barely => (Kept { records: vec![], spoilt: 0 }, 0),
            Begun::Foreign => return Err(JournalError::Foreign(path.into())),
        };
        if kept.spoilt > 0 {
            std::fs::write(path.with_extension("spoilt"), &bytes[sound..]).map_err(failed)?;
        }
        let mut journal = Self { file, sound: sound as u64 };
        journal.cut().map_err(failed)?;
        if sound == 0 {
            journal.add(&[HEAD, study].concat()).map_err(failed)?;
            // A new name is on the disk once its folder is; not every system can say so of a folder.
            let _ = path.parent().map(|folder| File::open(folder).and_then(|folder| folder.sync_all()));
        }
        Ok((journal, kept))
    }

    /// Appends `records`; they are on the disk when this returns.
    ///
    /// # Errors
    /// When they could not be written; the journal is then as it was before.
    pub fn append<'a>(&mut self, records: impl IntoIterator<Item = &'a Record>) -> io::Result<()> {
        let mut bytes = vec![];
        for record in records {
            let record = postcard::to_stdvec(record).map_err(io::Error::other)?;
            bytes.extend_from_slice(&(record.len() as u32).to_le_bytes());
            bytes.extend_from_slice(&digest(&record));
            bytes.extend_from_slice(&record);
        }
        self.add(&bytes)
    }

    fn add(&mut self, bytes: &[u8]) -> io::Result<()> {
        let written = self.file.write_all(bytes).and_then(|()| self.file.sync_data());
        match written {
            Ok(()) => self.sound += bytes.len() as u64,
            // Half a record on a full disk; if it cannot be cut off either, the next run will do it.
            Err(_) => drop(self.cut()),
        }
        written
    }

    fn cut(&mut self) -> io::Result<()> {
        self.file.set_len(self.sound)?;
        self.file.seek(SeekFrom::End(0)).map(drop)
    }
}

/// What the journal at `path` holds, read while another process may write it.
///
/// # Errors
/// [`JournalError`].
pub fn look(path: &Path, study: &[u8; STUDY_DIGEST]) -> Result<Kept, JournalError> {
    let bytes = std::fs::read(path).map_err(|error| JournalError::File { path: path.into(), error })?;
    match begun(&bytes, study) {
        Begun::Yes(start) => Ok(read(&bytes, start).0),
        Begun::Barely => Ok(Kept::default()),
        Begun::Foreign => Err(JournalError::Foreign(path.into())),
    }
}

enum Begun {
    /// Records begin here.
    Yes(usize),
    /// The first bytes are not all there yet.
    Barely,
    Foreign,
}

fn begun(bytes: &[u8], study: &[u8; STUDY_DIGEST]) -> Begun {
    let head = [HEAD, study].concat();
    match bytes.get(..head.len()) {
        Some(found) if found == head => Begun::Yes(head.len()),
        None if head.starts_with(bytes) => Begun::Barely,
        _ => Begun::Foreign,
    }
}

/// The records from byte `at` on, and where the last sound one ends.
fn read(bytes: &[u8], mut at: usize) -> (Kept, usize) {
    let mut records = vec![];
    while let Some((record, end)) = record(bytes, at) {
        records.push(record);
        at = end;
    }
    (Kept { records, spoilt: (bytes.len() - at) as u64 }, at)
}

fn record(bytes: &[u8], at: usize) -> Option<(Record, usize)> {
    let (length, rest) = bytes.get(at..)?.split_first_chunk::<LENGTH>()?;
    let length = u32::from_le_bytes(*length) as usize;
    let (expected, rest) = rest.split_first_chunk::<DIGEST>()?;
    let record = rest.get(..length).filter(|_| length <= LARGEST)?;
    let sound = digest(record) == *expected;
    let record = postcard::from_bytes(record).ok().filter(|_| sound)?;
    Some((record, at + LENGTH + DIGEST + length))
}

fn digest(record: &[u8]) -> [u8; DIGEST] {
    let whole: [u8; 32] = blake3::hash(record).into();
    std::array::from_fn(|i| whole[i])
}

#[cfg(test)]
mod tests {
    use super::super::record::VariantResult;
    use super::*;

    const STUDY: [u8; 32] = [7; 32];

    fn a_record(number: u64) -> Record {
        let values = vec![0.1 * number as f64, f64::NAN, -0.0];
        Record {
            number,
            seconds: 0.5,
            result: VariantResult::Measured { values, cost: 12.5, levels: vec![80.0; 5] },
        }
    }

    fn alike(a: &[Record], b: &[Record]) -> bool {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.tells_the_same(b))
    }

    fn written(path: &Path, count: u64) -> Vec<Record> {
        let (mut journal, kept) = Journal::open(path, &STUDY).expect("a new journal");
        assert!(kept.records.is_empty());
        let records: Vec<Record> = (0..count).map(a_record).collect();
        journal.append(&records[..1]).expect("room");
        journal.append(&records[1..]).expect("room");
        records
    }

    #[test]
    fn what_was_appended_is_read_again_bit_for_bit() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 4);
        let (_, kept) = Journal::open(&path, &STUDY).expect("sound");
        assert!(alike(&kept.records, &records) && kept.spoilt == 0);
        assert!(alike(&look(&path, &STUDY).expect("sound").records, &records));
        assert!(matches!(Journal::open(&path, &[8; 32]), Err(JournalError::Foreign(_))));
    }

    #[test]
    fn wherever_it_is_cut_off_the_whole_records_stay_and_the_rest_is_written_again() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 3);
        let whole = std::fs::read(&path).expect("is there");
        for end in 0..whole.len() {
            std::fs::write(&path, &whole[..end]).expect("room");
            let (mut journal, kept) = Journal::open(&path, &STUDY).expect("a cut journal");
            assert!(alike(&kept.records, &records[..kept.records.len()]), "cut at {end}");
            journal.append(&records[kept.records.len()..]).expect("room");
            assert_eq!(std::fs::read(&path).expect("is there"), whole, "cut at {end}");
        }
    }

    #[test]
    fn a_flipped_bit_loses_no_record_before_it_and_what_follows_is_put_aside() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 3);
        let whole = std::fs::read(&path).expect("is there");
        for at in HEAD.len() + STUDY_DIGEST..whole.len() {
            let mut flipped = whole.clone();
            flipped[at] ^= 1;
            std::fs::write(&path, &flipped).expect("room");
            let (_, kept) = Journal::open(&path, &STUDY).expect("a spoilt journal");
            assert!(
                kept.spoilt > 0 && alike(&kept.records, &records[..kept.records.len()]),
                "flipped at {at}"
            );
            let aside = std::fs::read(path.with_extension("spoilt")).expect("was put aside");
            assert!(flipped.ends_with(&aside) && aside.len() as u64 == kept.spoilt);
        }
    }
}
