//! `results.h5`: read back here, and by plain h5py.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use hdf5::types::VarLenUnicode;
use num_complex::Complex64;
use panelwright::store::{self, Provenance, StoreError};
use panelwright_tests::{python, specimen};
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

const PROVENANCE: Provenance = Provenance {
    version: "0.0.0-specimen",
    case_name: "specimen",
    case_text: specimen::CASE_TEXT,
    computed_at: "25 November 2026",
};

/// A started program inherits open files together with their locks, so a test that starts one must not run while
/// another has a file open.
fn alone() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

fn write(path: &Path) -> Result<(), StoreError> {
    store::write(path, &specimen::findings(), &specimen::scene(), &PROVENANCE)
}

#[test]
fn values_come_back_bit_for_bit() {
    let _turn = alone();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("results.h5");
    write(&path).unwrap();
    let f = specimen::findings();
    let file = hdf5::File::open(&path).unwrap();
    let pressure = file.dataset("seats/pressure").unwrap().read_2d::<Complex64>().unwrap();
    assert_eq!(pressure.row(1).to_vec(), f.seats[1].pressure);
    let level = file.dataset("map/level").unwrap().read::<f64, ndarray::Ix3>().unwrap();
    assert_eq!(level.index_axis(ndarray::Axis(0), 4), f.map.bands[4].level);
    let text: VarLenUnicode = file.dataset("case_text").unwrap().read_scalar().unwrap();
    assert_eq!(text.as_str(), specimen::CASE_TEXT);
}

#[test]
fn a_new_file_replaces_the_old_one_and_leaves_nothing_beside_it() {
    let _turn = alone();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("results.h5");
    std::fs::write(&path, b"an older file").unwrap();
    write(&path).unwrap();
    assert!(hdf5::File::open(&path).is_ok());
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_failure_leaves_what_was_there() {
    let _turn = alone();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("results.h5");
    std::fs::create_dir(&path).unwrap();
    std::fs::write(path.join("kept"), b"kept").unwrap();
    assert!(matches!(write(&path), Err(StoreError::Rename { .. })));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    assert!(path.join("kept").is_file());
    let error = write(Path::new("no/such/folder/results.h5")).unwrap_err().to_string();
    assert!(error.contains("no/such/folder/results.h5"), "{error}");
}

#[test]
fn plain_h5py_reads_names_units_and_complex_numbers() {
    let _turn = alone();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("results.h5");
    write(&path).unwrap();
    let said = python::read_results(&path);
    let impedance = specimen::findings().channels[0].load.impedance[10];
    let expected = format!("impedance {:.9e} {:.9e}", impedance.re, impedance.im);
    assert!(said.contains("datasets documented"), "{said}");
    assert!(said.contains(&expected), "{said} lacks {expected}");
}
