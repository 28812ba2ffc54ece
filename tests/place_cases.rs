//! The worked case of places does what its comments promise.

use panelwright::case::load;
use panelwright_solver::place::{Arrangement, ExciterPlaces, exciter_places};
use panelwright_tests::case as path_of;

fn found(name: &str) -> ExciterPlaces {
    panelwright_solver::single_threaded_blas();
    let case = load(&path_of(name)).unwrap_or_else(|problems| panic!("{problems:?}"));
    exciter_places(&case.scene, &case.places, &|_| ()).expect("a worked case can be searched")
}

fn near(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() < within, "{value} instead of {expected}");
}

fn best(found: &ExciterPlaces, exciters: usize) -> &Arrangement {
    let count = found.counts.iter().find(|count| count.exciters == exciters);
    count.and_then(|count| count.best.first()).expect("so many fit")
}

#[test]
fn the_hung_panel_has_a_better_place_and_rules_of_thumb_know_half_of_it() {
    let found = found("tea-room-place.toml");
    assert_eq!(found.warnings, []);
    let [x, y] = found.best.positions[0].map(|v| 1e3 * v);
    assert!((x - 520.0).hypot(y - 230.0) < 1.0, "{x} {y}");
    let (now, moved) = (&found.whole.now, &found.whole.best);
    near(now.evenness, 3.2, 0.05);
    near(moved.evenness, 2.7, 0.05);
    near(now.dips, 5.7, 0.4);
    near(moved.dips, 3.7, 0.4);
    // The search and the whole prediction are the same sound.
    near(found.best.scores.evenness, moved.evenness, 0.02);
    near(found.now.scores.evenness, now.evenness, 0.02);
    let rule = found.by_rule.as_ref().expect("one is free");
    near(rule.scores.evenness, moved.evenness, 0.05);
    let images = found.rules.iter().find(|rule_of| rule_of.images.contains(rule)).expect("is of a rule");
    let worst = images.images.iter().map(|image| image.scores.evenness).fold(0.0, f64::max);
    near(worst, now.evenness, 0.05);
    let worst = found.places.iter().map(|place| place.scores.evenness).fold(0.0, f64::max);
    near(worst, 5.3, 0.1);
    let (one, two) = (best(&found, 1), best(&found, 2));
    near(two.scores.sensitivity - one.scores.sensitivity, 5.0, 0.3);
    assert!(two.scores.evenness > one.scores.evenness);
    assert!(found.best.scores.robustness.expect("is known") < 0.1);
}
