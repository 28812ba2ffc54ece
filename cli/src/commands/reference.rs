//! `panelwright reference`: texts for reading and for installing.

use crate::args::{self, Arguments, Topic};
use crate::case;
use crate::failure::Failure;
use crate::terminal;
use clap_complete::Shell;

/// Prints the text.
///
/// # Errors
/// When the text cannot be made.
pub fn run(options: &args::Reference) -> Result<(), Failure> {
    let text = match options.topic {
        Topic::CaseFile => case::reference_page(),
        Topic::Schema => case::json_schema(),
        Topic::Man => manual()?,
        Topic::Bash => completions(Shell::Bash)?,
        Topic::Fish => completions(Shell::Fish)?,
        Topic::Zsh => completions(Shell::Zsh)?,
    };
    terminal::print(&text);
    Ok(())
}

fn manual() -> Result<String, Failure> {
    let mut page = Vec::new();
    clap_mangen::Man::new(Arguments::definition()).render(&mut page).map_err(Failure::ours)?;
    String::from_utf8(page).map_err(Failure::ours)
}

fn completions(shell: Shell) -> Result<String, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::definition(), "panelwright", &mut script);
    String::from_utf8(script).map_err(Failure::ours)
}
