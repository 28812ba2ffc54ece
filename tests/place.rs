//! `panelwright place` from the case file to every file of the results folder.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::{Ran, browser, case, run};
use serde_json::Value;
use std::fs;
use std::path::Path;

const CASE: &str = include_str!("data/small-place.toml");

/// Words without regard to where lines break.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn place(folder: &Path, text: &str) -> Ran {
    fs::write(folder.join("my.toml"), text).unwrap();
    run(folder, &["place", "my.toml"])
}

/// Positions [mm] of an arrangement.
fn positions(arrangement: &Value) -> Vec<[f64; 2]> {
    let pair = |p: &Value| [0, 1].map(|k| 1e3 * p[k].as_f64().unwrap());
    arrangement["positions"].as_array().unwrap().iter().map(pair).collect()
}

/// Columns of a table by heading.
fn column(table: &str, heading: &str) -> Vec<f64> {
    let (headings, rows) = table.split_once('\n').unwrap();
    let at = headings.split(',').position(|h| h == heading).unwrap();
    rows.lines().map(|row| row.split(',').nth(at).unwrap().parse().unwrap_or(f64::NAN)).collect()
}

#[test]
fn two_exciters_are_placed_and_every_file_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let ran = place(folder.path(), CASE);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let out = flat(&ran.out);
    for part in ["Findings", "Lines for the case file", "rules of thumb", "Open my-places/report.html"] {
        assert!(out.contains(part), "{part}: {out}");
    }
    let results = folder.path().join("my-places");
    let text = |name: &str| fs::read_to_string(results.join(name)).unwrap();
    assert_eq!(text("case.toml"), CASE);
    let findings: Value = serde_json::from_str(&text("findings.json")).unwrap();
    let found = &findings["exciters"];

    // The table has every place of the grid that the case allows, and none else.
    let places = text("places.csv");
    let (x, y) = (column(&places, "x_mm"), column(&places, "y_mm"));
    assert!(x.len() > 100, "{} places", x.len());
    for (x, y) in x.iter().zip(&y) {
        assert!((22.5..=277.5).contains(x) && *y >= 62.5 - 1e-6 && *y <= 177.5 + 1e-6, "{x} {y}");
    }
    // The best pair of all is not dearer than any other that is listed, and lies on the grid.
    let pairs = text("pairs.csv");
    let costs = column(&pairs, "cost_db");
    assert!(costs.windows(2).all(|pair| pair[0] <= pair[1]), "the best first");
    let best = positions(&found["best"]);
    let on_grid = |p: &[f64; 2]| x.iter().zip(&y).any(|(x, y)| (x - p[0]).hypot(y - p[1]) < 0.01);
    assert!(best.len() == 2 && best.iter().all(on_grid), "{best:?}");
    assert!((best[0][0] - best[1][0]).hypot(best[0][1] - best[1][1]) >= 50.0 - 1e-6, "apart");
    // Costs beside the other exciter are blank near it.
    let beside = column(&places, "cost_db_one_beside_the_others");
    for i in 0..x.len() {
        let distance = (x[i] - best[1][0]).hypot(y[i] - best[1][1]);
        if (distance - 50.0).abs() > 1e-3 {
            assert_eq!(beside[i].is_nan(), distance < 50.0, "{} {}", x[i], y[i]);
        }
    }
    let page = browser::open(&results.join("report.html"));
    assert_eq!(page.errors, Vec::<String>::new());
    assert_eq!(page.used["silent"].as_array().map(Vec::len), Some(0), "{}", page.used);
    for name in ["places.h5", "rules.csv", "response.csv"] {
        assert!(results.join(name).exists(), "{name}");
    }
}

/// The recommended lines put into the case: the prediction finds the levels that the page promised, and a second search finds nothing to move.
#[test]
fn the_recommended_places_do_in_a_prediction_what_was_promised() {
    let folder = tempfile::tempdir().unwrap();
    let ran = place(folder.path(), CASE);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let lines = fs::read_to_string(folder.path().join("my-places/positions.txt")).unwrap();
    let found: Vec<&str> = lines.lines().filter(|line| line.starts_with("position")).collect();
    let [first, second] = found[..] else { panic!("{lines}") };
    let moved = CASE
        .replace("position = [\"40 %\", \"45 %\"]", first)
        .replace("position = [\"65 %\", \"60 %\"]", second);
    assert!(moved.contains(first) && moved.contains(second), "{moved}");
    fs::write(folder.path().join("moved.toml"), &moved).unwrap();
    let ran = run(folder.path(), &["predict", "moved.toml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let promised = fs::read_to_string(folder.path().join("my-places/response.csv")).unwrap();
    let predicted = fs::read_to_string(folder.path().join("moved-results/response.csv")).unwrap();
    for seat in ["sofa", "desk"] {
        let promised = column(&promised, &format!("level_db_spl_moved_at_{seat}"));
        let predicted = column(&predicted, &format!("level_db_spl_{seat}"));
        assert!(promised.len() > 60 && predicted.len() >= promised.len());
        for (a, b) in promised.iter().zip(&predicted) {
            assert!((a - b).abs() < 0.05, "{seat}: {a} {b}");
        }
    }
    let ran = place(folder.path(), &moved);
    // The search may come upon others that are as good.
    let stays = [
        "sit better than any of the other places that were tried: leave them there",
        "sit well: the best places found would gain next to nothing (0 dB)",
    ];
    assert!(stays.iter().any(|words| flat(&ran.out).contains(words)), "{}", ran.out);
}

#[test]
fn what_cannot_be_searched_is_told_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |text: &str, parts: &[&str]| {
        let ran = place(folder.path(), text);
        assert_eq!(ran.code, Some(1), "{}", ran.err);
        let said = flat(&ran.err.replace('│', " "));
        for part in parts {
            assert!(said.contains(part), "{part}: {said}");
        }
    };
    let start = CASE.find("[[exciter]]").unwrap();
    let end = CASE.find("[place]").unwrap();
    refused(&format!("{}{}", &CASE[..start], &CASE[end..]), &["no exciter to place", "Add an [[exciter]]"]);
    let vented = CASE.replace(
        "thickness = \"4 mm\"",
        "thickness = \"4 mm\"\nback = { kind = \"vented\", depth = \"40 mm\", vent_area = \"10 cm²\", vent_length = \"20 mm\" }",
    );
    refused(&vented, &["a back that is vented", "Search a copy of the case"]);
    refused(&CASE.replace("\"10 mm\" # clear", "\"95 mm\""), &["fits nowhere", "`clearance`"]);
    refused(&CASE.replace("to = \"3 kHz\"", "to = \"130 Hz\""), &["sixth octaves", "Widen the [range]"]);
    refused(
        &CASE.replace("name = \"two\"", "name = \"two\"\npolarity = \"reversed\""),
        &["opposite polarities"],
    );
    let far = CASE.replace("[place]", "[place]\napart = \"400 mm\"");
    refused(&far, &["at least 400 mm apart do not fit", "`apart`"]);
    let ran = run(folder.path(), &["place", &case("tea-room-driver.toml").to_string_lossy()]);
    assert!(ran.code == Some(1) && ran.err.contains("no panel"), "{}", ran.err);
}

#[test]
fn json_output_is_the_findings_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), CASE).unwrap();
    let ran = run(folder.path(), &["place", "my.toml", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let file = fs::read_to_string(folder.path().join("my-places/findings.json")).unwrap();
    let parse = |text: &str| serde_json::from_str::<Value>(text).unwrap();
    assert!(parse(&ran.out) == parse(&file), "standard output and findings.json differ");
}
