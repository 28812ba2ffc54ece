//! A path → a case.

use super::problem::{CaseErrors, Problem, Problems};
use super::reader::Reader;
use super::schema::CASE;
use super::section::Section;
use super::{BlendCase, Case, DriverCase, MaterialInUse, build, suggest, syntax};
use miette::Severity;
use panelwright_solver::place::PlaceOptions;
use panelwright_solver::scene::{BlendScene, FedDriver, Measured, Scene};
use std::fs;
use std::path::{Path, PathBuf};
use toml::de::DeTable;

/// Largest file that is taken for a case.
const LARGEST: u64 = 4 << 20;

/// What a case is read for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    /// Its panel.
    Panel,
    /// Its driver.
    Driver,
    /// Panel and driver together.
    Both,
    /// Whatever it has.
    Any,
}

/// A case, whatever it is about.
#[derive(Debug)]
pub enum Loaded {
    /// A panel, and perhaps a driver near it.
    Panel(Box<Case>),
    /// A driver without a panel.
    Driver(Box<DriverCase>),
}

/// Reads and checks the case file at `path`, whose panel is to be computed.
///
/// # Errors
/// All problems of the file at once, each with its line, a reason and what to write instead.
pub fn load(path: &Path) -> Result<Case, CaseErrors> {
    parse(&text_of(path)?, path)
}

/// Reads and checks the case file at `path`, whose driver is to be computed.
///
/// # Errors
/// As [`load`].
pub fn load_driver(path: &Path) -> Result<DriverCase, CaseErrors> {
    parse_driver(&text_of(path)?, path)
}

/// Reads and checks the case file at `path`, whose panel and driver are to play together.
///
/// # Errors
/// As [`load`].
pub fn load_blend(path: &Path) -> Result<BlendCase, CaseErrors> {
    parse_blend(&text_of(path)?, path)
}

/// Reads and checks the case file at `path`, whatever it is about.
///
/// # Errors
/// As [`load`].
pub fn load_whole(path: &Path) -> Result<Loaded, CaseErrors> {
    parse_whole(&text_of(path)?, path)
}

/// Checks the text of a case file, whatever it is about; `path` is for messages, and drawings and parts are looked for beside it.
///
/// # Errors
/// As [`load`].
pub fn parse_whole(text: &str, path: &Path) -> Result<Loaded, CaseErrors> {
    let read = judged(text, path, Wanted::Any)?;
    Ok(match read.panel {
        Some(_) => Loaded::Panel(Box::new(read.into_panel(text, path)?)),
        None => Loaded::Driver(Box::new(read.into_driver(text, path)?)),
    })
}

/// What a parsed case file says, as far as it can be read.
pub(crate) fn section_of(document: &DeTable<'_>) -> Section {
    Reader::default().table(&CASE, document, 0..0)
}

/// Checks the text of a case file whose panel is to be computed; `path` is for messages, and drawings and parts are looked for beside it.
///
/// # Errors
/// As [`load`].
pub fn parse(text: &str, path: &Path) -> Result<Case, CaseErrors> {
    judged(text, path, Wanted::Panel)?.into_panel(text, path)
}

/// As [`parse`], for the driver.
///
/// # Errors
/// As [`load`].
pub fn parse_driver(text: &str, path: &Path) -> Result<DriverCase, CaseErrors> {
    judged(text, path, Wanted::Driver)?.into_driver(text, path)
}

/// As [`parse`], for panel and driver together.
///
/// # Errors
/// As [`load`].
pub fn parse_blend(text: &str, path: &Path) -> Result<BlendCase, CaseErrors> {
    judged(text, path, Wanted::Both)?.into_blend(text, path)
}

/// A case without errors.
struct Read {
    panel: Option<(Scene, MaterialInUse)>,
    places: Option<PlaceOptions>,
    drivers: Vec<FedDriver>,
    measured: Vec<Measured>,
    warnings: Vec<Problem>,
}

impl Read {
    fn into_panel(self, text: &str, path: &Path) -> Result<Case, CaseErrors> {
        let Self { panel, places, drivers, measured, warnings } = self;
        match (panel, places) {
            (Some((scene, material)), Some(places)) => {
                let (path, source) = (path.into(), text.to_owned());
                Ok(Case { scene, places, material, drivers, measured, path, source, warnings })
            }
            _ => Err(Box::new(Problems::in_text(&path.display().to_string(), text, warnings))),
        }
    }

    fn into_blend(self, text: &str, path: &Path) -> Result<BlendCase, CaseErrors> {
        let Self { panel, drivers, measured, warnings, .. } = self;
        match (panel, drivers.is_empty()) {
            (Some((panel, _)), false) => {
                let scene = BlendScene { panel, drivers, measured };
                Ok(BlendCase { scene, path: path.into(), source: text.to_owned(), warnings })
            }
            _ => Err(Box::new(Problems::in_text(&path.display().to_string(), text, warnings))),
        }
    }

    fn into_driver(self, text: &str, path: &Path) -> Result<DriverCase, CaseErrors> {
        let Self { panel, drivers, warnings, .. } = self;
        let panel = panel.map(|(scene, _)| scene).filter(|scene| !scene.exciters.is_empty());
        let mut scenes = drivers.into_iter().map(|fed| fed.scene);
        match scenes.next() {
            Some(scene) => {
                let others = scenes.collect();
                Ok(DriverCase { scene, others, panel, path: path.into(), source: text.to_owned(), warnings })
            }
            None => Err(Box::new(Problems::in_text(&path.display().to_string(), text, warnings))),
        }
    }
}

/// Everything in the text, or all its problems; what is wanted is there.
fn judged(text: &str, path: &Path, wanted: Wanted) -> Result<Read, CaseErrors> {
    let (document, errors) = DeTable::parse_recoverable(text);
    let mut problems = syntax::problems(text, &errors);
    let broken = !problems.is_empty();
    let mut found = build::Contents { panel: None, places: None, drivers: vec![], measured: None };
    if document.get_ref().is_empty() && !broken {
        problems.push(nothing_in_it());
    } else {
        let mut reader = Reader::default();
        let case = reader.table(&CASE, document.get_ref(), 0..0);
        reader.problems.extend(absent(&case, wanted));
        found = build::contents(&case, folder_of(path), &mut reader.problems);
        problems.extend(syntax::worth_showing(text, &errors, reader.problems));
    }
    if problems.iter().any(|p| p.severity == Severity::Error) {
        return Err(Box::new(Problems::in_text(&path.display().to_string(), text, problems)));
    }
    let measured = found.measured.unwrap_or_default();
    Ok(Read {
        panel: found.panel,
        places: found.places,
        drivers: found.drivers,
        measured,
        warnings: problems,
    })
}

/// The table without which the case is of no use, if it is absent.
fn absent(case: &Section, wanted: Wanted) -> Option<Problem> {
    let (panel, driver) = (case.mentions("panel"), case.mentions("driver"));
    let missing = |problem: Problem| Problem { missing: true, ..problem };
    if case.mentions("surround") && !driver {
        let problem = Problem::error(case.place("surround"), "there is no driver to put this around");
        let help = "add a table [driver]; `panelwright reference case-file` explains its keys";
        return Some(missing(problem.because("the case has no [driver]").instead(help)));
    }
    match (wanted, panel, driver) {
        (Wanted::Panel | Wanted::Any, false, false) => {
            let problem = Problem::error(case.span.clone(), "`panel` is missing from the case");
            Some(missing(problem.because("this table needs it").instead("add a table [panel]")))
        }
        (Wanted::Panel, false, true) => {
            let problem = Problem::error(case.place("driver"), "the case has no panel to compute");
            let help = "`panelwright surround` compares what is put around this driver; for a panel, add a table [panel]";
            Some(missing(problem.because("it describes a driver alone").instead(help)))
        }
        (Wanted::Both, false, true) => {
            let problem =
                Problem::error(case.place("driver"), "the case has no panel for this driver to blend with");
            Some(missing(problem.because("it describes a driver alone").instead("add a table [panel]")))
        }
        (Wanted::Driver | Wanted::Both, _, false) => {
            let problem = Problem::error(case.span.clone(), "the case has no driver");
            let help = "add a table [driver]; `panelwright reference case-file` explains its keys";
            Some(missing(problem.because("no [driver] in it").instead(help)))
        }
        _ => None,
    }
}

/// The text of the file at `path`.
///
/// # Errors
/// When there is no text file.
pub fn text_of(path: &Path) -> Result<String, CaseErrors> {
    let name = path.display().to_string();
    let bytes = read(path)?;
    // Control characters could do anything to a terminal, so such a file is not shown.
    if bytes.iter().any(|byte| byte.is_ascii_control() && !b"\t\n\r".contains(byte))
        && str::from_utf8(&bytes).is_err()
    {
        let help = "a case is a small text file; `panelwright new FILE` writes one to start from".into();
        return Err(Box::new(Problems::of_file(format!("{name} is not a text file"), help)));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
        let span = at..at + char::REPLACEMENT_CHARACTER.len_utf8();
        let problem =
            Problem::error(span, "the file is not UTF-8 text").because("the first byte that is not");
        let problem = problem.instead(
            "save it as UTF-8 in your editor, or write \"ohm\", \"deg\" and \"C\" without special characters",
        );
        Box::new(Problems::in_text(&name, &text, vec![problem]))
    })
}

/// The outline of the case at `path` and the places of its faults, and its driver with every surround, as far as they can be drawn.
pub fn sketch(path: &Path) -> (Option<build::Sketch>, Vec<build::BodySketch>) {
    let Some(text) = read(path).ok().and_then(|bytes| String::from_utf8(bytes).ok()) else {
        return (None, vec![]);
    };
    let (document, _) = DeTable::parse_recoverable(&text);
    let case = section_of(document.get_ref());
    let outline = case.table("panel").and_then(|panel| build::sketch(panel, folder_of(path)));
    (outline, build::body_sketches(&case, folder_of(path)))
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
