//! One file per command.

pub mod blend;
pub mod check;
pub mod materials;
pub mod modes;
pub mod new;
pub mod place;
pub mod predict;
pub mod reference;
mod shelf;
pub mod study;
pub mod surround;

use crate::case::quantity::FREQUENCY;
use crate::case::{self, BlendCase, Case, DriverCase, Loaded, Problems};
use crate::failure::Failure;
use crate::terminal;
use std::path::{Path, PathBuf};

/// Reads a case and shows what is odd about it.
///
/// # Errors
/// All mistakes of the case at once.
pub fn load(path: &Path) -> Result<Case, Failure> {
    let case = case::load(path)?;
    warn(case.warnings_to_show());
    Ok(case)
}

/// Reads a case for its driver and shows what is odd about it.
///
/// # Errors
/// All mistakes of the case at once.
pub fn load_driver(path: &Path) -> Result<DriverCase, Failure> {
    let case = case::load_driver(path)?;
    warn(case.warnings_to_show());
    Ok(case)
}

/// Reads a case whose panel and driver are to play together, and shows what is odd about it.
///
/// # Errors
/// All mistakes of the case at once.
pub fn load_blend(path: &Path) -> Result<BlendCase, Failure> {
    let case = case::load_blend(path)?;
    warn(case.warnings_to_show());
    Ok(case)
}

/// Reads a case, whatever it is about, and shows what is odd about it.
///
/// # Errors
/// All mistakes of the case at once.
pub fn load_whole(path: &Path) -> Result<Loaded, Failure> {
    let loaded = case::load_whole(path)?;
    warn(match &loaded {
        Loaded::Panel(case) => case.warnings_to_show(),
        Loaded::Driver(case) => case.warnings_to_show(),
    });
    Ok(loaded)
}

fn warn(warnings: Option<Problems>) {
    if let Some(warnings) = warnings {
        terminal::complain(&format!("{:?}", miette::Report::new(warnings)));
    }
}

/// The folder beside a case for results of one kind: `tea-room.toml` → `tea-room-results`.
fn beside(case: &Path, kind: &str) -> PathBuf {
    let stem = case.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    case.with_file_name(format!("{stem}-{kind}"))
}

/// A frequency [Hz] given on the command line.
///
/// # Errors
/// When the text is not a positive frequency with its unit.
pub fn frequency(text: &str) -> Result<f64, Failure> {
    match FREQUENCY.parse(text) {
        Ok(amount) if amount.si > 0.0 => Ok(amount.si),
        _ => Err(Failure::input(
            format!("`{text}` is not a frequency"),
            "Write it with its unit: \"500 Hz\" or \"2 kHz\".",
        )),
    }
}
