//! `panelwright modes`: natural frequencies of the panel alone.

use crate::args;
use crate::commands;
use crate::failure::Failure;
use crate::terminal;
use panelwright_solver::plate::Modes;
use serde::Serialize;

#[derive(Serialize)]
struct ModeTable {
    rigid_modes: usize,
    natural_frequencies_hz: Vec<f64>,
    up_to_hz: f64,
}

/// Computes and prints the natural frequencies.
///
/// # Errors
/// When the case or the frequency is wrong, or the modes cannot be computed.
pub fn run(options: &args::Modes) -> Result<(), Failure> {
    let case = commands::load(&options.case)?;
    let up_to = match &options.up_to {
        Some(text) => commands::frequency(text)?,
        None => case.scene.frequencies.last().copied().unwrap_or(20e3),
    };
    let modes = Modes::solve(&case.scene.panel, up_to)?;
    let rigid_modes = modes.rigid_body_count();
    let natural_frequencies_hz =
        modes.frequencies.iter().skip(rigid_modes).copied().filter(|f| *f <= up_to).collect();
    let table = ModeTable { rigid_modes, natural_frequencies_hz, up_to_hz: up_to };
    match options.json {
        true => terminal::print(&serde_json::to_string(&table).map_err(Failure::ours)?),
        false => terminal::print(&words(&table)),
    }
    Ok(())
}

fn words(table: &ModeTable) -> String {
    let count = table.natural_frequencies_hz.len();
    let heading = if count > 0 { "  mode   frequency / Hz\n" } else { "" };
    let rows: String = table
        .natural_frequencies_hz
        .iter()
        .enumerate()
        .map(|(index, frequency)| format!("{:>6}  {frequency:>10.2}\n", index + 1))
        .collect();
    format!(
        "{heading}{rows}{count} modes up to {:.0} Hz, besides {} rigid-body modes.",
        table.up_to_hz, table.rigid_modes
    )
}
