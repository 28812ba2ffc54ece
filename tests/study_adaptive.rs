//! Adaptive search through the binary: the same whatever happens on the way, better than looking everywhere, honest about what it cannot do.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::program;
use panelwright_tests::studies::{finished, flat, place, study, variants, well};
use std::collections::HashSet;
use std::path::Path;
use std::process::Stdio;
use std::thread::sleep;
use std::time::Duration;

/// The small study with so many variants chosen by this method.
fn by(method: &str, count: usize) -> String {
    include_str!("data/small-study.toml")
        .replace("variants = 60", &format!("method = \"{method}\"\nvariants = {count}"))
}

/// Starts a run and kills it after so many milliseconds.
fn killed(folder: &Path, after: u64) {
    let mut run = program(folder, &["study", "run", "my.toml"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    sleep(Duration::from_millis(after));
    run.kill().unwrap();
    run.wait().unwrap();
}

/// Score of the first in the list.
fn best(folder: &Path) -> f64 {
    let ranked = well(folder, &["rank", "my.toml", "--json", "--top", "1"]).out;
    let ranked: serde_json::Value = serde_json::from_str(&ranked).unwrap();
    ranked[0]["score"].as_f64().unwrap_or_else(|| panic!("{ranked}"))
}

#[test]
fn workers_and_interruptions_change_nothing() {
    // 98 combinations of values: most of what the search asks for is there already.
    let rounded = by("adaptive", 96).replace("to = \"85 %\"", "to = \"85 %\"\nround_to = \"10 %\"");
    let [once, often] = [0, 1].map(|_| place(&rounded));
    well(once.path(), &["run", "my.toml", "--workers", "1"]);
    for after in [100, 150, 200, 250, 300, 350, 400, 450] {
        killed(often.path(), after);
    }
    well(often.path(), &["run", "my.toml", "--workers", "2"]);
    let found = variants(often.path());
    assert_eq!(found.len(), 96);
    let values: HashSet<&[u64]> = found.values().map(|bits| &bits[..3]).collect();
    assert_eq!(values.len(), 96, "no variant twice");
    assert!(found == variants(once.path()), "other bits");
    assert_eq!(finished(often.path())["finished"], 96);
    let again = well(often.path(), &["run", "my.toml"]);
    assert!(flat(&again.out).contains("All 96 variants are finished."), "{}", again.out);
}

#[test]
fn it_finds_better_ones_than_looking_everywhere() {
    let mean = |method: &str| {
        let one = |seed: u32| {
            let folder = place(&by(method, 128).replace("seed = 5", &format!("seed = {seed}")));
            well(folder.path(), &["run", "my.toml"]);
            best(folder.path())
        };
        (1..=6).map(one).sum::<f64>() / 6.0
    };
    let (searched, spread) = (mean("adaptive"), mean("low discrepancy"));
    assert!(searched < spread - 0.01, "{searched} against {spread}");
}

#[test]
fn it_says_what_it_cannot_do() {
    let folder = place(&by("adaptive", 40));
    let [shared, gathered] = [&["run", "my.toml", "--shard", "1/2"][..], &["gather", "my.toml"]]
        .map(|arguments| study(folder.path(), arguments));
    for refused in [shared, gathered] {
        assert_eq!(refused.code, Some(1), "{}", refused.err);
        assert!(flat(&refused.err).contains("an adaptive search cannot be shared out"), "{}", refused.err);
    }
    well(folder.path(), &["run", "my.toml"]);
    let ranked = flat(&well(folder.path(), &["rank", "my.toml"]).out);
    assert!(ranked.contains("do not tell how much each value matters"), "{ranked}");
    let none = study(folder.path(), &["show", "my.toml", "40"]);
    assert!(flat(&none.err).contains("numbered from 0 to 39"), "{}", none.err);
    std::fs::write(folder.path().join("my-study/chosen.points"), b"spoilt").unwrap();
    let spoilt = study(folder.path(), &["rank", "my.toml"]);
    assert_eq!(spoilt.code, Some(1));
    assert!(
        flat(&spoilt.err).contains("chosen.points") && flat(&spoilt.err).contains("--anew"),
        "{}",
        spoilt.err
    );
    let many = place(&by("adaptive", 30_000));
    let refused = study(many.path(), &["run", "my.toml"]);
    assert!(flat(&refused.err).contains("too many for an adaptive search"), "{}", refused.err);
}
