//! Finished variants → the results file that follows a journal.
//!
//! The file is written anew with every block, so that it is whole at every moment. A block therefore waits until it is a fair part of the file: all
//! that a run writes is then at most six times the file, however many blocks there are. Rows are read from the journal as they are needed; none wait in memory.

use super::journal::Records;
use super::plan::Study;
use super::record::{Record, VariantResult};
use super::run::Results;
use crate::failure::Failure;
use crate::store::{Column, StudyFile, StudyLayout, Variation};
use std::path::{Path, PathBuf};

/// Smallest part of the file's rows that a block adds while a run goes on.
const PART: f64 = 0.25;

/// The results file that follows a journal.
pub struct ShardResults<'a> {
    study: &'a Study,
    file: StudyFile,
    journal: PathBuf,
    /// Variants in the file as it was found, until the journal has been compared with it.
    found: Vec<u64>,
    /// How much of the journal is in the file.
    follows: Follows,
    /// Records of the journal that are not in the file yet.
    waiting: usize,
}

/// How much of a journal is in the file.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Follows {
    /// Nothing that could be kept: the file must begin again.
    Nothing,
    /// So many records, up to this byte.
    Until { rows: usize, byte: u64 },
}

impl<'a> ShardResults<'a> {
    /// The file at `path` that is to follow the journal at `journal`. Every record that is there already must be [met](Self::meet) first.
    pub fn of(study: &'a Study, (journal, path): (&Path, &Path), begun: &str) -> Self {
        let file = StudyFile::at(path, layout(study, begun));
        let found = file.numbers();
        // A file that cannot be read, or holds nothing, is begun again, too.
        let follows = match found.is_empty() {
            true => Follows::Nothing,
            false => Follows::Until { rows: 0, byte: 0 },
        };
        Self { study, file, journal: journal.into(), found, follows, waiting: 0 }
    }

    /// Takes note of the next record of the journal as it was found, which ends at byte `end`.
    pub fn meet(&mut self, record: &Record, end: u64) {
        match self.follows {
            Follows::Until { rows, .. } if rows < self.found.len() => {
                match self.found[rows] == record.number {
                    true => self.follows = Follows::Until { rows: rows + 1, byte: end },
                    false => self.begin_again(rows),
                }
            }
            _ => self.waiting += 1,
        }
    }

    /// All that was met waits again, and so does the record at hand.
    fn begin_again(&mut self, rows: usize) {
        self.follows = Follows::Nothing;
        self.waiting += rows + 1;
    }

    /// A file that has more rows than its journal belongs to another one.
    fn compared(&mut self) {
        if let Follows::Until { rows, .. } = self.follows
            && rows < self.found.len()
        {
            self.follows = Follows::Nothing;
            self.waiting += rows;
        }
        self.found = vec![];
    }
}

impl Results for ShardResults<'_> {
    fn take(&mut self, count: usize) {
        self.waiting += count;
    }

    fn is_due(&self) -> bool {
        match self.follows {
            Follows::Nothing => self.waiting > 0,
            Follows::Until { rows, .. } => self.waiting as f64 >= PART * rows as f64,
        }
    }

    fn flush(&mut self) -> Result<(), Failure> {
        self.compared();
        let (anew, rows) = match self.follows {
            Follows::Nothing => (true, 0),
            Follows::Until { .. } if self.waiting == 0 => return Ok(()),
            Follows::Until { rows, .. } => (false, rows),
        };
        self.add(anew, rows).map_err(|error| {
            Failure::input(
                error,
                "Finished variants are safe in the journal. Mend this and give the same command again.",
            )
        })
    }
}

impl ShardResults<'_> {
    /// Adds what the journal holds beyond what follows already.
    fn add(&mut self, anew: bool, rows: usize) -> Result<(), Box<dyn std::error::Error>> {
        let mut records = match self.follows {
            Follows::Until { byte, .. } => Records::after(&self.journal, byte)?,
            Follows::Nothing => Records::of(&self.journal, &self.study.identity.digest())?,
        };
        let (mut count, mut broken) = (rows, None);
        let readable = records.by_ref().map_while(|record| record.map_err(|error| broken = Some(error)).ok());
        let mut rows = readable.map(|record| row(self.study, &record)).inspect(|_| count += 1);
        self.file.add(&mut rows, anew)?;
        self.follows = Follows::Until { rows: count, byte: records.end() };
        self.waiting = 0;
        broken.map_or(Ok(()), |error| Err(error.into()))
    }
}

fn layout(study: &Study, begun: &str) -> StudyLayout {
    let column = |name: &str, unit: &str, description: String| Column {
        name: name.into(),
        unit: unit.into(),
        description,
    };
    let parameter = |parameter: &super::parameter::Parameter| {
        let words = parameter.words();
        let words: Vec<String> =
            words.iter().enumerate().map(|(i, word)| format!("{}: {word}", i + 1)).collect();
        let meaning = if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) };
        column(&parameter.name, &parameter.unit(), format!("Value of {}{meaning}", parameter.slot.path))
    };
    let objective = |judged: &super::objective::Judged| {
        let better = if judged.less_is_better() { "small is better" } else { "large is better" };
        column(&judged.name, judged.unit(), format!("{}; {better}", judged.name))
    };
    StudyLayout {
        title: study.title.clone(),
        provenance: vec![
            ("program", format!("panelwright {}", env!("CARGO_PKG_VERSION"))),
            ("case_name", study.path.display().to_string()),
            ("case", study.source.clone()),
            ("design", format!("{:?}", study.design)),
            ("begun_at", begun.into()),
        ],
        parameters: study.parameters.iter().map(parameter).collect(),
        objectives: study.objectives.iter().map(objective).collect(),
        seats: study.seats.clone(),
        frequencies: study.frequencies.clone(),
    }
}

fn row(study: &Study, record: &Record) -> Variation {
    let point = study.point(record.number as usize);
    let parameters = point.iter().zip(&study.parameters).map(|(u, parameter)| parameter.number(*u)).collect();
    let (state, why) = match &record.result {
        VariantResult::Measured { .. } => (0, study.missing(&record.result)),
        VariantResult::Beyond(why) => (1, why.clone()),
        VariantResult::Failed(why) => (2, why.clone()),
    };
    let (objectives, cost, levels) = match &record.result {
        VariantResult::Measured { values, cost, levels, .. } => (values.clone(), *cost, levels.clone()),
        _ => (vec![], f64::NAN, vec![]),
    };
    Variation {
        number: record.number,
        parameters,
        objectives,
        cost,
        state,
        why,
        seconds: record.seconds,
        levels,
    }
}

#[cfg(test)]
mod tests {
    use super::super::journal::Journal;
    use super::*;

    const CASE: &str = include_str!("../../../tests/data/small-study.toml");

    fn records(numbers: std::ops::Range<u64>) -> Vec<Record> {
        let result = |number| VariantResult::Measured {
            values: vec![number as f64; 3],
            cost: 1.0,
            levels: vec![],
            missing: vec![],
        };
        numbers.map(|number| Record { number, seconds: 0.1, result: result(number) }).collect()
    }

    /// A study, and a folder for a journal and its results.
    fn begun() -> (Study, tempfile::TempDir) {
        let study = Study::of(CASE.replace("variants = 60", "variants = 3000"), Path::new("small.toml"))
            .unwrap_or_else(|_| panic!("a sound case"));
        (study, tempfile::tempdir().expect("a folder"))
    }

    fn opened<'a>(study: &'a Study, place: &Path) -> (Journal, ShardResults<'a>) {
        let (journal, path) = (place.join("a.journal"), place.join("a.h5"));
        let mut results = ShardResults::of(study, (&journal, &path), "");
        let digest = study.identity.digest();
        let opened = Journal::open(&journal, &digest, &mut |record, end| results.meet(record, end));
        (opened.expect("sound").0, results)
    }

    fn rows(place: &Path) -> Vec<u64> {
        let file = hdf5::File::open(place.join("a.h5")).expect("whole");
        file.dataset("variant").and_then(|set| set.read_raw::<u64>()).expect("is there")
    }

    fn numbers(records: &[Record]) -> Vec<u64> {
        records.iter().map(|record| record.number).collect()
    }

    #[test]
    fn the_file_follows_the_journal_whatever_was_left_of_it() {
        let (study, place) = begun();
        let all = records(0..60);
        // Nothing is added, a block is, the file is lost, it is of another journal, it is ahead of its journal.
        let (mut journal, mut results) = opened(&study, place.path());
        journal.append(&all[..20]).expect("room");
        results.take(20);
        results.flush().unwrap_or_else(|_| panic!("room"));
        assert_eq!(rows(place.path()), numbers(&all[..20]));
        journal.append(&all[20..30]).expect("room");
        let flushed = || {
            let (_, mut results) = opened(&study, place.path());
            results.flush().unwrap_or_else(|_| panic!("room"));
            rows(place.path())
        };
        assert_eq!(flushed(), numbers(&all[..30]));
        std::fs::remove_file(place.path().join("a.h5")).expect("is there");
        assert_eq!(flushed(), numbers(&all[..30]));
        for others in [&all[1..40], &all[5..9]] {
            let digest = study.identity.digest();
            super::super::journal::write(
                &place.path().join("a.journal"),
                &digest,
                others.iter().cloned().map(Ok),
            )
            .expect("room");
            assert_eq!(flushed(), numbers(others));
        }
        assert_eq!(flushed(), numbers(&all[5..9]));
    }

    #[test]
    fn however_many_blocks_there_are_little_more_is_written_than_the_file() {
        let (study, place) = begun();
        let (mut journal, mut results) = opened(&study, place.path());
        let (mut written, mut blocks) = (0, 0);
        let all = records(0..3000);
        for block in all.chunks(5) {
            journal.append(block).expect("room");
            results.take(block.len());
            if results.is_due() {
                results.flush().unwrap_or_else(|_| panic!("room"));
                (written, blocks) = (written + rows(place.path()).len(), blocks + 1);
            }
            // What is not in the file yet is at most a fifth of all.
            assert!(
                results.waiting * 5 <= block[0].number as usize + 5,
                "{} at {}",
                results.waiting,
                block[0].number
            );
        }
        results.flush().unwrap_or_else(|_| panic!("room"));
        written += rows(place.path()).len();
        assert_eq!(rows(place.path()), numbers(&all));
        assert!(written <= 6 * all.len() && blocks > 10, "{written} rows in {blocks} blocks");
    }
}
