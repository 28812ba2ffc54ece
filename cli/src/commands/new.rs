//! `panelwright new`: a commented case file to start from.

use crate::args;
use crate::case;
use crate::failure::Failure;
use crate::terminal;
use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};

/// Writes the starter case.
///
/// # Errors
/// When the file exists or cannot be written.
pub fn run(options: &args::New) -> Result<(), Failure> {
    let path = options.case.display();
    let mut file = OpenOptions::new().write(true).create_new(true).open(&options.case).map_err(|error| {
        let help = match error.kind() {
            ErrorKind::AlreadyExists => "Existing files are never overwritten. Give another name.",
            _ => "Give a file name in a folder that exists and that you may write to.",
        };
        Failure::input(format!("{path} cannot be written: {error}"), help)
    })?;
    file.write_all(case::starter().as_bytes()).map_err(|error| Failure::ours(format!("{path}: {error}")))?;
    terminal::print(&format!("{path} is written. Edit it, then:\n  panelwright check {path}\n  panelwright predict {path}"));
    Ok(())
}
