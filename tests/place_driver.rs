//! `panelwright place` with a small driver: its map, its files, and what `blend` says of the driver at the same place.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_solver::search::drivers::driver_places;
use panelwright_tests::{browser, case as path_of, run};
use serde_json::Value;
use std::fs;
use std::path::Path;

const CASE: &str = include_str!("data/small-blend.toml");

/// With the panel behind, and frequencies that both commands take as they are.
fn text() -> String {
    let (panel, twelve) =
        (CASE.replace("behind = \"nothing\"", "behind = \"panel\""), ("per_octave = 24", "per_octave = 12"));
    assert!(panel != CASE && panel.contains(twelve.0));
    panel.replace(twelve.0, twelve.1) + "\n[place.driver]\nmargin = \"90 mm\"\nstep = \"40 mm\"\n"
}

fn json(folder: &Path, file: &str) -> Value {
    serde_json::from_str(&fs::read_to_string(folder.join(file)).unwrap()).unwrap()
}

/// Columns of a table by heading.
fn column(table: &str, heading: &str) -> Vec<f64> {
    let (headings, rows) = table.split_once('\n').unwrap();
    let at =
        headings.split(',').position(|h| h == heading).unwrap_or_else(|| panic!("{heading}: {headings}"));
    rows.lines().map(|row| row.split(',').nth(at).unwrap().parse().unwrap_or(f64::NAN)).collect()
}

#[test]
fn a_driver_is_placed_and_blend_agrees_where_it_hangs() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), text()).unwrap();
    let ran = run(folder.path(), &["place", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("\"tweeter\""), "{}", ran.out);
    let results = folder.path().join("my-places");
    let found = &json(&results, "findings.json")["drivers"][0];

    let table = fs::read_to_string(results.join("driver_places.csv")).unwrap();
    let [x, y, cost] = ["x_mm", "y_mm", "cost_db"].map(|heading| column(&table, heading));
    // 300 × 200 mm with 90 mm around it, 40 mm apart and symmetric about the middle; then the present place.
    assert_eq!(x.len(), 13 * 9 + 1);
    assert_eq!([x[117], y[117]].map(f64::round), [150.0, 260.0]);
    let least = cost[..117].iter().copied().fold(f64::INFINITY, f64::min);
    let best = found["best"]["scores"]["cost"].as_f64().unwrap();
    assert!((least - best).abs() < 1e-4, "{least} {best}");
    assert!(cost.iter().any(|cost| cost - least > 0.5), "places differ");
    // Delay, gain and polarity never make it worse.
    let [matched, as_set] = ["uneven_matched_db", "uneven_as_set_db"].map(|heading| column(&table, heading));
    matched
        .iter()
        .zip(&as_set)
        .for_each(|(matched, as_set)| assert!(*matched <= as_set + 1e-3, "{matched} {as_set}"));
    for check in found["checked"].as_array().unwrap() {
        assert!(check["deviation"].as_f64().unwrap() < 0.04, "{check}");
    }

    let at = |axis: usize| found["best"]["position"][axis].as_f64().unwrap() * 1e3;
    let lines = fs::read_to_string(results.join("positions.txt")).unwrap();
    let line = format!("[driver]\nname = \"tweeter\"\nposition = [\"{} mm\", \"{} mm\"]", at(0), at(1));
    assert!(lines.contains(&line), "{line}: {lines}");

    let page = browser::open(&results.join("report.html"));
    assert_eq!(page.errors, Vec::<String>::new());
    assert!(fs::read_to_string(results.join("report.html")).unwrap().contains("Where to hang the driver"));

    let ran = run(folder.path(), &["blend", "my.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let blended = &json(&folder.path().join("my-blend"), "findings.json")["surrounds"][0];
    let unevenness = blended["unevenness"].as_f64().unwrap();
    assert!((as_set[117] - unevenness).abs() < 0.05, "{} {unevenness}", as_set[117]);
}

/// The comment of the worked case.
#[test]
fn in_the_tea_room_the_best_place_is_before_the_upper_half() {
    panelwright_solver::single_threaded_blas();
    let case = panelwright::case::load(&path_of("tea-room-blend.toml")).unwrap();
    let scene = case.with_drivers().unwrap();
    let found = driver_places(&scene, 0, &case.places.driver, &|_| ()).unwrap().unwrap();
    let [x, y] = found.best.position;
    assert!((x - 0.38).abs() < 0.1 && (0.26..0.52).contains(&y), "{x} {y}");
    let [best, now] = [found.best.scores, found.now.scores];
    let gain = now.cost - best.cost;
    assert!((0.05..0.6).contains(&gain), "{gain}");
    let [near, far] = [best.apart, now.apart].map(|apart| apart.unwrap());
    assert!(best.as_set < now.as_set - 0.8 && near < far, "{best:?} {now:?}");
    assert!(best.shadow > now.shadow && best.comb > now.comb, "{best:?} {now:?}");
    // Where the panel's echo takes away most.
    let [frequency, level] = best.dip;
    assert!((3300.0..4000.0).contains(&frequency) && (-3.3..-2.4).contains(&level), "{best:?}");
    assert!(found.checked.iter().all(|check| check.deviation < 0.04), "{:?}", found.checked);
}

#[test]
fn a_region_of_too_many_places_is_refused_in_its_line() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), text().replace("step = \"40 mm\"", "step = \"5 mm\"")).unwrap();
    let ran = run(folder.path(), &["place", "my.toml"]);
    assert_eq!(ran.code, Some(1));
    assert!(ran.err.contains("step = \"5 mm\"") && ran.err.contains("at most 4000"), "{}", ran.err);
}
