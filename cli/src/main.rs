//! `panelwright`: predicts how a flat-panel loudspeaker sounds before anything is cut.

use mimalloc::MiMalloc;
use panelwright::args::{Arguments, Command};
use panelwright::{commands, failure, terminal};
use std::process::ExitCode;

/// Matrices of tens of megabytes come and go by the hundred; this one keeps their pages instead of asking the system for fresh ones.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    terminal::prepare();
    failure::catch(run)
}

fn run() -> Result<(), failure::Failure> {
    let arguments = Arguments::read()?;
    match arguments.command {
        Command::Predict(options) => commands::predict::run(&options),
        Command::Blend(options) => commands::blend::run(&options),
        Command::Surround(options) => commands::surround::run(&options),
        Command::Place(options) => commands::place::run(&options),
        Command::Study(command) => commands::study::run(&command),
        Command::Modes(options) => commands::modes::run(&options),
        Command::Check(options) => commands::check::run(&options),
        Command::Materials(options) => commands::materials::run(&options),
        Command::New(options) => commands::new::run(&options),
        Command::Reference(options) => commands::reference::run(&options),
    }
}
