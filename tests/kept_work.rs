//! A comparison of surrounds that is killed goes on where it was, and a changed one solves only what has changed.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::{Ran, program, run};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::{TempDir, tempdir};

const CASE: &str = include_str!("data/two-wings.toml");

/// A folder with the case in it, at so many frequencies that some are interpolated.
fn folder() -> TempDir {
    let folder = tempdir().unwrap();
    write(folder.path(), &CASE.replace("per_octave = 3", "per_octave = 12"));
    folder
}

fn write(folder: &Path, case: &str) {
    fs::write(folder.join("my.toml"), case).unwrap();
}

fn surround(folder: &Path, more: &[&str]) -> Ran {
    let ran = run(folder, &[&["surround", "my.toml"], more].concat());
    assert_eq!(ran.code, Some(0), "{ran:?}");
    ran
}

fn kept(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder.join("my-surrounds/kept")).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "work"));
    files.sort();
    files
}

/// Every table, every picture and the findings, byte for byte.
fn results(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let numbers = |path: &PathBuf| {
        let ending = path.extension().map(|e| e.to_string_lossy().into_owned()).unwrap_or_default();
        ["csv", "vtu", "stl", "json"].contains(&ending.as_str())
    };
    let entries = fs::read_dir(folder.join("my-surrounds")).unwrap().flatten().map(|entry| entry.path());
    let named =
        |path: PathBuf| (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap());
    entries.filter(numbers).map(named).collect()
}

/// "3 of 12 solutions taken over" → [12, 3].
fn taken_over(ran: &Ran) -> [usize; 2] {
    let Some(end) = ran.err.find(" solutions taken over") else { return [0, 0] };
    let words: Vec<&str> = ran.err[..end].split_whitespace().rev().take(3).collect();
    [words[0].parse().unwrap(), words[2].parse().unwrap()]
}

#[test]
fn a_killed_comparison_goes_on_and_comes_to_the_same_result() {
    let (killed, whole) = (folder(), folder());
    surround(whole.path(), &[]);
    let solutions = kept(whole.path()).len();
    let mut child = program(killed.path(), &["surround", "my.toml"])
        .stderr(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    while kept(killed.path()).len() < 3 && begun.elapsed() < Duration::from_secs(120) {
        sleep(Duration::from_millis(2));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let survived = kept(killed.path()).len();
    assert!((3..solutions).contains(&survived), "killed with {survived} of {solutions} solutions");
    assert!(!killed.path().join("my-surrounds/report.html").exists(), "it was not finished");
    let ran = surround(killed.path(), &[]);
    assert_eq!(taken_over(&ran), [solutions, survived], "{}", ran.err);
    let (once, twice) = (results(whole.path()), results(killed.path()));
    assert!(once.len() > 15, "{:?}", once.keys());
    assert_eq!(once.keys().collect::<Vec<_>>(), twice.keys().collect::<Vec<_>>());
    for (name, bytes) in &once {
        assert!(twice[name] == *bytes, "{name} differs");
    }
}

#[test]
fn only_what_has_changed_is_solved() {
    let place = folder();
    let case = fs::read_to_string(place.path().join("my.toml")).unwrap();
    let first = surround(place.path(), &[]);
    assert_eq!(taken_over(&first), [0, 0]);
    let solutions = kept(place.path()).len();
    write(place.path(), &case.replace("\"Small\"", "\"Other words\"").replace("\"bare\"\ns", "\"alone\"\ns"));
    assert_eq!(taken_over(&surround(place.path(), &[])), [solutions, solutions]);
    write(place.path(), &case.replace("60 °", "65 °"));
    let [all, some] = taken_over(&surround(place.path(), &[]));
    assert!(0 < some && some < all, "{some} of {all}");
    write(place.path(), &case);
    assert_eq!(taken_over(&surround(place.path(), &["--afresh"])), [0, 0]);
    assert_eq!(kept(place.path()).len(), solutions);
}

#[test]
fn damage_is_told_and_solved_again() {
    let place = folder();
    surround(place.path(), &[]);
    let (before, files) = (results(place.path()), kept(place.path()));
    let mut bytes = fs::read(&files[1]).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&files[1], bytes).unwrap();
    fs::write(&files[2], b"").unwrap();
    let ran = surround(place.path(), &[]);
    assert_eq!(taken_over(&ran), [files.len(), files.len() - 2]);
    assert!(ran.err.contains("2 files in") && ran.err.contains("damaged"), "{}", ran.err);
    assert!(before == results(place.path()));
}

#[test]
fn keeping_can_be_limited_and_turned_off() {
    let place = folder();
    surround(place.path(), &["--keep", "0"]);
    assert!(!place.path().join("my-surrounds/kept").exists());
    surround(place.path(), &["--keep", "1"]);
    let bytes: u64 = kept(place.path()).iter().map(|file| file.metadata().unwrap().len()).sum();
    assert!(0 < bytes && bytes <= 1_000_000, "{bytes}");
}
