//! `panelwright check`: validates a case and says what a prediction will compute and cost.

use crate::args;
use crate::case::{self, Case, DriverCase, Fact, Loaded, describe, describe_driver};
use crate::commands::{self, surround::refused};
use crate::failure::Failure;
use crate::report;
use crate::study::Study;
use crate::terminal;
use crate::wrap::wrap;
use panelwright_solver::Cost;
use panelwright_solver::scene::DriverScene;
use panelwright_solver::surrounds::Bodies;
use serde_json::json;
use std::fs;
use std::path::Path;
use toml::de::DeTable;

/// Checks the case and prints the cost.
///
/// # Errors
/// When the case is wrong, or too large to be predicted.
pub fn run(options: &args::Check) -> Result<(), Failure> {
    if let Some(file) = &options.picture {
        draw(&options.case, file)?;
    }
    let loaded = commands::load_whole(&options.case)?;
    studied(&loaded, &options.case)?;
    let case = match loaded {
        Loaded::Panel(case) => case,
        Loaded::Driver(case) => return driver(&case, options.json),
    };
    case.driver_scenes().try_for_each(fits)?;
    let cost = Cost::of(&case.scene);
    if let Some(refusal) = cost.modes.refusal() {
        return Err(refusal.into());
    }
    match options.json {
        true => terminal::print(&for_programs(&case, &cost).to_string()),
        false => terminal::print(&words(&case, &cost)),
    }
    Ok(())
}

/// What `[study]` says is looked at, too.
fn studied(loaded: &Loaded, path: &Path) -> Result<(), Failure> {
    let source = match loaded {
        Loaded::Panel(case) => &case.source,
        Loaded::Driver(case) => &case.source,
    };
    let (document, _) = DeTable::parse_recoverable(source);
    match document.get_ref().contains_key("study") {
        true => Study::of(source.clone(), path).map(drop),
        false => Ok(()),
    }
}

/// A case about a driver alone.
fn driver(case: &DriverCase, json: bool) -> Result<(), Failure> {
    fits(&case.scene)?;
    let facts = describe_driver(case);
    let text = match json {
        true => json!({ "valid": true, "facts": listed(&facts) }).to_string(),
        false => format!(
            "The case is sound.\n{}It has no [panel]: `panelwright surround` compares what is put around its driver.",
            rows(&facts)
        ),
    };
    terminal::print(&text);
    Ok(())
}

/// Driver and surrounds must keep off each other and off what is behind.
fn fits(scene: &DriverScene) -> Result<(), Failure> {
    Bodies::of(scene).map(drop).map_err(refused)
}

/// Draws outline, driver and surrounds, sound or not.
fn draw(case: &Path, file: &Path) -> Result<(), Failure> {
    let (outline, bodies) = case::sketch(case);
    if outline.is_none() && bodies.is_empty() {
        terminal::complain("There is neither outline nor driver to draw yet.");
        return Ok(());
    }
    let text = report::picture(outline.as_ref(), &bodies);
    fs::write(file, text).map_err(|error| {
        Failure::input(format!("{} cannot be written: {error}", file.display()), "Name another file.")
    })
}

fn for_programs(case: &Case, cost: &Cost) -> serde_json::Value {
    json!({
        "valid": true,
        "facts": listed(&describe(case)),
        "modes": cost.modes.modes,
        "frequencies": cost.frequencies,
        "map_microphones": cost.map_microphones,
        "panel_points": cost.panel_points,
        "memory_bytes": cost.bytes.round() as u64,
        "time_seconds": cost.seconds,
    })
}

fn listed(facts: &[Fact]) -> Vec<serde_json::Value> {
    facts.iter().map(|fact| json!({ fact.subject: fact.text })).collect()
}

fn rows(facts: &[Fact]) -> String {
    let row = |fact: &Fact| wrap(&fact.text, &format!("  {:<12} ", fact.subject), &" ".repeat(15));
    facts.iter().flat_map(row).map(|line| line + "\n").collect()
}

fn words(case: &Case, cost: &Cost) -> String {
    let outlook = if case.scene.exciters.is_empty() {
        "It has no exciter: `panelwright modes` can compute it, `panelwright predict` needs an [[exciter]]."
            .into()
    } else {
        format!("A prediction takes\n{}", rows(&expense(cost)))
    };
    format!("The case is sound.\n{}{outlook}", rows(&describe(case)))
}

/// What a prediction costs.
fn expense(cost: &Cost) -> [Fact; 4] {
    let fact = |subject, text| Fact { subject, text };
    let size = match cost.bytes / 1e6 {
        megabytes if megabytes < 1e3 => format!("about {megabytes:.0} MB"),
        megabytes => format!("about {:.1} GB", megabytes / 1e3),
    };
    let time = match cost.seconds {
        seconds if seconds < 100.0 => format!("{seconds:.1} s"),
        seconds => format!("{:.0} min", seconds / 60.0),
    };
    [
        fact("modes", format!("about {}, from {} unknowns", cost.modes.modes, cost.modes.unknowns)),
        fact(
            "points",
            format!(
                "up to {} on the panel, heard by {} microphones of the map",
                cost.panel_points, cost.map_microphones
            ),
        ),
        fact("memory", size),
        fact("time", format!("about {time} on this machine, within a factor of two")),
    ]
}
