//! Every published problem holds: the same rows that `make validation` prints.

use panelwright_validation::{Row, Tolerance, problems};

#[test]
fn every_published_value_is_met() {
    panelwright_solver::single_threaded_blas();
    let mut wrong = Vec::new();
    let mut count = 0;
    for problem in problems() {
        let rows = (problem.rows)();
        assert!(!rows.is_empty(), "{} compares nothing", problem.name);
        count += rows.len();
        wrong.extend(
            rows.into_iter().filter(|row| !row.holds()).map(|row| format!("{}: {row:?}", problem.name)),
        );
    }
    assert!(wrong.is_empty(), "{} of {count} values disagree:\n{}", wrong.len(), wrong.join("\n"));
    assert!(count > 300, "only {count} values are compared: problems have gone missing");
}

#[test]
fn a_wrong_value_does_not_hold() {
    let row = |computed, tolerance| Row { quantity: "planted".into(), computed, expected: 2.0, tolerance };
    assert!(!row(2.1, Tolerance::Relative(0.04)).holds());
    assert!(row(2.1, Tolerance::Relative(0.06)).holds());
    assert!(!row(2.1, Tolerance::Absolute(0.09)).holds());
    assert!(!row(f64::NAN, Tolerance::Absolute(1e9)).holds());
}
