//! `panelwright place` with several drivers and with measured responses, against `blend` where the drivers hang.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use num_complex::Complex64;
use panelwright::case::load;
use panelwright_solver::blend::{blend_findings, ensemble};
use panelwright_solver::kept::NothingKept;
use panelwright_solver::scene::{BlendScene, Measured, MeasuredPart};
use panelwright_solver::search::drivers::{DriverOptions, DriverPlaces, driver_places};
use panelwright_tests::several::three_way;
use panelwright_tests::{browser, run};
use serde_json::Value;
use std::f64::consts::TAU;
use std::fs;

/// With the panel in a wall behind the drivers, where the map is exact, and frequencies that both commands take as they are.
fn text() -> String {
    three_way()
        .replace("behind = \"nothing\"", "behind = \"plane\"")
        .replace("material = \"poplar plywood\"", "material = \"poplar plywood\"\nback = \"baffled\"")
        .replace("per_octave = 24", "per_octave = 12")
        + "\n[place]\nstep = \"40 mm\"\n[place.driver]\nmargin = \"70 mm\"\nstep = \"70 mm\"\n"
}

fn scene() -> (BlendScene, DriverOptions) {
    panelwright_solver::single_threaded_blas();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("my.toml");
    fs::write(&path, text()).unwrap();
    let case = load(&path).unwrap();
    let mut scene = case.with_drivers().unwrap();
    // Every quarter of an octave will do, and one surround each.
    scene.panel.frequencies = scene.panel.frequencies.iter().copied().step_by(3).collect();
    scene.drivers.iter_mut().for_each(|fed| fed.scene.surrounds.truncate(1));
    (scene, case.places.driver)
}

fn placed(scene: &BlendScene, driver: usize, options: &DriverOptions) -> DriverPlaces {
    driver_places(scene, driver, options, &|_| ()).unwrap().unwrap()
}

/// Unevenness of the sum at the seats with the drivers where they hang, by the whole computation at the frequencies [Hz] that places are judged at.
fn blended(scene: &BlendScene, frequencies: &[f64]) -> f64 {
    let mut scene = scene.clone();
    scene.panel.frequencies = frequencies.to_vec();
    let findings = blend_findings(&ensemble(&scene, &NothingKept, &|_| ()).unwrap());
    findings.surrounds[0].unevenness
}

/// A response at a seat as no computation has it: rising by 6 dB per octave, after a time of flight.
fn heard(source: MeasuredPart, seat: usize) -> Measured {
    let frequencies: Vec<f64> = (0..120).map(|n| 250.0 * 2f64.powf(f64::from(n) / 30.0)).collect();
    let at = |f: &f64| Complex64::from_polar(2e-4 * f, -TAU * f * 5.9e-3);
    let pressure = frequencies.iter().map(at).collect();
    Measured { source, seat, file: "invented.txt".into(), frequencies, pressure }
}

/// Each driver at its present place, the others playing: as `blend` has it. No place of one lies within another.
#[test]
fn every_driver_is_judged_with_the_others() {
    let (scene, options) = scene();
    let mut corners = vec![];
    for driver in [0, 1] {
        let found = placed(&scene, driver, &options);
        let whole = blended(&scene, &found.frequencies);
        let as_set = found.now.scores.as_set;
        assert!((as_set - whole).abs() < 5e-3, "{driver}: {as_set} {whole}");
        let [own, other] = [driver, 1 - driver].map(|d| &scene.drivers[d].scene.driver);
        assert_eq!((&found.driver[0], &found.others[..]), (&own.name, &[other.name.clone()][..]));
        // Housings of 40 mm: nothing nearer than that to the other, everything else.
        for ((i, j), &room) in found.room.indexed_iter() {
            let [x, y] = [found.x[i] - other.place[0], found.y[j] - other.place[1]];
            assert_eq!(room, x.hypot(y) >= 0.04, "{i} {j}");
        }
        assert_eq!(found.places().count(), found.room.iter().filter(|room| **room).count());
        corners.push(found.corners);
    }
    assert_eq!(corners, [vec![700.0, 1600.0], vec![1600.0]]);
}

/// A delay in the driver's channel is taken from what its places are matched by, and nothing else changes.
#[test]
fn a_delay_that_is_set_need_not_be_matched() {
    let (mut scene, options) = scene();
    let before = placed(&scene, 1, &options).now.scores.matched;
    scene.drivers[1].channel.delay += 2e-3;
    let after = placed(&scene, 1, &options).now.scores.matched;
    assert!((before.delay - after.delay - 2e-3).abs() < 1e-6, "{before:?} {after:?}");
    assert!((before.unevenness - after.unevenness).abs() < 1e-6, "{before:?} {after:?}");
}

/// A driver that stands behind the panel's front has no map, and that is told; the other one keeps its own.
#[test]
fn a_driver_that_cannot_be_placed_does_not_hinder_the_other() {
    let folder = tempfile::tempdir().unwrap();
    // Beside a hung panel a housing may reach behind its front; before a wall it may not.
    let hung =
        text().replace("\nback = \"baffled\"", "").replace("behind = \"plane\"", "behind = \"nothing\"");
    let text = hung.replacen("clearance = \"20 mm\"", "clearance = \"-5 mm\"", 1);
    fs::write(folder.path().join("my.toml"), text).unwrap();
    let ran = run(folder.path(), &["place", "my.toml", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let findings: Value = serde_json::from_str(&ran.out).unwrap();
    let drivers = findings["drivers"].as_array().unwrap();
    assert_eq!(
        (drivers.len(), &drivers[0]["number"], &drivers[0]["driver"][0]),
        (1, &2.into(), &"super".into())
    );
    let why = findings["unplaced"][0].as_str().unwrap();
    assert!(why.contains("of \"tweeter\"'s places") && why.contains("`clearance`"), "{why}");
    let table = fs::read_to_string(folder.path().join("my-places/driver_places.csv")).unwrap();
    assert!(table.lines().skip(1).all(|line| line.starts_with("2,")), "{table}");
}

/// What was measured of panel and staying drivers plays; what was measured of the moved one does not.
#[test]
fn measured_parts_that_stay_play_as_they_were_measured() {
    let (mut scene, options) = scene();
    let plain = placed(&scene, 1, &options).now.scores.as_set;
    scene.measured =
        vec![heard(MeasuredPart::Panel, 0), heard(MeasuredPart::Driver { driver: 0, surround: 0 }, 1)];
    let staying = scene.clone();
    // Neither the driver that is moved nor a surround that does not hang there.
    scene.measured.push(heard(MeasuredPart::Driver { driver: 1, surround: 0 }, 0));
    scene.measured.push(heard(MeasuredPart::Driver { driver: 0, surround: 1 }, 0));
    let found = placed(&scene, 1, &options);
    let (as_set, whole) = (found.now.scores.as_set, blended(&staying, &found.frequencies));
    assert!((as_set - whole).abs() < 5e-3, "{as_set} {whole}");
    assert!((as_set - plain).abs() > 0.5, "{as_set} {plain}");
    let told: Vec<(&str, &str)> =
        found.measured.iter().map(|at| (at.part.as_str(), at.seat.as_str())).collect();
    assert_eq!(told, [("panel", "sofa"), ("tweeter", "desk")]);
    let doubted = |found: &DriverPlaces| {
        found.warnings.iter().any(|warning| warning.message.contains("holds where it hung"))
    };
    assert!(doubted(&found) && !doubted(&placed(&BlendScene { measured: vec![], ..scene }, 1, &options)));
}

#[test]
fn the_command_places_both_and_writes_everything_of_both() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), text()).unwrap();
    let ran = run(folder.path(), &["place", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let results = folder.path().join("my-places");
    let findings = fs::read_to_string(results.join("findings.json")).unwrap();
    let findings: Value = serde_json::from_str(&findings).unwrap();
    let names: Vec<&str> = findings["drivers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|found| found["driver"][0].as_str().unwrap())
        .collect();
    assert_eq!(names, ["tweeter", "super"]);
    let table = fs::read_to_string(results.join("driver_places.csv")).unwrap();
    let of = |number: &str| table.lines().filter(|line| line.starts_with(number)).count();
    assert!(table.starts_with("driver,x_mm") && of("1,") > 10 && of("2,") > 10, "{table}");
    let page = browser::open(&results.join("report.html"));
    assert_eq!(page.errors, Vec::<String>::new());
    let text = fs::read_to_string(results.join("report.html")).unwrap();
    assert!(text.contains("Where to hang the drivers") && text.contains("What every place of “super” costs"));
    let stored = hdf5::File::open(results.join("places.h5")).unwrap();
    for path in ["/drivers/1/places/cost", "/drivers/2/places/cost", "/drivers/2/others"] {
        assert!(stored.dataset(path).is_ok(), "{path}");
    }
}
