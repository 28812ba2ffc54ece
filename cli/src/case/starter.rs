//! A case to start from.

use super::problem::{CaseErrors, Problems};
use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;

const TEXT: &str = include_str!("starter.toml");

/// A commented case called `title`.
pub fn starter(title: &str) -> String {
    let plain: String = title.chars().filter(|c| !c.is_control() && !matches!(c, '"' | '\\')).collect();
    TEXT.replace("TITLE", if plain.trim().is_empty() { "My panel" } else { plain.trim() })
}

/// Writes a commented case to `path`, which must not exist yet, and returns what to do next.
///
/// # Errors
/// When there is such a file already or it cannot be written.
pub fn write_starter(path: &Path) -> Result<Vec<String>, CaseErrors> {
    let stem = path.file_stem().map(|s| s.to_string_lossy().replace(['-', '_'], " ")).unwrap_or_default();
    let written = OpenOptions::new().write(true).create_new(true).open(path);
    written
        .and_then(|mut file| file.write_all(starter(&stem).as_bytes()))
        .map_err(|error| refused(path, &error))?;
    let file = path.display();
    Ok(vec![
        format!("{file} written."),
        "Next:".into(),
        format!(
            "  1. open it in an editor and put in your panel and the figures of your exciter's data sheet"
        ),
        format!("  2. panelwright check {file}      shows mistakes and what will be computed"),
        format!("  3. panelwright predict {file}    computes it"),
    ])
}

fn refused(path: &Path, error: &std::io::Error) -> CaseErrors {
    let file = path.display();
    let (summary, help) = match error.kind() {
        ErrorKind::AlreadyExists => (
            format!("{file} exists already and was left as it is"),
            "choose another name, or move the old file away",
        ),
        ErrorKind::NotFound => {
            (format!("{file} cannot be written: its folder does not exist"), "make the folder first")
        }
        _ => (format!("{file} cannot be written: {error}"), "choose a folder in which you may write"),
    };
    Box::new(Problems::of_file(summary, help.into()))
}
