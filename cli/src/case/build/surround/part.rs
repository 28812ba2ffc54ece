//! Parts from STL files: read, checked, mended where that is safe.

use super::Formed;
use crate::case::problem::Problem;
use crate::case::section::Section;
use crate::case::suggest;
use panelwright_mesh::check::{self, Fault, Limits, Repair};
use panelwright_mesh::{Surface, stl};
use panelwright_solver::scene::SurroundForm;
use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::mem::discriminant;
use std::path::Path;

/// Largest file that is read: a text file of half a million facets, a binary one of more than are accepted.
const LARGEST: u64 = 160 << 20;
/// Thinnest wall [m] that is not remarked on: two lines of a usual printer (common practice, no source).
const THIN: f64 = 8e-4;
/// Narrowest slit [m] that is not remarked on: what a printer leaves open (common practice, no source).
const SLIT: f64 = 3e-4;

/// The part behind `file`, a closed body; what was mended and what is odd about it become warnings.
pub fn read(section: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<Formed> {
    let (surface, wrong) = looked_at(section, folder, problems)?;
    let file = section.text("file")?.to_owned();
    let form = SurroundForm::Part { surface: surface.clone(), file };
    wrong.is_empty().then_some((form, Some(surface)))
}

/// The surface behind `file`, sound or not, and what makes it unsound.
pub fn looked_at(
    section: &Section,
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<(Surface, Vec<Fault>)> {
    let name = section.text("file")?;
    let unit = match section.text("file_unit") {
        Some("cm") => 1e-2,
        Some("m") => 1.0,
        Some("inch") => 0.0254,
        _ => stl::MILLIMETRE,
    };
    let place = section.place("file");
    let bytes = match bytes(&folder.join(name)) {
        Ok(bytes) => bytes,
        Err(problem) => {
            problems.push(Problem { span: place, ..problem });
            return None;
        }
    };
    let surface = match stl::read(&bytes, unit) {
        Ok(surface) => surface,
        Err(fault) => {
            let (what, help) = split(&fault.to_string());
            let problem = Problem::error(place, format!("{name} cannot be read: {what}"));
            problems.push(problem.because("this file").instead(help));
            return None;
        }
    };
    drop(bytes);
    let mended = check::repaired(&surface);
    let report = check::check(&mended.surface, &Limits { unit, wall: THIN, slit: SLIT, ..Limits::default() });
    let (odd, wrong): (Vec<_>, Vec<_>) =
        report.faults.into_iter().filter(|fault| !matters_not(fault)).partition(is_odd);
    problems.extend(of_each_kind(wrong.clone()).into_iter().map(|(fault, more)| {
        let (what, help) = explained(&fault, unit);
        Problem::error(place.clone(), format!("{name}: {what}{more}"))
            .because("not a sound body")
            .instead(help)
    }));
    problems.extend(of_each_kind(odd).into_iter().map(|(fault, more)| {
        let (what, help) = split(&fault.to_string());
        Problem::warning(place.clone(), format!("{name}: {what}{more}"))
            .because("hard to build")
            .instead(help)
    }));
    problems.extend(told(name, &mended.repairs).map(|problem| Problem { span: place, ..problem }));
    Some((mended.surface, wrong))
}

/// The bytes of a file that may be a part; the problem has no place yet.
fn bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    let name = path.display();
    let cannot = |error: &std::io::Error| match error.kind() {
        ErrorKind::NotFound => Problem::error(0..0, format!("there is no file {name}"))
            .because("not found")
            .instead(beside(path)),
        _ => Problem::error(0..0, format!("{name} cannot be read"))
            .because(error.to_string())
            .instead("check the path and its permissions"),
    };
    let about = fs::metadata(path).map_err(|error| cannot(&error))?;
    if !about.is_file() {
        let problem = Problem::error(0..0, format!("{name} is not a file")).because("no STL file");
        return Err(problem.instead("name the STL file of the part"));
    }
    if about.len() > LARGEST {
        let size = format!("{:.0} MB, at most {} MB are read", about.len() as f64 / 1e6, LARGEST / 1_000_000);
        let problem = Problem::error(0..0, format!("{name} is too large for a part")).because(size);
        return Err(
            problem.instead("export it as binary STL with a coarser tolerance; 0.05 mm is fine enough")
        );
    }
    fs::read(path).map_err(|error| cannot(&error))
}

/// What to do about a file that is not there.
fn beside(path: &Path) -> String {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<_> = names.filter(|name| name.to_lowercase().ends_with(".stl")).collect();
    names.sort();
    let wanted = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    match suggest::nearest(&wanted, names.iter().map(String::as_str)) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => "the path counts from the folder of the case file".into(),
    }
}

/// What remeshing takes care of.
fn matters_not(fault: &Fault) -> bool {
    matches!(fault, Fault::Needle { .. })
}

/// What can be computed but hardly built.
fn is_odd(fault: &Fault) -> bool {
    matches!(fault, Fault::ThinWall { .. } | Fault::NarrowSlit { .. })
}

/// The first fault of each kind, and how many more of its kind there are, in words.
fn of_each_kind(faults: Vec<Fault>) -> Vec<(Fault, String)> {
    let mut kinds: Vec<(Fault, usize)> = Vec::new();
    for fault in faults {
        match kinds.iter_mut().find(|(known, _)| discriminant(known) == discriminant(&fault)) {
            Some((_, count)) => *count += 1,
            None => kinds.push((fault, 0)),
        }
    }
    let words = |count| if count == 0 { String::new() } else { format!(" (and {count} places more)") };
    kinds.into_iter().map(|(fault, count)| (fault, words(count))).collect()
}

/// A fault of a surface, and what to do in the words of a case.
fn explained(fault: &Fault, unit: f64) -> (String, String) {
    let (what, help) = split(&fault.to_string());
    let help = match fault {
        Fault::Scale { likely: Some((name, _)), .. } => {
            let word = match *name {
                "millimetres" => "mm",
                "metres" => "m",
                _ => "inch",
            };
            format!("the file is likely in {name}: add a line file_unit = \"{word}\"")
        }
        Fault::Scale { likely: None, .. } => {
            let read = crate::case::quantity::LENGTH.show(unit, "mm");
            format!("one unit of the file was taken for {read}: check `file_unit` and the drawing's scale")
        }
        Fault::Open { .. } => {
            "close the hole in the drawing: a part is a closed body; only small flat holes are mended".into()
        }
        _ => help.replace(", or let it be mended", ""),
    };
    (what, help)
}

/// What is wrong and what to do, of a sentence that says both.
fn split(sentence: &str) -> (String, String) {
    let (what, help) =
        sentence.split_once("; ").unwrap_or((sentence, "draw the body again as a solid and export it"));
    (what.to_owned(), help.to_owned())
}

/// The warning that tells what was mended; it has no place yet.
fn told(name: &str, repairs: &[Repair]) -> Option<Problem> {
    let mut kinds: BTreeMap<usize, (String, usize)> = BTreeMap::new();
    for (i, repair) in repairs.iter().enumerate() {
        let first = repairs[..i].iter().position(|known| discriminant(known) == discriminant(repair));
        kinds.entry(first.unwrap_or(i)).or_insert_with(|| (repair.to_string(), 0)).1 += 1;
    }
    let tell = |(text, count): &(String, usize)| match count {
        1 => text.clone(),
        _ => format!("{text} (and {} places more)", count - 1),
    };
    let list: Vec<_> = kinds.values().map(tell).collect();
    (!list.is_empty()).then(|| {
        let problem = Problem::warning(0..0, format!("{name} was mended: {}", list.join("; ")));
        problem
            .because("the file itself is untouched")
            .instead("look at the drawing if that is not what you meant")
    })
}
