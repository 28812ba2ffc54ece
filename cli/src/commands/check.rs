//! `panelwright check`: validates a case and says what a prediction will compute and cost.

use crate::args;
use crate::commands;
use crate::failure::Failure;
use crate::terminal;
use panelwright_solver::Cost;
use panelwright_solver::scene::Scene;
use serde_json::json;

/// Checks the case and prints the cost.
///
/// # Errors
/// When the case is wrong.
pub fn run(options: &args::Check) -> Result<(), Failure> {
    let case = commands::load(&options.case)?;
    let cost = Cost::of(&case.scene);
    match options.json {
        true => terminal::print(&for_programs(&cost).to_string()),
        false => terminal::print(&words(&case.scene, &cost)),
    }
    Ok(())
}

fn for_programs(cost: &Cost) -> serde_json::Value {
    json!({
        "valid": true,
        "modes": cost.modes.modes,
        "frequencies": cost.frequencies,
        "map_microphones": cost.map_microphones,
        "panel_points": cost.panel_points,
        "memory_bytes": cost.bytes,
        "time_seconds": cost.seconds,
    })
}

fn words(scene: &Scene, cost: &Cost) -> String {
    let (low, high) = (scene.frequencies.first(), scene.frequencies.last());
    let range = low.zip(high).map_or("none".into(), |(low, high)| format!("{low:.0} Hz to {high:.0} Hz"));
    format!(
        "The case is sound.\n\
         \x20 panel        {:.0} × {:.0} mm, {:.2} kg\n\
         \x20 exciters     {} on {} amplifier channels\n\
         \x20 modes        about {} (in {} unknowns)\n\
         \x20 frequencies  {}, {range}\n\
         \x20 seats        {}\n\
         \x20 output map   {} microphones; up to {} sampling points on the panel\n\
         \x20 memory       about {:.0} MB\n\
         \x20 time         about {:.1} s on this machine, within a factor of two",
        1e3 * scene.panel.outline.bounding_box().0,
        1e3 * scene.panel.outline.bounding_box().1,
        scene.panel.section.surface_mass * scene.panel.outline.area(),
        scene.exciters.len(),
        scene.channels.len(),
        cost.modes.modes,
        cost.modes.unknowns,
        cost.frequencies,
        scene.receivers.seats.len(),
        cost.map_microphones,
        cost.panel_points,
        cost.bytes / 1e6,
        cost.seconds,
    )
}
