//! A study's memory does not grow with what it has computed. Alone in its process, so that what is measured is its own.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright::study::{
    Finished, Outcome, Pending, Record, Shard, ShardResults, Study, StudyFolder, VariantResult, gather, run,
};
use std::fs;
use std::path::Path;
use std::sync::atomic::AtomicBool;

const CASE: &str = include_str!("data/small-study.toml");
const VARIANTS: usize = 100_000;
/// Allowed growth from a tenth of the records to all [bytes]; a tenth of what they take on the disk.
const ALLOWED: u64 = 12 << 20;

/// Resident memory of this process, now and at most [bytes].
fn resident() -> (u64, u64) {
    let status = fs::read_to_string("/proc/self/status").expect("this test needs Linux's /proc");
    let value = |name: &str| {
        let line = status.lines().find(|line| line.starts_with(name)).unwrap();
        line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() << 10
    };
    (value("VmRSS:"), value("VmHWM:"))
}

/// Begins the highest resident size anew.
fn forget_the_highest() {
    fs::write("/proc/self/clear_refs", "5").unwrap();
}

/// What a variant might bring: some 1.2 kilobytes.
fn evaluate(number: usize) -> VariantResult {
    let x = number as f64;
    let levels = (0..300).map(|i| (x + f64::from(i)).sin() as f32).collect();
    VariantResult::Measured { values: vec![x.sqrt(), x.cos(), 12.5], cost: 12.5, levels, missing: vec![] }
}

fn study() -> Study {
    let case = CASE.replace("variants = 60", &format!("variants = {VARIANTS}"));
    Study::of(case, Path::new("small.toml")).unwrap_or_else(|_| panic!("a sound case"))
}

/// Computes what is missing of `order`, and makes it readable; how many variants those were.
fn compute(study: &Study, folder: &StudyFolder, order: &[usize]) -> usize {
    let digest = study.identity.digest();
    let paths = (folder.journal(Shard::WHOLE), folder.results(Shard::WHOLE));
    let mut results = ShardResults::of(study, (&paths.0, &paths.1), "2026-11-27T00:00:00Z");
    let mut finished = Finished::default();
    let held = folder.hold(Shard::WHOLE, &digest, &mut |record: &Record, end| {
        finished.note(record);
        results.meet(record, end);
    });
    let mut held = held.unwrap_or_else(|_| panic!("free"));
    let pending: Vec<usize> = order.iter().copied().filter(|number| !finished.has(*number)).collect();
    let stop = AtomicBool::new(false);
    let earlier = order.len() - pending.len();
    let pending = Pending { numbers: &pending, finished: earlier, renewals: &[] };
    let ran = run(&pending, (&mut held, &mut results), (&evaluate, 2), &stop, &mut |_| ());
    ran.unwrap_or_else(|_| panic!("runs")).fresh
}

#[test]
fn memory_stays_flat_over_a_hundred_thousand_variants() {
    let place = tempfile::tempdir().unwrap();
    let (study, folder) = (study(), StudyFolder::at(place.path()));
    let order = study.order();
    forget_the_highest();
    assert_eq!(compute(&study, &folder, &order[..VARIANTS / 10]), VARIANTS / 10);
    let at_a_tenth = resident().1;
    assert_eq!(compute(&study, &folder, &order), VARIANTS - VARIANTS / 10);
    let at_the_end = resident().1;
    let journal = fs::metadata(folder.journal(Shard::WHOLE)).unwrap().len();
    let told = format!("{at_a_tenth} bytes at a tenth, {at_the_end} at the end, journal {journal}");
    assert!(at_the_end < at_a_tenth + ALLOWED, "{told}");
    assert!(journal > 9 * ALLOWED, "{told}");

    // Going on, gathering and looking need no more than a few bytes a variant.
    forget_the_highest();
    let before = resident().0;
    assert_eq!(compute(&study, &folder, &order), 0);
    let gathered = gather(&study, std::slice::from_ref(&folder), "").unwrap_or_else(|_| panic!("gathers"));
    assert_eq!(gathered.unwrap().finished.count(Outcome::Measured), VARIANTS);
    let after = resident().1;
    assert!(after < before + ALLOWED, "{before} before going on, {after} at most");
    let file = hdf5::File::open(folder.gathered().1).unwrap();
    assert_eq!(file.dataset("variant").unwrap().shape(), [VARIANTS]);
}
