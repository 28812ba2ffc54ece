//! A path → a case.

use super::problem::{CaseErrors, Problem, Problems};
use super::reader::Reader;
use super::schema::CASE;
use super::{Case, build, suggest, syntax};
use miette::Severity;
use std::fs;
use std::path::{Path, PathBuf};
use toml::de::DeTable;

/// Largest file that is taken for a case.
const LARGEST: u64 = 4 << 20;

/// Reads and checks the case file at `path`.
///
/// # Errors
/// All problems of the file at once, each with its line, a reason and what to write instead.
pub fn load(path: &Path) -> Result<Case, CaseErrors> {
    let name = path.display().to_string();
    let bytes = read(path)?;
    // Control characters could do anything to a terminal, so such a file is not shown.
    if bytes.iter().any(|byte| byte.is_ascii_control() && !b"\t\n\r".contains(byte))
        && str::from_utf8(&bytes).is_err()
    {
        let help = "a case is a small text file; `panelwright new FILE` writes one to start from".into();
        return Err(Box::new(Problems::of_file(format!("{name} is not a text file"), help)));
    }
    match String::from_utf8(bytes) {
        Ok(text) => parse(&text, path),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            let span = at..at + char::REPLACEMENT_CHARACTER.len_utf8();
            let problem =
                Problem::error(span, "the file is not UTF-8 text").because("the first byte that is not");
            let problem = problem.instead("save it as UTF-8 in your editor, or write \"ohm\", \"deg\" and \"C\" without special characters");
            Err(Box::new(Problems::in_text(&name, &text, vec![problem])))
        }
    }
}

/// Checks the text of a case file; `path` is for messages, and drawings are looked for beside it.
///
/// # Errors
/// As [`load`].
pub fn parse(text: &str, path: &Path) -> Result<Case, CaseErrors> {
    let (document, errors) = DeTable::parse_recoverable(text);
    let mut problems = syntax::problems(text, &errors);
    let broken = !problems.is_empty();
    let mut found = None;
    if document.get_ref().is_empty() && !broken {
        problems.push(nothing_in_it());
    } else {
        let mut reader = Reader::default();
        let case = reader.table(&CASE, document.get_ref(), 0..0);
        found = build::scene(&case, folder_of(path), &mut reader.problems);
        problems.extend(syntax::worth_showing(text, &errors, reader.problems));
    }
    let failed = problems.iter().any(|p| p.severity == Severity::Error);
    match found {
        Some((scene, material)) if !failed => {
            Ok(Case { scene, material, path: path.into(), source: text.to_owned(), warnings: problems })
        }
        _ => Err(Box::new(Problems::in_text(&path.display().to_string(), text, problems))),
    }
}

/// The outline of the case at `path` and the places of its faults, as far as they can be drawn.
pub fn sketch(path: &Path) -> Option<build::Sketch> {
    let text = String::from_utf8(read(path).ok()?).ok()?;
    let (document, _) = DeTable::parse_recoverable(&text);
    let case = Reader::default().table(&CASE, document.get_ref(), 0..0);
    build::sketch(case.table("panel")?, folder_of(path))
}

fn folder_of(path: &Path) -> &Path {
    path.parent().unwrap_or(Path::new(""))
}

fn nothing_in_it() -> Problem {
    let problem = Problem::error(0..0, "the file describes nothing").because("no key in it");
    problem.instead("`panelwright new FILE` writes a case to start from; the least is a table [panel]")
}

fn read(path: &Path) -> Result<Vec<u8>, CaseErrors> {
    let failed = |summary: String, help: String| Err(Box::new(Problems::of_file(summary, help)));
    let name = path.display();
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return failed(format!("there is no file {name}"), instead_of_missing(path));
        }
        Err(error) => {
            return failed(
                format!("{name} cannot be read: {error}"),
                "check the path and its permissions".into(),
            );
        }
    };
    if about.is_dir() {
        return failed(format!("{name} is a folder, not a case file"), instead_of_folder(path));
    }
    if !about.is_file() || about.len() > LARGEST {
        let help = "a case is a small text file; `panelwright new FILE` writes one to start from".into();
        return failed(format!("{name} is not a case file"), help);
    }
    match fs::read(path) {
        Ok(bytes) => Ok(bytes),
        Err(error) => {
            failed(format!("{name} cannot be read: {error}"), "check the file's permissions".into())
        }
    }
}

fn instead_of_missing(path: &Path) -> String {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let files = cases_in(folder);
    let wanted = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let stems: Vec<_> =
        files.iter().filter_map(|f| Some(f.file_stem()?.to_string_lossy().into_owned())).collect();
    let near = suggest::nearest(&wanted, stems.iter().map(String::as_str));
    match near.and_then(|near| stems.iter().position(|s| s == near)) {
        Some(index) => format!("did you mean {}?", files[index].display()),
        None => format!("`panelwright new {}` writes a case to start from", path.display()),
    }
}

fn instead_of_folder(path: &Path) -> String {
    match cases_in(path).first() {
        Some(file) => format!("name the file, such as {}", file.display()),
        None => "name a file in it; `panelwright new FILE` writes a case to start from".into(),
    }
}

/// TOML files of a folder, sorted.
fn cases_in(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let mut files: Vec<_> = entries.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.sort();
    files
}
