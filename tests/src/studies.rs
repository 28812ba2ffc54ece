//! Helpers of the tests of studies.
#![allow(clippy::unwrap_used, clippy::missing_panics_doc)] // a test fails by panicking

use crate::{Ran, run};
use hdf5::File;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The bits of what was found, by the numbers of the variants.
pub type Bits = BTreeMap<u64, Vec<u64>>;

/// Text in one line, however it was wrapped.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A folder with the case `my.toml` in it.
pub fn place(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), text).unwrap();
    folder
}

/// Runs `panelwright study` in this folder.
pub fn study(folder: &Path, arguments: &[&str]) -> Ran {
    run(folder, &[&["study"], arguments].concat())
}

/// As [`study`], where all must go well.
pub fn well(folder: &Path, arguments: &[&str]) -> Ran {
    let ran = study(folder, arguments);
    assert_eq!(ran.code, Some(0), "{arguments:?}: {}", ran.err);
    ran
}

/// What `panelwright study status` tells of `my.toml`.
pub fn finished(folder: &Path) -> Value {
    serde_json::from_str(&well(folder, &["status", "my.toml", "--json"]).out).unwrap()
}

/// Every variant of all results files of the study beside `my.toml`; none may stand twice.
pub fn variants(folder: &Path) -> Bits {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(folder.join("my-study")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "h5") {
            add(&mut all, &path);
        }
    }
    all
}

/// Every variant of one results file; none may stand twice.
pub fn variants_of(path: &Path) -> Bits {
    let mut all = BTreeMap::new();
    add(&mut all, path);
    all
}

fn add(all: &mut Bits, path: &Path) {
    let file = File::open(path).unwrap();
    let group = |name: &str| file.group(name).unwrap().datasets().unwrap();
    let columns = [group("parameters"), group("objectives"), vec![file.dataset("cost").unwrap()]].concat();
    let columns: Vec<Vec<f64>> = columns.iter().map(|column| column.read_raw::<f64>().unwrap()).collect();
    let levels = file.dataset("levels").unwrap().read_raw::<f32>().unwrap();
    let numbers = file.dataset("variant").unwrap().read_raw::<u64>().unwrap();
    let wide = levels.len() / numbers.len().max(1);
    for (row, number) in numbers.iter().enumerate() {
        let levels = levels[row * wide..(row + 1) * wide].iter().map(|level| u64::from(level.to_bits()));
        let bits = columns.iter().map(|column| column[row].to_bits()).chain(levels).collect();
        assert!(all.insert(*number, bits).is_none(), "variant {number} stands twice");
    }
}
