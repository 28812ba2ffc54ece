//! The results of a shard of a study, block by block.
//!
//! Every dataset has one row per variant, in the order in which they were finished. A block is added to a copy, which then takes the place of the
//! file: whoever opens it, at any time, finds a whole file. Few rows are in memory at a time, however many there are.

use super::StoreError;
use super::node::{Meaning, Node, over};
use hdf5::types::VarLenUnicode;
use hdf5::{Dataset, Extent, File, H5Type};
use ndarray::{Array1, Array2, s};
use std::fs;
use std::path::{Path, PathBuf};

/// Most rows that lie together on the disk.
const CHUNK: usize = 1024;
/// Most bytes of levels that lie together: what the library holds of a dataset in memory unless told otherwise.
const TOGETHER: usize = 1 << 20;

/// A column of numbers.
#[derive(Clone, Debug)]
pub struct Column {
    /// What it is called.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// What it means.
    pub description: String,
}

/// What a file of variants holds.
#[derive(Clone, Debug)]
pub struct StudyLayout {
    /// Title of the case.
    pub title: String,
    /// Provenance, name and text: program, case, seed, time …
    pub provenance: Vec<(&'static str, String)>,
    /// The varied values.
    pub parameters: Vec<Column>,
    /// The objectives.
    pub objectives: Vec<Column>,
    /// Names of the seats.
    pub seats: Vec<String>,
    /// Frequencies [Hz] of the levels.
    pub frequencies: Vec<f64>,
}

/// A variant as a row.
#[derive(Clone, Debug)]
pub struct Variation {
    /// Its number.
    pub number: u64,
    /// The varied values, in the units of their columns; the position in its list for a word.
    pub parameters: Vec<f64>,
    /// The objectives; NaN for all that was not computed.
    pub objectives: Vec<f64>,
    /// Cost.
    pub cost: f64,
    /// 0: computed; 1: beyond a limit; 2: failed.
    pub state: u8,
    /// Why it was not computed, or which objectives do not exist, and why; empty if all do.
    pub why: String,
    /// Seconds a worker took.
    pub seconds: f32,
    /// Levels at the seats, (seats, frequencies), one after the other.
    pub levels: Vec<f32>,
}

/// A file of variants.
#[derive(Debug)]
pub struct StudyFile {
    path: PathBuf,
    layout: StudyLayout,
}

impl StudyFile {
    /// The file at `path`, which need not exist.
    pub fn at(path: &Path, layout: StudyLayout) -> Self {
        Self { path: path.into(), layout }
    }

    /// The numbers of its variants, in its order; none if there is no file or it cannot be read.
    pub fn numbers(&self) -> Vec<u64> {
        let read = || File::open(&self.path).and_then(|file| file.dataset("variant")?.read_raw::<u64>());
        if self.path.is_file() { read().unwrap_or_default() } else { vec![] }
    }

    /// Adds rows; `anew` begins the file again.
    ///
    /// # Errors
    /// [`StoreError`]; the file is then as it was before.
    pub fn add(&self, rows: &mut dyn Iterator<Item = Variation>, anew: bool) -> Result<(), StoreError> {
        let partial = super::partial_path(&self.path);
        let refused = |source| StoreError::Hdf5 { path: self.path.clone(), source };
        let moved = |source| StoreError::Rename { path: self.path.clone(), source };
        let begin = anew || !self.path.is_file();
        let open = || if begin { File::create(&partial) } else { File::open_rw(&partial) };
        let copied = if begin { Ok(0) } else { fs::copy(&self.path, &partial).map_err(moved) };
        let written =
            copied.and_then(|_| open().and_then(|file| self.fill(file, begin, rows)).map_err(refused));
        let placed = written.and_then(|()| {
            fs::File::open(&partial).and_then(|file| file.sync_all()).map_err(moved)?;
            fs::rename(&partial, &self.path).map_err(moved)
        });
        if placed.is_err() {
            let _ = fs::remove_file(&partial);
        }
        placed
    }

    /// What cannot be written shows when it is flushed, not when the file is dropped.
    fn fill(&self, file: File, begin: bool, rows: &mut dyn Iterator<Item = Variation>) -> hdf5::Result<()> {
        if begin {
            self.begin(&file)?;
        }
        loop {
            let together: Vec<Variation> = (&mut *rows).take(self.rows_together()).collect();
            if together.is_empty() {
                break;
            }
            self.append(&file, &together)?;
        }
        file.flush()?;
        file.close()
    }

    /// Rows whose levels lie together on the disk.
    fn rows_together(&self) -> usize {
        let row = self.layout.seats.len() * self.layout.frequencies.len() * size_of::<f32>();
        (TOGETHER / row.max(1)).clamp(1, CHUNK)
    }

    fn begin(&self, file: &File) -> hdf5::Result<()> {
        let root = Node::new(file);
        let layout = &self.layout;
        root.attribute("title", &layout.title)?;
        for (name, text) in &layout.provenance {
            root.attribute(name, text)?;
        }
        root.array(
            "frequencies",
            &Array1::from(layout.frequencies.clone()),
            over(&["frequency"], "Hz", "Frequencies of the levels"),
        )?;
        root.texts(
            "seats",
            layout.seats.iter().map(String::as_str),
            over(&["seat"], "", "Names of the seats"),
        )?;
        let column = &[CHUNK][..];
        empty::<u64>(file, "variant", column, over(&["variant"], "", "Number of the variant, from 0"))?;
        empty::<u8>(
            file,
            "state",
            column,
            over(&["variant"], "", "0: computed; 1: beyond a limit; 2: failed"),
        )?;
        empty::<VarLenUnicode>(
            file,
            "why",
            column,
            over(&["variant"], "", "Why it was not computed, or which objectives do not exist, and why"),
        )?;
        empty::<f32>(file, "seconds", column, over(&["variant"], "s", "Time a worker took for it"))?;
        empty::<f64>(file, "cost", column, over(&["variant"], "", "What it costs, in the user's currency"))?;
        let together = [self.rows_together(), layout.seats.len(), layout.frequencies.len()];
        let meaning =
            over(&["variant", "/seats", "/frequencies"], super::node::DB_SPL, "Level at every seat");
        empty::<f32>(file, "levels", &together, meaning)?;
        for (group, columns) in [("parameters", &layout.parameters), ("objectives", &layout.objectives)] {
            file.create_group(group)?;
            for column in columns {
                let path = format!("{group}/{}", in_a_path(&column.name));
                let meaning = over(&["variant"], &column.unit, &column.description);
                empty::<f64>(file, &path, &[CHUNK], meaning)?;
            }
        }
        Ok(())
    }

    fn append(&self, file: &File, rows: &[Variation]) -> hdf5::Result<()> {
        let column = |name: &str, value: &dyn Fn(&Variation) -> f64| {
            extend(&file.dataset(name)?, &rows.iter().map(value).collect::<Array1<f64>>())
        };
        extend(&file.dataset("variant")?, &rows.iter().map(|row| row.number).collect())?;
        extend(&file.dataset("state")?, &rows.iter().map(|row| row.state).collect())?;
        extend(&file.dataset("seconds")?, &rows.iter().map(|row| row.seconds).collect())?;
        let why: Result<Array1<VarLenUnicode>, _> =
            rows.iter().map(|row| row.why.replace('\0', "").parse()).collect();
        extend(&file.dataset("why")?, &why.map_err(|error| hdf5::Error::from(format!("{error:?}")))?)?;
        column("cost", &|row| row.cost)?;
        for (i, parameter) in self.layout.parameters.iter().enumerate() {
            column(&format!("parameters/{}", in_a_path(&parameter.name)), &|row| row.parameters[i])?;
        }
        for (i, objective) in self.layout.objectives.iter().enumerate() {
            column(&format!("objectives/{}", in_a_path(&objective.name)), &|row| {
                row.objectives.get(i).copied().unwrap_or(f64::NAN)
            })?;
        }
        self.append_levels(&file.dataset("levels")?, rows)
    }

    fn append_levels(&self, dataset: &Dataset, rows: &[Variation]) -> hdf5::Result<()> {
        let (seats, frequencies) = (self.layout.seats.len(), self.layout.frequencies.len());
        let wide = seats * frequencies;
        if wide == 0 {
            return Ok(());
        }
        // Levels of other seats or frequencies than these have no place here.
        let level = |(i, j): (usize, usize)| match &rows[i].levels {
            levels if levels.len() == wide => levels[j],
            _ => f32::NAN,
        };
        let levels = Array2::from_shape_fn((rows.len(), wide), level);
        let levels = levels
            .into_shape_with_order((rows.len(), seats, frequencies))
            .map_err(|error| hdf5::Error::from(error.to_string()))?;
        let before = dataset.shape()[0];
        dataset.resize((before + rows.len(), seats, frequencies))?;
        dataset.write_slice(&levels, s![before.., .., ..])
    }
}

/// A dataset without rows that can grow; `together` is what lies together on the disk: so many rows, each of these lengths.
fn empty<T: H5Type>(file: &File, name: &str, together: &[usize], meaning: Meaning) -> hdf5::Result<()> {
    let mut extents = vec![Extent::resizable(0)];
    extents.extend(together[1..].iter().map(|&length| Extent::fixed(length)));
    let chunk: Vec<usize> = together.iter().map(|&length| length.max(1)).collect();
    let dataset = file.new_dataset::<T>().chunk(chunk).shape(extents).create(name)?;
    super::node::describe(&dataset, &meaning)
}

fn extend<T: H5Type>(dataset: &Dataset, values: &Array1<T>) -> hdf5::Result<()> {
    let before = dataset.shape()[0];
    dataset.resize(before + values.len())?;
    dataset.write_slice(values, s![before..])
}

/// A name that is one step of a path.
fn in_a_path(name: &str) -> String {
    name.replace('/', " per ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(name: &str) -> Column {
        Column { name: name.into(), unit: "mm".into(), description: "a test".into() }
    }

    fn row(number: u64) -> Variation {
        Variation {
            number,
            parameters: vec![number as f64 / 10.0],
            objectives: if number == 3 { vec![] } else { vec![number as f64, 2.0] },
            cost: 9.0,
            state: 0,
            why: if number == 3 { "why".into() } else { String::new() },
            seconds: 0.5,
            levels: vec![number as f32; 6],
        }
    }

    #[test]
    fn blocks_follow_each_other_and_the_file_is_whole_after_each() {
        let place = tempfile::tempdir().expect("a folder");
        let layout = StudyLayout {
            title: "test".into(),
            provenance: vec![("program", "0".into())],
            parameters: vec![column("thickness")],
            objectives: vec![column("dB/octave"), column("low end")],
            seats: vec!["counter".into(), "window".into()],
            frequencies: vec![100.0, 200.0, 400.0],
        };
        let file = StudyFile::at(&place.path().join("shard.h5"), layout);
        assert!(file.numbers().is_empty());
        file.add(&mut [row(4), row(3)].into_iter(), false).expect("room");
        assert_eq!(file.numbers(), [4, 3]);
        file.add(&mut [row(5)].into_iter(), false).expect("room");
        assert_eq!(file.numbers(), [4, 3, 5]);
        let read = File::open(&file.path).expect("whole");
        let of = |name: &str| read.dataset(name).and_then(|set| set.read_raw::<f64>()).expect("is there");
        assert_eq!(of("parameters/thickness"), [0.4, 0.3, 0.5]);
        assert!(of("objectives/dB per octave")[1].is_nan() && of("objectives/low end")[2] == 2.0);
        let levels = read.dataset("levels").expect("is there");
        assert_eq!((levels.shape(), levels.read_raw::<f32>().expect("read")[17]), (vec![3, 2, 3], 5.0));
        drop(read);
        file.add(&mut [row(7)].into_iter(), true).expect("room");
        assert_eq!(file.numbers(), [7]);
    }
}
