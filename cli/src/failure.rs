//! How the program ends: 0 all is well, 1 the user's input, 2 a fault of the program.

use crate::case::CaseErrors;
use crate::terminal;
use panelwright_solver::plate::PlateError;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

/// Why a command did not finish.
#[derive(Debug)]
pub enum Failure {
    /// Something in the user's input: shown in full, exit code 1.
    Input(miette::Report),
    /// A fault of the program or the machine: exit code 2.
    Ours(miette::Report),
    /// Already shown; `wrong` tells an error from a mere help text.
    Shown {
        /// True for an error.
        wrong: bool,
    },
}

impl Failure {
    /// A fault of the program or the machine, in a sentence.
    pub fn ours(error: impl std::fmt::Display) -> Self {
        Self::Ours(miette::miette!("{error}"))
    }

    /// A mistake in the user's input, in a sentence, with what to do about it.
    pub fn input(message: impl std::fmt::Display, help: impl std::fmt::Display) -> Self {
        Self::Input(miette::miette!(help = help.to_string(), "{message}"))
    }
}

impl From<CaseErrors> for Failure {
    fn from(errors: CaseErrors) -> Self {
        Self::Input(miette::Report::new(*errors))
    }
}

impl From<PlateError> for Failure {
    fn from(error: PlateError) -> Self {
        match error {
            PlateError::TooLarge { .. } => Self::input(
                error,
                "Lower the top frequency, or check thickness and material for a slip of units.",
            ),
            PlateError::TooLong { .. } | PlateError::TooThick { .. } => {
                Self::input(error, "Check the panel's size, thickness and material for a slip of units.")
            }
            PlateError::Eigensolver { .. } => Self::ours(error),
        }
    }
}

/// Runs `body` and turns its outcome, or a panic in it, into an exit code.
pub fn catch(body: impl FnOnce() -> Result<(), Failure>) -> ExitCode {
    match catch_unwind(AssertUnwindSafe(body)) {
        Ok(Ok(())) | Ok(Err(Failure::Shown { wrong: false })) => ExitCode::SUCCESS,
        Ok(Err(Failure::Shown { wrong: true })) => ExitCode::from(1),
        Ok(Err(Failure::Input(report))) => show(&report, 1),
        Ok(Err(Failure::Ours(report))) => show(&report, 2),
        Err(_) => {
            terminal::complain(
                "This is a fault of the program, not of your case file. Please keep the case file and report it.",
            );
            ExitCode::from(2)
        }
    }
}

fn show(report: &miette::Report, code: u8) -> ExitCode {
    terminal::complain(&format!("{report:?}"));
    ExitCode::from(code)
}
