//! `panelwright blend` with responses that were measured in place of computed ones.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::run;
use serde_json::Value;
use std::fs;
use std::path::Path;

const CASE: &str = include_str!("data/small-blend.toml");

/// The case without filters and gain, so that its tables hold the parts by themselves.
fn plain() -> String {
    let kept = |line: &&str| !["low_pass", "high_pass", "gain"].iter().any(|key| line.starts_with(key));
    CASE.lines().filter(kept).collect::<Vec<_>>().join("\n")
}

/// Runs a case and reads its findings.
fn blended(folder: &Path, text: &str) -> Value {
    fs::write(folder.join("my.toml"), text).unwrap();
    let ran = run(folder, &["blend", "my.toml", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

/// What the panel does at the first seat, as a file that a measurement would leave, so many decibels louder.
fn table(findings: &Value, louder: f64) -> String {
    let part = &findings["surrounds"][0]["seats"][0]["parts"][0];
    let rows = numbers(&findings["frequencies"])
        .into_iter()
        .zip(numbers(&part["level"]))
        .zip(numbers(&part["phase"]));
    let row =
        |((f, level), phase): ((f64, f64), f64)| format!("{f}\t{}\t{}\n", level + louder, phase.to_degrees());
    format!("Measured on a Monday\nFrequency\tLevel\tPhase\n{}", rows.map(row).collect::<String>())
}

fn measured(case: &str, file: &str, findings: &Value) -> String {
    let flight = findings["surrounds"][0]["seats"][0]["flight"].as_f64().unwrap();
    format!(
        "{case}\n[[measured]]\npart = \"panel\"\nseat = \"sofa\"\nfile = \"{file}\"\ntime_zero = \"{} ms\"\n",
        1e3 * flight
    )
}

/// What was computed, taken for measured, changes nothing; 3 dB more is 3 dB more, and its sum with the driver is that of phasors.
#[test]
fn a_measured_panel_takes_the_place_of_the_computed_one() {
    let folder = tempfile::tempdir().unwrap();
    let computed = blended(folder.path(), &plain());
    let sum = |findings: &Value| numbers(&findings["surrounds"][0]["seats"][0]["level"]);
    let before = sum(&computed);
    fs::write(folder.path().join("panel.txt"), table(&computed, 0.0)).unwrap();
    let same = blended(folder.path(), &measured(&plain(), "panel.txt", &computed));
    for (a, b) in before.iter().zip(sum(&same)) {
        assert!((a - b).abs() < 1e-6, "{a} {b}");
    }
    let beside = &same["measured"][0];
    assert!(
        beside["louder"].as_f64().unwrap().abs() < 1e-6 && beside["later"].as_f64().unwrap() == 0.0,
        "{beside}"
    );

    fs::write(folder.path().join("loud.txt"), table(&computed, 3.0)).unwrap();
    let louder = blended(folder.path(), &measured(&plain(), "loud.txt", &computed));
    assert!((louder["measured"][0]["louder"].as_f64().unwrap() - 3.0).abs() < 1e-6);
    let parts = &computed["surrounds"][0]["seats"][0]["parts"];
    let [panel, driver] = [0, 1].map(|i| numbers(&parts[i]["level"]));
    let between = numbers(&parts[1]["against_first"]);
    for (i, found) in sum(&louder).iter().enumerate() {
        let [a, b] = [panel[i] + 3.0, driver[i]].map(|level| 10f64.powf(level / 20.0));
        let expected = 10.0 * (a * a + b * b + 2.0 * a * b * between[i].cos()).log10();
        assert!((found - expected).abs() < 1e-6, "{found} {expected}");
    }
    let told = louder["summary"].to_string();
    assert!(
        told.contains("“panel” at sofa is measured (loud.txt), on average 3 dB louder than computed"),
        "{told}"
    );
    let doubts = louder["warnings"].to_string();
    assert!(doubts.contains("“panel” is not measured at desk"), "{doubts}");
    let page = fs::read_to_string(folder.path().join("my-blend/report.html")).unwrap();
    assert!(page.contains("loud.txt") && page.contains("Measured"), "the page tells what was measured");
}

/// A click of one half a hundred samples late is a flat response: level and phase are known, and the range ends where the file does.
#[test]
fn an_impulse_response_is_read_and_the_range_shrinks_to_what_it_covers() {
    let folder = tempfile::tempdir().unwrap();
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 4000,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::create(folder.path().join("click.wav"), spec).unwrap();
    (0..200).for_each(|n| writer.write_sample(if n == 25 { 0.5f32 } else { 0.0 }).unwrap());
    writer.finalize().unwrap();
    let lines = "[[measured]]\npart = \"tweeter\"\nseat = \"sofa\"\nfile = \"click.wav\"\nfull_scale = \"0.2 Pa\"\nvoltage = \"5.66 V\"\nfrom = \"400 Hz\"\n";
    let findings = blended(folder.path(), &format!("{}\n{lines}", plain()));
    let frequencies = numbers(&findings["frequencies"]);
    assert!(frequencies[0] >= 400.0 && frequencies[frequencies.len() - 1] <= 1800.0, "{frequencies:?}");
    assert!(frequencies[0] < 420.0 && frequencies[frequencies.len() - 1] > 1730.0, "{frequencies:?}");
    let seat = &findings["surrounds"][0]["seats"][0];
    let flight = seat["flight"].as_f64().unwrap();
    // Half of 0.2 Pa at twice the voltage of the case: 0.05 Pa.
    let expected = 20.0 * (0.05f64 / 20e-6).log10();
    let driver = &seat["parts"][1];
    for (i, (level, phase)) in numbers(&driver["level"]).iter().zip(numbers(&driver["phase"])).enumerate() {
        assert!((level - expected).abs() < 1e-4, "{level} {expected}");
        let turns = phase / std::f64::consts::TAU + frequencies[i] * (25.0 / 4000.0 - flight);
        assert!((turns - turns.round()).abs() < 1e-5, "{} Hz: {phase}", frequencies[i]);
    }
    let doubts = findings["warnings"].to_string();
    assert!(doubts.contains("click.wav only covers part of") && doubts.contains("judged from"), "{doubts}");
}

#[test]
fn a_slip_in_a_file_is_told_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("slip.csv"), "f,level,phase\n300,80.5,12\n400,80,5,13\n").unwrap();
    let lines = "[[measured]]\npart = \"panel\"\nseat = \"sofa\"\nfile = \"slip.csv\"\n";
    fs::write(folder.path().join("my.toml"), format!("{CASE}\n{lines}")).unwrap();
    let ran = run(folder.path(), &["blend", "my.toml"]);
    let said = ran.err.split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
    assert_eq!(ran.code, Some(1), "{said}");
    assert!(said.contains("slip.csv: line 3, “400,80,5,13”: commas part it into 4 columns"), "{said}");
}

#[test]
fn a_file_that_shares_no_frequency_with_the_others_is_told_before_anything_is_computed() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("low.txt"), "300 80 0\n900 80 0\n").unwrap();
    fs::write(folder.path().join("high.txt"), "1000 80 0\n3000 80 0\n").unwrap();
    let table = |part: &str, file: &str| {
        format!("[[measured]]\npart = \"{part}\"\nseat = \"sofa\"\nfile = \"{file}\"\n")
    };
    let told = |lines: &str| {
        fs::write(folder.path().join("my.toml"), format!("{CASE}\n{lines}")).unwrap();
        let ran = run(folder.path(), &["check", "my.toml"]);
        let said = ran.err.split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
        (ran.code, said)
    };
    for fits in ["low.txt", "high.txt"] {
        assert_eq!(told(&table("panel", fits)).0, Some(0), "{fits}");
    }
    let (code, said) = told(&[table("panel", "low.txt"), table("tweeter", "high.txt")].concat());
    assert_eq!(code, Some(1), "{said}");
    let first = CASE.lines().count();
    for part in [
        "high.txt: holds from 1 kHz to 3 kHz and shares fewer than two of the case's frequencies with the other parts",
        "have in common: 303 Hz to 879 Hz",
        &format!("my.toml:{}", first + 9),
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}
