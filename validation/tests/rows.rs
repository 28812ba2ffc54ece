//! Every published value is reproduced within its tolerance.

use panelwright_validation::problems;

#[test]
fn every_row_holds() {
    let mut failures = vec![];
    for problem in problems() {
        for row in (problem.rows)().iter().filter(|row| !row.holds()) {
            failures.push(format!(
                "{}: {} is {:e}, published {:e}",
                problem.name, row.quantity, row.computed, row.expected
            ));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
