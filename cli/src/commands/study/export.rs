//! `panelwright study export`: all variants as a table, or one as a case.

use super::{Begun, exists};
use crate::args;
use crate::case::varied::found_from_anywhere;
use crate::failure::Failure;
use crate::study::VariantResult;
use crate::terminal;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Writes variants.
///
/// # Errors
/// When there is no such variant or the file cannot be written.
pub fn run(options: &args::StudyExport) -> Result<(), Failure> {
    let begun = Begun::find(&options.case, options.into.as_ref())?;
    let path = match options.variant {
        Some(number) => a_case(&begun, number, options.to.as_deref())?,
        None => a_table(&begun, options.to.as_deref())?,
    };
    terminal::print(&format!("Written: {}", path.display()));
    Ok(())
}

fn a_case(begun: &Begun, number: usize, to: Option<&Path>) -> Result<PathBuf, Failure> {
    let study = &begun.study;
    exists(study, number)?;
    // Beside the case drawings and parts are found by their names as they stand.
    let stem = study.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    let beside = study.path.with_file_name(format!("{stem}-variant-{number}.toml"));
    let path = to.map_or(beside, Path::to_path_buf);
    let text = match folder_of(&path)? == folder_of(&study.path)? {
        true => study.text(number),
        false => found_from_anywhere(&study.text(number), &folder_of(&study.path)?),
    };
    let mut file = fresh(&path)?;
    let text = format!("# Variant {number} of the study in {}.\n{text}", study.path.display());
    file.write_all(text.as_bytes()).map_err(|error| refused(&path, &error))?;
    Ok(path)
}

/// The folder that a file is in, from the root.
fn folder_of(path: &Path) -> Result<PathBuf, Failure> {
    let whole = std::path::absolute(path).map_err(Failure::ours)?;
    Ok(whole.parent().map(Path::to_path_buf).unwrap_or_default())
}

/// A table of its own name is made again; one that the user names is not overwritten.
fn a_table(begun: &Begun, to: Option<&Path>) -> Result<PathBuf, Failure> {
    let path = to.map_or_else(|| begun.folder.file("variants.csv"), Path::to_path_buf);
    let file = match to {
        Some(path) => fresh(path)?,
        None => File::create(&path).map_err(|error| refused(&path, &error))?,
    };
    let mut writer = csv::Writer::from_writer(file);
    let study = &begun.study;
    let with_unit =
        |name: &str, unit: &str| if unit.is_empty() { name.to_owned() } else { format!("{name} [{unit}]") };
    let mut headings = vec!["variant".to_owned()];
    headings.extend(study.parameters.iter().map(|parameter| with_unit(&parameter.name, &parameter.unit())));
    headings.extend(study.objectives.iter().map(|judged| with_unit(&judged.name, judged.unit())));
    headings.extend(["what is missing, and why".to_owned()]);
    let failed = |error: csv::Error| {
        Failure::input(format!("{}: {error}", path.display()), "Free some space and try again.")
    };
    writer.write_record(&headings).map_err(failed)?;
    for record in begun.records.values() {
        writer.write_record(row(begun, record)).map_err(failed)?;
    }
    writer.flush().map_err(|error| refused(&path, &error))?;
    Ok(path)
}

fn row(begun: &Begun, record: &crate::study::Record) -> Vec<String> {
    let study = &begun.study;
    let number = |value: f64| if value.is_finite() { value.to_string() } else { String::new() };
    let mut row = vec![record.number.to_string()];
    let point = study.point(record.number as usize);
    let values = study.values(record.number as usize);
    let pairs = study.parameters.iter().zip(point).zip(values);
    // Numbers without their unit, words as they are.
    row.extend(pairs.map(|((parameter, u), text)| match parameter.words().is_empty() {
        true => parameter.number(u).to_string(),
        false => text,
    }));
    let (values, why) = match &record.result {
        VariantResult::Measured { values, .. } => (values.clone(), study.missing(&record.result)),
        VariantResult::Beyond(why) | VariantResult::Failed(why) => {
            (vec![f64::NAN; study.objectives.len()], why.clone())
        }
    };
    row.extend(values.into_iter().map(number));
    row.push(why);
    row
}

fn fresh(path: &Path) -> Result<File, Failure> {
    OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| refused(path, &error))
}

fn refused(path: &Path, error: &std::io::Error) -> Failure {
    let help = match error.kind() {
        std::io::ErrorKind::AlreadyExists => "It is not overwritten. Give another name with --to.",
        _ => "Give another name with --to, or mend its permissions.",
    };
    Failure::input(format!("{} cannot be written: {error}", path.display()), help)
}
