//! Prints computed beside published, problem by problem. Options: `--summary` for one line per problem.
#![allow(clippy::print_stdout, reason = "printing the table is this program's whole purpose")]

use panelwright_validation::{Problem, Row, Tolerance, problems};
use std::process::ExitCode;

fn main() -> ExitCode {
    panelwright_solver::single_threaded_blas();
    let brief = std::env::args().any(|argument| argument == "--summary");
    let failures: usize = problems().iter().map(|problem| print_problem(problem, brief)).sum();
    println!(
        "\n{}",
        if failures == 0 { "All values agree.".into() } else { format!("{failures} values disagree.") }
    );
    if failures == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn print_problem(problem: &Problem, brief: bool) -> usize {
    let rows = (problem.rows)();
    let failures = rows.iter().filter(|row| !row.holds()).count();
    let worst = rows.iter().map(strain).fold(0.0, f64::max);
    println!(
        "\n{}: {} values, {failures} disagree, worst at {:.0} % of its tolerance",
        problem.name,
        rows.len(),
        100.0 * worst
    );
    println!("  {}", problem.source);
    if !brief {
        println!(
            "  {:<58} {:>15} {:>15} {:>11}  tolerance",
            "quantity", "computed", "published", "deviation"
        );
        rows.iter().for_each(print_row);
    }
    failures
}

/// How much of its tolerance a row uses up.
fn strain(row: &Row) -> f64 {
    let (Tolerance::Relative(limit) | Tolerance::Absolute(limit)) = row.tolerance;
    row.deviation().abs() / limit
}

fn print_row(row: &Row) {
    let (deviation, limit) = match row.tolerance {
        Tolerance::Relative(limit) => (format!("{:+.1e} rel", row.deviation()), format!("{limit:.0e} rel")),
        Tolerance::Absolute(limit) => (format!("{:+.1e}", row.deviation()), format!("{limit:.0e}")),
    };
    let mark = if row.holds() { "" } else { "  DISAGREES" };
    println!(
        "  {:<58} {:>15.8e} {:>15.8e} {deviation:>11}  {limit}{mark}",
        row.quantity, row.computed, row.expected
    );
}
