//! `panelwright blend` from the case file to every file of the results folder.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::{browser, run};
use serde_json::Value;
use std::fs;

const CASE: &str = include_str!("data/small-blend.toml");

#[test]
fn panel_and_driver_are_summed_and_every_file_is_written() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), CASE).unwrap();
    let ran = run(folder.path(), &["blend", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    for part in ["Findings", "most even crossover", "Open my-blend/report.html"] {
        assert!(
            ran.out.split_whitespace().collect::<Vec<_>>().join(" ").contains(part),
            "{part}: {}",
            ran.out
        );
    }
    let results = folder.path().join("my-blend");
    let text = |name: &str| fs::read_to_string(results.join(name)).unwrap();
    assert_eq!(text("case.toml"), CASE);
    let findings: Value = serde_json::from_str(&text("findings.json")).unwrap();
    let blended = &findings["surrounds"][0];
    let before = blended["unevenness"].as_f64().unwrap();
    let advised = blended["advice"]["crossover"]["unevenness"].as_f64().unwrap();
    assert!(advised < before, "{advised} {before}");

    // The table says what the findings say, and the sum what its parts say: |a + b| by levels and the phase between.
    let response = text("response.csv");
    let (headings, rows) = response.split_once('\n').unwrap();
    let at = |heading: &str| headings.split(',').position(|h| h == heading).unwrap();
    let [sum, panel, driver] =
        ["sum", "panel", "driver"].map(|part| at(&format!("level_db_spl_{part}_bare_at_sofa")));
    let phases = text("phase.csv");
    let (phase_headings, phases) = phases.split_once('\n').unwrap();
    let between =
        phase_headings.split(',').position(|h| h == "driver_against_panel_degrees_bare_at_sofa").unwrap();
    let mut count = 0;
    for (row, phase) in rows.lines().zip(phases.lines()) {
        let cell = |row: &str, at: usize| row.split(',').nth(at).unwrap().parse::<f64>().unwrap();
        let amplitude = |at: usize| 10f64.powf(cell(row, at) / 20.0);
        let (a, b, angle) = (amplitude(panel), amplitude(driver), cell(phase, between).to_radians());
        let expected = (a * a + b * b + 2.0 * a * b * angle.cos()).sqrt();
        assert!((20.0 * (amplitude(sum) / expected).log10()).abs() < 0.01, "{row}");
        count += 1;
    }
    assert!(count > 70, "{count} frequencies");

    let crossover = text("crossover.txt");
    for part in [
        "[[channel]]\nname = \"bass\"",
        "name = \"treble\"",
        "low_pass = \"",
        "channel tweeter, sample rate 48000 Hz",
    ] {
        assert!(crossover.contains(part), "{part}: {crossover}");
    }
    // The advised lines are a case file's lines.
    let lines = crossover.split("==").nth(2).unwrap().split("H(z)").next().unwrap();
    let start = CASE.find("[[channel]]").unwrap();
    let end = CASE.find("[driver]").unwrap();
    let advised_case = format!("{}{lines}\n{}", &CASE[..start], &CASE[end..]);
    fs::write(folder.path().join("advised.toml"), &advised_case).unwrap();
    let checked = run(folder.path(), &["check", "advised.toml"]);
    assert_eq!(checked.code, Some(0), "{}\n{advised_case}", checked.err);
    for seat in ["sofa", "desk"] {
        assert!(results.join(format!("impulse-bare-at-{seat}.wav")).exists(), "{seat}");
    }
    let page = browser::open(&results.join("report.html"));
    assert_eq!(page.errors, Vec::<String>::new());
}

#[test]
fn a_case_without_a_driver_or_a_panel_is_told_so() {
    let folder = tempfile::tempdir().unwrap();
    let start = CASE.find("[driver]").unwrap();
    let end = CASE.find("[[seat]]").unwrap();
    let treble = CASE.find("[[channel]]\nname = \"treble\"").unwrap();
    fs::write(folder.path().join("panel.toml"), format!("{}{}", &CASE[..treble], &CASE[end..])).unwrap();
    let ran = run(folder.path(), &["blend", "panel.toml"]);
    assert!(ran.code == Some(1) && ran.err.contains("the case has no driver"), "{}", ran.err);
    let alone = &CASE[start..end].replace("channel = \"treble\"\n", "").replace("behind = \"nothing\"\n", "");
    fs::write(folder.path().join("driver.toml"), alone).unwrap();
    let ran = run(folder.path(), &["blend", "driver.toml"]);
    assert!(ran.code == Some(1) && ran.err.contains("no panel"), "{}", ran.err);
}
