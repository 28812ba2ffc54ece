//! `panelwright blend` and `surround` with two drivers and a panel.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use panelwright_tests::several::three_way;
use panelwright_tests::{browser, run};
use serde_json::Value;
use std::fs;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap_or(f64::NAN)).collect()
}

#[test]
fn panel_and_two_drivers_are_summed_and_crossed_over() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), three_way()).unwrap();
    let ran = run(folder.path(), &["blend", "my.toml", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let findings: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(findings["parts"], serde_json::json!(["panel", "tweeter", "super"]));
    let names: Vec<&str> =
        findings["surrounds"].as_array().unwrap().iter().map(|s| s["surround"].as_str().unwrap()).collect();
    assert_eq!(names, ["super bare", "super baffle"]);
    for blended in findings["surrounds"].as_array().unwrap() {
        let seat = &blended["seats"][0];
        let parts = seat["parts"].as_array().unwrap();
        // Levels and phases of three parts make the sum.
        let [levels, phases] = ["level", "against_first"]
            .map(|key| parts.iter().map(|part| numbers(&part[key])).collect::<Vec<_>>());
        for (i, sum) in numbers(&seat["level"]).into_iter().enumerate() {
            let along = |turn: fn(f64) -> f64| -> f64 {
                (0..3).map(|p| 10f64.powf(levels[p][i] / 20.0) * turn(phases[p][i])).sum()
            };
            let expected = 20.0 * along(f64::cos).hypot(along(f64::sin)).log10();
            assert!((sum - expected).abs() < 1e-6, "{sum} {expected}");
        }
        let advised = blended["advice"]["crossover"]["unevenness"].as_f64().unwrap();
        assert!(advised < blended["unevenness"].as_f64().unwrap(), "{advised}");
        assert_eq!(blended["advice"]["order"], serde_json::json!([0, 1, 2]));
        assert_eq!(blended["advice"]["crossover"]["crossovers"].as_array().unwrap().len(), 2);
        assert_eq!(blended["agreement"].as_array().unwrap().len(), 4, "two drivers at two seats");
    }
    let results = folder.path().join("my-blend");
    let text = |name: &str| fs::read_to_string(results.join(name)).unwrap();
    let response = text("response.csv");
    let headings = response.lines().next().unwrap();
    for heading in ["level_db_spl_super_super_baffle_at_sofa", "share_db_tweeter_super_bare_at_desk"] {
        assert!(headings.contains(heading), "{heading}: {headings}");
    }
    assert!(text("polar_horizontal.csv").contains("level_db_spl_super_bare_1000_hz"));

    // Advised lines are lines of a case, and the case with them is as even as was promised.
    let crossover = text("crossover.txt");
    for part in ["channel panel, sample rate", "channel tweeter, sample rate", "channel super, sample rate"] {
        assert!(crossover.contains(part), "{part}: {crossover}");
    }
    let lines = crossover.split("==").nth(2).unwrap().split("H(z)").next().unwrap();
    let case = three_way();
    let (start, end) = (case.find("[[channel]]").unwrap(), case.find("[[driver]]").unwrap());
    fs::write(folder.path().join("advised.toml"), format!("{}{lines}\n{}", &case[..start], &case[end..]))
        .unwrap();
    let ran = run(folder.path(), &["blend", "advised.toml", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let again: Value = serde_json::from_str(&ran.out).unwrap();
    let [promised, found] = [
        &findings["surrounds"][0]["advice"]["crossover"]["unevenness"],
        &again["surrounds"][0]["unevenness"],
    ]
    .map(|v| v.as_f64().unwrap());
    assert!((promised - found).abs() < 0.05, "{promised} {found}");
    let page = browser::open(&results.join("report.html"));
    assert_eq!(page.errors, Vec::<String>::new());
}

#[test]
fn surround_computes_every_driver_or_the_one_that_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), three_way()).unwrap();
    let ran = run(folder.path(), &["surround", "my.toml", "--driver", "woofer"]);
    assert!(ran.code == Some(1) && ran.err.contains("no driver is called \"woofer\""), "{}", ran.err);
    let ran = run(folder.path(), &["surround", "my.toml", "--json"]);
    assert!(ran.code == Some(1) && ran.err.contains("2 drivers"), "{}", ran.err);
    let ran = run(folder.path(), &["surround", "my.toml", "--driver", "super"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let results = folder.path().join("my-surrounds");
    assert!(results.join("super/report.html").exists() && !results.join("tweeter").exists());
    assert!(ran.err.contains("Driver \"super\""), "{}", ran.err);
}

/// In a study every driver is heard with its last surround: whichever of them varies, the sum does, too.
#[test]
fn a_study_hears_every_driver_with_the_surround_that_varies() {
    let shield = |driver: &str, name: &str| {
        format!(
            "[[surround]]\nname = \"{name}\"\nshape = \"baffle\"\ndriver = \"{driver}\"\nwidth = \"60 mm\"\nheight = \"60 mm\"\nthickness = \"3 mm\"\n\n"
        )
    };
    let (before, seats) = three_way()
        .replace("per_octave = 24", "per_octave = 12")
        .split_once("[[seat]]")
        .map(|(before, seats)| (before.to_owned(), seats.to_owned()))
        .unwrap();
    for varied in ["shield", "baffle"] {
        let study = format!(
            "\n[study]\nmethod = \"grid\"\n[[study.vary]]\nname = \"width\"\nvalue = \"surround.{varied}.width\"\nlist = [\"60 mm\", \"140 mm\"]\n\
             [[study.objective]]\nwhat = \"unevenness of the sum\"\n"
        );
        let text = format!("{before}{}[[seat]]{seats}{study}", shield("tweeter", "shield"));
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("my.toml"), text).unwrap();
        let ran = run(folder.path(), &["study", "run", "my.toml"]);
        assert_eq!(ran.code, Some(0), "{}", ran.err);
        let ranked = run(folder.path(), &["study", "rank", "my.toml", "--json"]);
        let ranked: Value = serde_json::from_str(&ranked.out).unwrap();
        let values: Vec<f64> =
            ranked.as_array().unwrap().iter().map(|one| one["objectives"][0][1].as_f64().unwrap()).collect();
        assert!(values.len() == 2 && (values[0] - values[1]).abs() > 1e-3, "{varied}: {values:?}");
    }
}
