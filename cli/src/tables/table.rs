//! A table in memory, and how it becomes a file.

use panelwright_solver::listening::{Band, BandGain};
use std::path::{Path, PathBuf};

/// Why a table could not be written.
#[derive(Debug, thiserror::Error)]
#[error("could not write {path}: {source}. Close programs that hold it open, and see that the disk has room")]
pub struct TableError {
    /// The file.
    pub path: PathBuf,
    /// What went wrong.
    pub source: csv::Error,
}

/// A table in memory: headings and rows of cells.
pub(super) struct Table {
    pub file: &'static str,
    pub headings: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

impl Table {
    pub fn new(file: &'static str, headings: &[&str]) -> Self {
        Self { file, headings: headings.iter().map(|h| h.to_string()).collect(), rows: Vec::new() }
    }

    /// A table that starts with the column of frequencies.
    pub fn over_frequency(file: &'static str, frequencies: &[f64]) -> Self {
        let rows = frequencies.iter().map(|&f| vec![number(f)]).collect();
        Self { rows, ..Self::new(file, &["frequency_hz"]) }
    }

    /// A table of third-octave gains [dB], one column for every heading.
    pub fn gains<'a>(
        file: &'static str,
        columns: impl IntoIterator<Item = (String, &'a [BandGain])>,
    ) -> Self {
        let mut table = Self::new(file, &BAND);
        for (heading, gains) in columns {
            if table.rows.is_empty() {
                gains.iter().for_each(|gain| table.row(band_cells(&gain.band)));
            }
            table.column(heading, gains.iter().map(|gain| gain.gain));
        }
        table
    }

    /// Adds a column; a heading that exists already gets a number behind it.
    pub fn column(&mut self, heading: String, values: impl IntoIterator<Item = f64>) {
        let twins = self.headings.iter().filter(|h| **h == heading).count();
        self.headings.push(if twins == 0 { heading } else { format!("{heading}_{}", twins + 1) });
        let mut values = values.into_iter();
        for row in &mut self.rows {
            row.push(values.next().map_or_else(String::new, number));
        }
    }

    pub fn row(&mut self, cells: impl IntoIterator<Item = f64>) {
        self.rows.push(cells.into_iter().map(number).collect());
    }

    pub fn save(&self, dir: &Path) -> Result<PathBuf, TableError> {
        let path = dir.join(self.file);
        let write = || -> Result<(), csv::Error> {
            let mut writer = csv::Writer::from_path(&path)?;
            writer.write_record(&self.headings)?;
            self.rows.iter().try_for_each(|row| writer.write_record(row))?;
            Ok(writer.flush()?)
        };
        match write() {
            Ok(()) => Ok(path),
            Err(source) => Err(TableError { path, source }),
        }
    }
}

/// Seven significant digits, no trailing zeros; empty for what is not a number.
pub(super) fn number(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    if rounded == 0.0 || (1e-4..1e9).contains(&rounded.abs()) {
        format!("{}", rounded + 0.0)
    } else {
        format!("{rounded:e}")
    }
}

/// A name as part of a heading: lower case, words joined by underscores.
pub(super) fn slug(name: &str) -> String {
    let words: Vec<String> =
        name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    words.join("_")
}

/// Millimetres in a metre.
pub(super) const MM: f64 = 1e3;
/// Headings of a band's columns.
pub(super) const BAND: [&str; 3] = ["band_hz", "band_lower_hz", "band_upper_hz"];

/// What stands in them.
pub(super) fn band_cells(band: &Band) -> [f64; 3] {
    [band.nominal, band.lower, band.upper]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_exact_to_seven_digits() {
        assert_eq!(number(123.456_789_01), "123.4568");
        assert_eq!(number(-0.0), "0");
        assert_eq!(number(1.5e-7), "1.5e-7");
        assert_eq!(number(20_000.0), "20000");
        assert_eq!(number(f64::NAN), "");
        assert_eq!(number(f64::NEG_INFINITY), "");
    }

    #[test]
    fn names_become_headings() {
        assert_eq!(slug("Table 1 (window)"), "table_1_window");
        assert_eq!(slug("Küche"), "küche");
    }

    #[test]
    fn twin_headings_are_told_apart() {
        let mut table = Table::new("x.csv", &["frequency_hz"]);
        table.row([1.0]);
        table.column("level_db_spl_seat".into(), [1.0]);
        table.column("level_db_spl_seat".into(), [2.0]);
        assert_eq!(table.headings, ["frequency_hz", "level_db_spl_seat", "level_db_spl_seat_2"]);
        assert_eq!(table.rows, [["1", "1", "2"]]);
    }
}
