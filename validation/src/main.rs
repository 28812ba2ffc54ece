//! Prints computed beside published, problem by problem. `--summary` prints one line per problem; other words choose the problems whose names
//! contain one of them.
#![allow(clippy::print_stdout, reason = "printing the table is this program's whole purpose")]

use panelwright_validation::{Problem, Row, Tolerance, problems};
use std::process::ExitCode;

fn main() -> ExitCode {
    panelwright_solver::single_threaded_blas();
    let (options, words): (Vec<String>, Vec<String>) =
        std::env::args().skip(1).partition(|argument| argument == "--summary");
    let chosen = |problem: &Problem| words.is_empty() || words.iter().any(|word| problem.name.contains(word));
    let problems: Vec<Problem> = problems().into_iter().filter(chosen).collect();
    let failures: usize = problems.iter().map(|problem| print_problem(problem, !options.is_empty())).sum();
    println!("\n{}", verdict(problems.len(), failures));
    if failures == 0 && !problems.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn verdict(problems: usize, failures: usize) -> String {
    match (problems, failures) {
        (0, _) => "No problem has such a name: run without words for all of them.".into(),
        (_, 0) => "All values agree.".into(),
        _ => format!("{failures} values disagree."),
    }
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
