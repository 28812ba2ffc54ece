//! `panelwright new`: a commented case file to start from.

use crate::args;
use crate::case;
use crate::failure::Failure;
use crate::terminal;

/// Writes the starter case.
///
/// # Errors
/// When the file exists or cannot be written.
pub fn run(options: &args::New) -> Result<(), Failure> {
    terminal::print(&case::write_starter(&options.case)?.join("\n"));
    Ok(())
}
