//! The journal of a shard: finished variants, one after the other, each with a digest. It is only ever appended to.
//!
//! ```text
//! "panelwright journal 2\n"   digest of the study (32)   then per variant: length (4)  digest (16)  record (postcard)
//! ```
//!
//! A variant counts as finished when its record is on the disk. Whatever interrupts a run (a kill, a power cut, a full disk) can spoil no more
//! than the end of the file, which the next run recognises by its digest, puts aside and computes again.
//!
//! Journals grow without bound, so they are read as streams: one record is in memory at a time.

use super::record::Record;
use crate::store::fill_whole;
use std::fs::{File, OpenOptions};
use std::io::{self, BufReader, BufWriter, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const HEAD: &[u8] = b"panelwright journal 2\n";
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
    /// The journal at `path` of the study with this digest, made now if need be, and how many bytes at its end were no record. They are put
    /// aside, into a file of its own beside it. `seen` is told every record and the byte behind it.
    ///
    /// # Errors
    /// [`JournalError`].
    pub fn open(
        path: &Path,
        study: &[u8; STUDY_DIGEST],
        seen: &mut dyn FnMut(&Record, u64),
    ) -> Result<(Self, u64), JournalError> {
        let failed = |error| JournalError::File { path: path.into(), error };
        let file = OpenOptions::new().append(true).create(true).open(path).map_err(failed)?;
        let mut records = Records::of(path, study)?;
        while let Some(record) = records.next() {
            seen(&record?, records.end());
        }
        let sound = records.end();
        let spoilt = put_aside(path, sound).map_err(failed)?;
        let mut journal = Self { file, sound };
        journal.cut().map_err(failed)?;
        if sound == 0 {
            journal.add(&[HEAD, study].concat()).map_err(failed)?;
            // A new name is on the disk once its folder is; not every system can say so of a folder.
            let _ = path.parent().map(|folder| File::open(folder).and_then(|folder| folder.sync_all()));
        }
        Ok((journal, spoilt))
    }

    /// Appends `records`; they are on the disk when this returns.
    ///
    /// # Errors
    /// When they could not be written; the journal is then as it was before.
    pub fn append<'a>(&mut self, records: impl IntoIterator<Item = &'a Record>) -> io::Result<()> {
        let mut bytes = vec![];
        for record in records {
            frame(record, &mut bytes)?;
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
        self.file.set_len(self.sound)
    }
}

/// Copies what follows byte `sound` into a file of its own; how many bytes that were. The beginning of a first line is worth nothing.
fn put_aside(path: &Path, sound: u64) -> io::Result<u64> {
    let mut file = File::open(path)?;
    let spoilt = file.metadata()?.len().saturating_sub(sound);
    if sound == 0 || spoilt == 0 {
        return Ok(0);
    }
    file.seek(SeekFrom::Start(sound))?;
    io::copy(&mut file, &mut File::create(path.with_extension("spoilt"))?)
}

/// Writes a journal of these records, whole or not at all.
///
/// # Errors
/// Those of the records, or when it cannot be written; what was there before stays.
pub fn write(
    path: &Path,
    study: &[u8; STUDY_DIGEST],
    records: impl Iterator<Item = Result<Record, JournalError>>,
) -> Result<(), JournalError> {
    let fill = |file: &mut File| {
        let mut file = BufWriter::new(file);
        file.write_all(&[HEAD, study].concat())?;
        let mut bytes = vec![];
        for record in records {
            bytes.clear();
            frame(&record.map_err(io::Error::other)?, &mut bytes)?;
            file.write_all(&bytes)?;
        }
        file.flush()
    };
    fill_whole(path, fill).map_err(|error| JournalError::File { path: path.into(), error })
}

/// Length, digest and record.
fn frame(record: &Record, bytes: &mut Vec<u8>) -> io::Result<()> {
    let record = postcard::to_stdvec(record).map_err(io::Error::other)?;
    bytes.extend_from_slice(&(record.len() as u32).to_le_bytes());
    bytes.extend_from_slice(&digest(&record));
    bytes.extend_from_slice(&record);
    Ok(())
}

/// The records of a journal, one after the other, up to the first that is not sound; another process may write the journal meanwhile.
#[derive(Debug)]
pub struct Records {
    path: PathBuf,
    file: BufReader<File>,
    /// Where the last sound one ends; 0 where not even the first line is there.
    end: u64,
    bytes: Vec<u8>,
}

impl Records {
    /// All of the journal at `path`, which must be of the study with this digest.
    ///
    /// # Errors
    /// [`JournalError`].
    pub fn of(path: &Path, study: &[u8; STUDY_DIGEST]) -> Result<Self, JournalError> {
        let expected = [HEAD, study].concat();
        let mut records = Self::after(path, 0)?;
        let mut head = vec![];
        let read = records.file.by_ref().take(expected.len() as u64).read_to_end(&mut head);
        read.map_err(|error| records.failed(error))?;
        match head.len() == expected.len() {
            true if head == expected => records.end = head.len() as u64,
            // A run that was killed while it wrote the very first bytes.
            false if expected.starts_with(&head) => {}
            _ => return Err(JournalError::Foreign(path.into())),
        }
        Ok(records)
    }

    /// Those that follow byte `end` of the journal at `path`, where an earlier reading has ended.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn after(path: &Path, end: u64) -> Result<Self, JournalError> {
        let open = || {
            let mut file = File::open(path)?;
            file.seek(SeekFrom::Start(end))?;
            Ok(BufReader::new(file))
        };
        let file = open().map_err(|error| JournalError::File { path: path.into(), error })?;
        Ok(Self { path: path.into(), file, end, bytes: vec![] })
    }

    /// Where the last record ends that was read.
    pub fn end(&self) -> u64 {
        self.end
    }

    fn failed(&self, error: io::Error) -> JournalError {
        JournalError::File { path: self.path.clone(), error }
    }

    /// The next record; `None` where what follows is none.
    fn read(&mut self) -> io::Result<Option<Record>> {
        let (mut length, mut expected) = ([0; LENGTH], [0; DIGEST]);
        self.file.read_exact(&mut length)?;
        self.file.read_exact(&mut expected)?;
        let length = u32::from_le_bytes(length) as usize;
        self.bytes.clear();
        self.file.by_ref().take(length.min(LARGEST) as u64).read_to_end(&mut self.bytes)?;
        if self.bytes.len() != length || digest(&self.bytes) != expected {
            return Ok(None);
        }
        let record = postcard::from_bytes(&self.bytes).ok();
        self.end += if record.is_some() { (LENGTH + DIGEST + length) as u64 } else { 0 };
        Ok(record)
    }
}

impl Iterator for Records {
    type Item = Result<Record, JournalError>;

    fn next(&mut self) -> Option<Self::Item> {
        match self.read() {
            Ok(record) => record.map(Ok),
            Err(error) if error.kind() == ErrorKind::UnexpectedEof => None,
            Err(error) => Some(Err(self.failed(error))),
        }
    }
}

fn digest(record: &[u8]) -> [u8; DIGEST] {
    let whole: [u8; 32] = blake3::hash(record).into();
    std::array::from_fn(|i| whole[i])
}

#[cfg(test)]
mod tests {
    use super::super::record::VariantResult;
    use super::*;
    use std::fs;

    const STUDY: [u8; 32] = [7; 32];

    fn a_record(number: u64) -> Record {
        let values = vec![0.1 * number as f64, f64::NAN, -0.0];
        Record {
            number,
            seconds: 0.5,
            result: VariantResult::Measured {
                values,
                cost: 12.5,
                levels: vec![80.0; 5],
                missing: vec![(1, "why".into())],
            },
        }
    }

    fn alike(a: &[Record], b: &[Record]) -> bool {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.tells_the_same(b))
    }

    fn opened(path: &Path) -> (Journal, Vec<Record>, u64) {
        let mut records = vec![];
        let (journal, spoilt) = Journal::open(path, &STUDY, &mut |record, _| records.push(record.clone()))
            .expect("a journal of this study");
        (journal, records, spoilt)
    }

    fn looked_at(path: &Path) -> Vec<Record> {
        Records::of(path, &STUDY).expect("sound").map(|record| record.expect("readable")).collect()
    }

    fn written(path: &Path, count: u64) -> Vec<Record> {
        let (mut journal, kept, _) = opened(path);
        assert!(kept.is_empty());
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
        let (_, kept, spoilt) = opened(&path);
        assert!(alike(&kept, &records) && spoilt == 0);
        assert!(alike(&looked_at(&path), &records));
        let foreign = Journal::open(&path, &[8; 32], &mut |_, _| ());
        assert!(matches!(foreign, Err(JournalError::Foreign(_))));
    }

    #[test]
    fn reading_goes_on_where_it_ended() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 4);
        let mut ends = vec![];
        Journal::open(&path, &STUDY, &mut |_, end| ends.push(end)).expect("sound");
        for (done, end) in ends.iter().enumerate() {
            let rest = Records::after(&path, *end).expect("is there");
            let rest: Vec<Record> = rest.map(|record| record.expect("readable")).collect();
            assert!(alike(&rest, &records[done + 1..]), "after {done}");
        }
    }

    #[test]
    fn a_journal_written_whole_is_one_that_was_appended_to() {
        let place = tempfile::tempdir().expect("a folder");
        let (appended, whole) = (place.path().join("a.journal"), place.path().join("b.journal"));
        let records = written(&appended, 3);
        write(&whole, &STUDY, records.into_iter().map(Ok)).expect("room");
        assert_eq!(fs::read(&whole).expect("is there"), fs::read(&appended).expect("is there"));
        // Where a record cannot be read, nothing has changed.
        let broken = [Ok(a_record(9)), Err(JournalError::Foreign(appended.clone()))];
        assert!(write(&whole, &STUDY, broken.into_iter()).is_err());
        assert_eq!(fs::read(&whole).expect("is there"), fs::read(&appended).expect("is there"));
        assert_eq!(fs::read_dir(place.path()).expect("is there").count(), 2);
    }

    #[test]
    fn wherever_it_is_cut_off_the_whole_records_stay_and_the_rest_is_written_again() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 3);
        let whole = fs::read(&path).expect("is there");
        for end in 0..whole.len() {
            fs::write(&path, &whole[..end]).expect("room");
            assert!(alike(&looked_at(&path), &records[..looked_at(&path).len()]), "cut at {end}");
            let (mut journal, kept, _) = opened(&path);
            assert!(alike(&kept, &records[..kept.len()]), "cut at {end}");
            journal.append(&records[kept.len()..]).expect("room");
            assert_eq!(fs::read(&path).expect("is there"), whole, "cut at {end}");
        }
    }

    #[test]
    fn a_flipped_bit_loses_no_record_before_it_and_what_follows_is_put_aside() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a.journal");
        let records = written(&path, 3);
        let whole = fs::read(&path).expect("is there");
        for at in HEAD.len() + STUDY_DIGEST..whole.len() {
            let mut flipped = whole.clone();
            flipped[at] ^= 1;
            fs::write(&path, &flipped).expect("room");
            let (_, kept, spoilt) = opened(&path);
            assert!(spoilt > 0 && alike(&kept, &records[..kept.len()]), "flipped at {at}");
            let aside = fs::read(path.with_extension("spoilt")).expect("was put aside");
            assert!(flipped.ends_with(&aside) && aside.len() as u64 == spoilt);
        }
    }
}
