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

/// One second of a tone in both channels of a 16-bit file.
fn tone(frequency: f64, amplitude: f64) -> Vec<u8> {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 44_100,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for n in 0..44_100 {
        let value = amplitude * (std::f64::consts::TAU * frequency * f64::from(n) / 44_100.0).sin();
        (0..2).for_each(|_| writer.write_sample((value * 32_767.0) as i16).unwrap());
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

#[test]
fn a_recording_is_rendered_equally_loud_and_the_difference_is_told() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), CASE).unwrap();
    let ran = run(folder.path(), &["blend", "my.toml", "--json"]);
    let findings: Value = serde_json::from_str(&ran.out).unwrap();
    let blended = &findings["surrounds"][0];
    let list = |value: &Value| -> Vec<f64> {
        value.as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect()
    };
    let frequencies = list(&findings["frequencies"]);
    let middle = frequencies.len() / 2;
    let [case, advised] = [&blended["seats"][0]["level"], &blended["advice"]["seats"][0]].map(list);

    fs::write(folder.path().join("tone.wav"), tone(frequencies[middle], 0.4)).unwrap();
    let ran = run(folder.path(), &["blend", "my.toml", "--render", "tone.wav"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("To hear") && ran.out.contains("volume right down"), "{}", ran.out);
    let results = folder.path().join("my-blend");
    let rows = fs::read_to_string(results.join("heard.csv")).unwrap();
    let row = |channels: &str| -> Vec<String> {
        let row = rows.lines().find(|row| row.contains(channels) && row.contains(",sofa,"));
        row.unwrap_or_else(|| panic!("{rows}")).split(',').map(str::to_owned).collect()
    };
    let louder = |channels: &str| row(channels)[4].parse::<f64>().unwrap();
    let difference = louder("advised") - louder("as in the case");
    let expected = advised[middle] - case[middle];
    assert!((difference - expected).abs() < 0.2, "{difference} dB for {expected} dB");
    let strength = |channels: &str| {
        let mut reader = hound::WavReader::open(results.join(&row(channels)[0])).unwrap();
        assert_eq!((reader.spec().sample_rate, reader.spec().channels), (44_100, 1));
        let samples: Vec<f64> = reader.samples::<f32>().map(|x| f64::from(x.unwrap())).collect();
        assert!(samples.iter().all(|x| x.abs() < 0.71));
        let steady = &samples[samples.len() / 3..samples.len() / 2];
        (steady.iter().map(|x| x * x).sum::<f64>() / steady.len() as f64).sqrt()
    };
    let ratio = strength("advised") / strength("as in the case");
    assert!((20.0 * ratio.log10()).abs() < 0.2, "{ratio}");
    let page = fs::read_to_string(results.join("report.html")).unwrap();
    assert!(page.contains("Hear it") && page.contains("<audio controls"), "a section to listen from");
}

#[test]
fn recordings_that_cannot_be_rendered_are_refused_before_anything_is_computed() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), CASE).unwrap();
    fs::write(folder.path().join("silent.wav"), tone(1000.0, 0.0)).unwrap();
    fs::write(folder.path().join("text.wav"), "no sound").unwrap();
    let cut = &tone(1000.0, 0.4)[..30_001];
    fs::write(folder.path().join("cut.wav"), cut).unwrap();
    for (file, said) in [
        ("silent.wav", "nothing to hear"),
        ("text.wav", "cannot be read as a WAV file"),
        ("absent.wav", "cannot be read as a WAV file"),
        ("cut.wav", "breaks off"),
    ] {
        let ran = run(folder.path(), &["blend", "my.toml", "--render", file]);
        assert_eq!(ran.code, Some(1), "{file}: {}", ran.err);
        assert!(ran.err.contains(said) && ran.err.contains(file), "{file}: {}", ran.err);
        assert!(!folder.path().join("my-blend/report.html").exists(), "{file}");
    }
}

#[test]
fn a_part_without_a_channel_is_advised_a_new_one_that_can_be_pasted() {
    let folder = tempfile::tempdir().unwrap();
    let (start, end) = (CASE.find("[[channel]]").unwrap(), CASE.find("[driver]").unwrap());
    let plain = format!(
        "{}{}",
        &CASE[..start],
        CASE[end..].replace("channel = \"treble\"", "voltage = \"2 V\"\nsource_resistance = \"0.4 Ω\"")
    );
    let blended = |name: &str, case: &str| -> Value {
        fs::write(folder.path().join(name), case).unwrap();
        let ran = run(folder.path(), &["blend", name, "--json"]);
        assert_eq!(ran.code, Some(0), "{}\n{case}", ran.err);
        serde_json::from_str(&ran.out).unwrap()
    };
    let promised = blended("plain.toml", &plain)["surrounds"][0]["advice"]["crossover"]["unevenness"].clone();
    let crossover = fs::read_to_string(folder.path().join("plain-blend/crossover.txt")).unwrap();
    let lines = crossover.split("==").nth(2).unwrap().split("H(z)").next().unwrap();
    assert!(lines.contains("write channel = \"tweeter\" into [driver] \"tweeter\""), "{lines}");
    let driver = CASE[end..].replace("channel = \"treble\"", "channel = \"tweeter\"");
    let again = blended("advised.toml", &format!("{}{lines}\n{driver}", &CASE[..start]));
    let [promised, found] = [&promised, &again["surrounds"][0]["unevenness"]].map(|v| v.as_f64().unwrap());
    assert!((promised - found).abs() < 0.05, "{promised} {found}");
}

#[test]
fn wiring_of_a_channel_that_feeds_the_driver_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let wired = CASE.replace("name = \"treble\"", "name = \"treble\"\nwiring = \"series\"");
    fs::write(folder.path().join("my.toml"), wired).unwrap();
    let ran = run(folder.path(), &["check", "my.toml"]);
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains("if the channel is meant for exciters"), "{}", ran.err);
}
