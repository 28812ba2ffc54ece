//! `panelwright surround` from the case file to every file of the results folder.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use hdf5::types::VarLenUnicode;
use ndarray::{Ix3, s};
use num_complex::Complex64;
use panelwright_tests::browser;
use serde_json::Value;
use std::path::PathBuf;
use std::sync::OnceLock;
use tempfile::TempDir;

const CASE: &str = include_str!("data/two-wings.toml");

/// The results of one run, made once: the folder, and what the program said.
fn results() -> &'static (TempDir, String) {
    static RESULTS: OnceLock<(TempDir, String)> = OnceLock::new();
    RESULTS.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("my.toml"), CASE).unwrap();
        let mut command = assert_cmd::Command::cargo_bin("panelwright").unwrap();
        let ran = command.current_dir(folder.path()).args(["surround", "my.toml"]).assert().success();
        let said = String::from_utf8(ran.get_output().stdout.clone()).unwrap();
        (folder, said)
    })
}

fn file(name: &str) -> PathBuf {
    results().0.path().join("my-surrounds").join(name)
}

fn text(name: &str) -> String {
    std::fs::read_to_string(file(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn findings() -> Value {
    serde_json::from_str(&text("findings.json")).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap_or(f64::NAN)).collect()
}

/// A column of a table; an empty cell is NaN.
fn column(table: &str, heading: &str) -> Vec<f64> {
    let text = text(table);
    let mut lines = text.lines();
    let headings: Vec<&str> = lines.next().unwrap().split(',').collect();
    let place =
        headings.iter().position(|h| *h == heading).unwrap_or_else(|| panic!("{heading}: {headings:?}"));
    lines.map(|line| line.split(',').nth(place).unwrap().parse().unwrap_or(f64::NAN)).collect()
}

#[track_caller]
fn assert_alike(found: &[f64], wanted: &[f64], tolerance: f64) {
    assert!(!wanted.is_empty() && found.len() == wanted.len(), "{found:?} for {wanted:?}");
    for (a, b) in found.iter().zip(wanted) {
        assert!((a - b).abs() <= tolerance * b.abs().max(1e-6) || (a.is_nan() && b.is_nan()), "{a} for {b}");
    }
}

#[test]
fn the_folder_holds_every_file_and_the_program_says_where_to_look() {
    let said = &results().1;
    assert!(said.contains("Findings") && said.contains("report.html"), "{said}");
    assert_eq!(text("case.toml"), CASE);
    for name in [
        "report.html",
        "surrounds.h5",
        "two--wings-.stl",
        "bare-1995-hz.vtu",
        "bare-3981-hz.vtu",
        "two--wings--1995-hz.vtu",
        "two--wings--3981-hz.vtu",
    ] {
        assert!(file(name).is_file(), "no {name}");
    }
    assert!(!file("bare.stl").exists(), "nothing to print");
}

#[test]
fn tables_hold_the_findings() {
    let findings = findings();
    let wings = &findings["surrounds"][1];
    let near = &wings["places"][0];
    let at_the_sofa = &wings["places"][1];
    assert_alike(&column("response.csv", "frequency_hz"), &numbers(&findings["frequencies"]), 1e-6);
    let level = column("response.csv", "level_db_spl_two_wings_at_sofa");
    assert_alike(&level, &numbers(&at_the_sofa["level"]), 1e-6);
    let difference = column("difference.csv", "difference_db_two_wings_at_the_near_microphone");
    assert_alike(&difference, &numbers(&near["difference"]), 1e-6);
    let delay: Vec<f64> = numbers(&near["group_delay"]).iter().map(|s| s * 1e3).collect();
    assert_alike(&column("group_delay.csv", "group_delay_ms_two_wings_at_the_near_microphone"), &delay, 1e-6);
    let gains: Vec<f64> =
        near["bands"].as_array().unwrap().iter().map(|b| b["gain"].as_f64().unwrap()).collect();
    let found = column("third_octave_gains.csv", "gain_db_two_wings_at_the_near_microphone");
    assert_alike(&found, &gains, 1e-6);
    let excursion: Vec<f64> = numbers(&wings["excursion"]).iter().map(|m| m * 1e3).collect();
    assert_alike(&column("excursion.csv", "peak_excursion_mm_two_wings"), &excursion, 1e-6);
    assert_alike(&column("impedance.csv", "magnitude_ohm_two_wings"), &numbers(&wings["impedance"]), 1e-6);
    let widths: Vec<f64> = numbers(&wings["beamwidth_horizontal"]).iter().map(|w| w.to_degrees()).collect();
    assert_alike(&column("beamwidth.csv", "beamwidth_degrees_horizontal_two_wings"), &widths, 1e-6);
    assert_alike(
        &column("directivity_index.csv", "directivity_index_db_two_wings"),
        &numbers(&wings["directivity_index"]),
        1e-6,
    );
    let power = column("sound_power.csv", "sound_power_level_db_re_1_pw_two_wings");
    assert_alike(&power, &numbers(&wings["power_level"]), 1e-6);
    let angles = column("polar_vertical.csv", "angle_degrees");
    assert_alike(&[angles[0], angles[angles.len() - 1]], &[-180.0, 180.0], 1e-9);
    let levels = wings["balloon"]["levels"]["data"].as_array().unwrap();
    let (polar, azimuth) =
        (column("balloon.csv", "polar_angle_degrees"), column("balloon.csv", "azimuth_degrees"));
    let first = column(
        "balloon.csv",
        &format!("level_db_spl_two_wings_{}_hz", wings["balloon"]["bands"][0]["nominal"].as_f64().unwrap()),
    );
    assert_eq!((polar.len(), polar[polar.len() - 1], azimuth[1]), (37 * 24, 180.0, 15.0));
    assert_alike(&first, &levels[..37 * 24].iter().map(|v| v.as_f64().unwrap()).collect::<Vec<_>>(), 1e-6);
    let shifts: usize = findings["surrounds"].as_array().unwrap().iter().map(shifts).sum();
    assert_eq!(text("dips_and_peaks.csv").lines().count(), 1 + shifts);
}

fn shifts(surround: &Value) -> usize {
    surround["places"].as_array().unwrap().iter().map(|place| place["shifts"].as_array().unwrap().len()).sum()
}

#[test]
fn the_store_holds_complex_pressures_that_make_the_levels() {
    let findings = findings();
    let store = hdf5::File::open(file("surrounds.h5")).unwrap();
    let pressure = store.dataset("surrounds/pressure").unwrap().read::<Complex64, Ix3>().unwrap();
    let frequencies = numbers(&findings["frequencies"]);
    assert_eq!(pressure.dim(), (2, 2, frequencies.len()));
    let level: Vec<f64> =
        pressure.slice(s![1, 1, ..]).iter().map(|p| 20.0 * (p.norm() / 20e-6).log10()).collect();
    assert_alike(&level, &numbers(&findings["surrounds"][1]["places"][1]["level"]), 1e-12);
    let far = store.dataset("surrounds/far_horizontal").unwrap().read::<Complex64, Ix3>().unwrap();
    let axis = far.dim().2 / 2;
    // Two wings to the left and right: the horizontal far field is the same on both sides.
    for away in 1..=axis {
        let (left, right) = (far[[1, 0, axis - away]], far[[1, 0, axis + away]]);
        assert!((left - right).norm() < 1e-9 * left.norm(), "{left} and {right}");
    }
    let names: Vec<VarLenUnicode> = store.dataset("surrounds/name").unwrap().read_1d().unwrap().to_vec();
    assert_eq!(names.iter().map(|n| n.as_str()).collect::<Vec<_>>(), ["bare", "two <wings>"]);
    let case: VarLenUnicode = store.dataset("case_text").unwrap().read_scalar().unwrap();
    assert_eq!(case.as_str(), CASE);
}

#[test]
fn every_dataset_says_what_it_is() {
    let store = hdf5::File::open(file("surrounds.h5")).unwrap();
    let mut seen = 0;
    let mut groups = vec![(*store).clone()];
    while let Some(group) = groups.pop() {
        groups.extend(group.groups().unwrap());
        for dataset in group.datasets().unwrap() {
            let attribute = |name: &str| -> String {
                let text: VarLenUnicode = dataset.attr(name).unwrap().read_scalar().unwrap();
                text.as_str().to_owned()
            };
            assert!(attribute("description").ends_with('.'), "{}", dataset.name());
            let dimensions = attribute("dimensions");
            let axes: Vec<&str> = dimensions.split(" x ").filter(|axis| !axis.is_empty()).collect();
            assert_eq!(axes.len(), dataset.ndim(), "{}", dataset.name());
            for (axis, size) in axes.iter().zip(dataset.shape()).filter(|(axis, _)| axis.starts_with('/')) {
                assert_eq!(store.dataset(axis).unwrap().shape()[0], size, "{} along {axis}", dataset.name());
            }
            seen += 1;
        }
    }
    assert!(seen > 40, "only {seen} datasets");
}

#[test]
fn surfaces_for_viewers_are_closed_bodies_of_the_size_they_say() {
    let grid = text("two--wings--3981-hz.vtu");
    let count = |name: &str| -> usize {
        let rest = &grid[grid.find(&format!("{name}=\"")).unwrap() + name.len() + 2..];
        rest[..rest.find('"').unwrap()].parse().unwrap()
    };
    let (points, cells) = (count("NumberOfPoints"), count("NumberOfCells"));
    assert!(cells > 1000 && points > cells / 2 && points < cells, "{points} points, {cells} triangles");
    for name in ["position_m", "pressure_real_pa", "pressure_imaginary_pa", "level_db_re_20_upa", "patch"] {
        assert_eq!(grid.matches(&format!("Name=\"{name}\"")).count(), 1, "{name}");
    }
}

#[test]
fn the_page_works_in_a_browser_without_script_errors() {
    let check = browser::open(&file("report.html"));
    assert_eq!(check.errors, Vec::<String>::new());
    assert_eq!(check.used["silent"].as_array().unwrap().len(), 0, "{}", check.used);
    assert!(check.used["controls"].as_u64().unwrap() >= 16, "{}", check.used);
    // Level and delay at one place, beam, two polar patterns, impedance, excursion, power, and a cut through both bodies.
    assert_eq!(check.used["readouts"].as_u64().unwrap(), 5 * 10, "{}", check.used);
    let bodies = check.dom.matches("class=\"body lit\"").count();
    assert_eq!(bodies, 2);
    let painted = check.dom.split("class=\"body lit\"").nth(1).unwrap();
    assert!(
        painted[..2000].contains("<path") && painted[..2000].contains("color=\"#"),
        "the script colours the bodies"
    );
}

#[test]
fn names_cannot_become_markup_and_nothing_is_fetched() {
    let page = text("report.html");
    assert!(!page.contains("two <wings>") && page.contains("two &lt;wings&gt;"));
    for address in ["http:", "https:", "src=", "@import", "url("] {
        assert!(!page.contains(address), "the page refers to {address}");
    }
    assert!(page.len() < 2_000_000, "{} bytes", page.len());
    let numbers = &page[..page.rfind("<script>").unwrap()];
    assert!(!numbers.contains("NaN") && !numbers.contains("inf "), "numbers that are none reached the page");
}

#[test]
fn doubts_stand_beside_what_they_concern() {
    let page = text("report.html");
    let start = page.find("<section id=\"driver\"").unwrap();
    let driver = &page[start..start + page[start..].find("</section>").unwrap()];
    assert!(driver.contains("Take care") && driver.contains("rated"), "the coil moves too far");
}
