//! `[[measured]]` → responses that take the place of computed ones.

mod table;
mod wave;

use super::driver::PANEL;
use super::keys::idle;
use crate::case::filter_words::hertz;
use crate::case::problem::Problem;
use crate::case::schema::quoted;
use crate::case::section::Section;
use crate::case::suggest;
use num_complex::Complex64;
use panelwright_solver::scene::{BlendScene, Channel, FedDriver, Measured, MeasuredPart, Scene};
use std::f64::consts::TAU;
use std::fs;
use std::path::Path;

/// Largest file that is read.
const LARGEST: u64 = 64 << 20;
/// Reference of sound pressure levels [Pa].
const REFERENCE: f64 = 20e-6;

/// All measured responses; `None` if one could not be read. Files are looked for in `folder`; nothing is built of a case whose parts are at
/// fault themselves.
pub fn build(
    case: &Section,
    (panel, drivers): (Option<&Scene>, &[FedDriver]),
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Measured>> {
    let sections = case.tables("measured")?;
    let panel = match sections.is_empty() {
        true => return Some(vec![]),
        false => panel?,
    };
    if drivers.is_empty() {
        if !case.mentions("driver") {
            let problem =
                Problem::error(sections[0].span.clone(), "nothing is summed with what was measured");
            let help = "add a [driver] for `panelwright blend`, or take this table out";
            problems.push(problem.because("the case has no [driver]").instead(help));
        }
        return None;
    }
    let parts = Parts { panel, drivers };
    let one = |section: &Section| measured(section, &parts, folder, problems);
    let built: Vec<_> = sections.iter().map(one).collect();
    let built = built.into_iter().collect::<Option<Vec<_>>>()?;
    for (i, one) in built.iter().enumerate() {
        if built[..i].iter().any(|other| (other.source, other.seat) == (one.source, one.seat)) {
            let problem =
                Problem::error(sections[i].span.clone(), "this part is measured twice at this seat");
            problems.push(problem.because("which one holds?").instead("keep one of both tables"));
            return None;
        }
    }
    all_overlap(
        sections,
        BlendScene { panel: panel.clone(), drivers: drivers.to_vec(), measured: built },
        problems,
    )
}

/// What was measured, if it leaves frequencies that all parts have; otherwise the first table that leaves none is told.
fn all_overlap(
    sections: &[Section],
    mut scene: BlendScene,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Measured>> {
    let all = std::mem::take(&mut scene.measured);
    // Parts that do not overlap by themselves are no fault of what is measured.
    let Some(mut left) = ends(&scene.frequencies_of_all()) else { return Some(all) };
    for (one, section) in all.iter().zip(sections) {
        scene.measured.push(one.clone());
        match ends(&scene.frequencies_in_common()) {
            Some(less) => left = less,
            None => {
                problems.push(no_overlap(one, left, section));
                return None;
            }
        }
    }
    Some(all)
}

/// Lowest and highest of at least two frequencies [Hz].
fn ends(frequencies: &[f64]) -> Option<[f64; 2]> {
    match frequencies {
        [low, .., high] => Some([*low, *high]),
        _ => None,
    }
}

fn no_overlap(measured: &Measured, [low, high]: [f64; 2], section: &Section) -> Problem {
    let whole = |f: f64| hertz(f.round());
    let [from, to] = measured.range().map(whole);
    let message = format!(
        "{}: holds from {from} to {to} and shares fewer than two of the case's frequencies with the other parts",
        measured.file
    );
    let label = format!(
        "what panel, drivers and the files before it have in common: {} to {}",
        whole(low),
        whole(high)
    );
    let help = "let [range], `from` and `to` of every [driver], and what is measured overlap";
    Problem::error(section.place("file"), message).because(label).instead(help)
}

/// What can be measured.
struct Parts<'a> {
    panel: &'a Scene,
    drivers: &'a [FedDriver],
}

fn measured(
    section: &Section,
    parts: &Parts,
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<Measured> {
    let source = parts.source(section, problems);
    let seats: Vec<&str> = parts.panel.receivers.seats.iter().map(|seat| seat.name.as_str()).collect();
    let seat = one_of(section, "seat", &seats, problems);
    let heard = response(section, folder, &parts.panel.frequencies, problems);
    let (source, seat, (frequencies, pressure)) = (source?, seat?, heard?);
    let scale = parts.voltage(source, section, problems)?;
    let pressure = pressure.iter().map(|p| p * scale).collect();
    Some(Measured { source, seat, file: section.text("file")?.to_owned(), frequencies, pressure })
}

impl Parts<'_> {
    fn source(&self, section: &Section, problems: &mut Vec<Problem>) -> Option<MeasuredPart> {
        let drivers = self.drivers.iter().map(|fed| fed.scene.driver.name.as_str());
        let names: Vec<&str> = std::iter::once(PANEL).chain(drivers).collect();
        let part = one_of(section, "part", &names, problems)?;
        if part == 0 {
            return idle(section, "surround", "the panel has none", problems).map(|()| MeasuredPart::Panel);
        }
        let surrounds = &self.drivers[part - 1].scene.surrounds;
        let names: Vec<&str> = surrounds.iter().map(|surround| surround.name.as_str()).collect();
        if names.len() > 1 && !section.mentions("surround") {
            let problem = Problem::error(section.span.clone(), "which surround was around the driver?");
            let help = format!("add a line: surround = {}", quoted(&names));
            problems.push(problem.because("names none").instead(help));
            return None;
        }
        let surround = match section.mentions("surround") {
            true => one_of(section, "surround", &names, problems)?,
            false => 0,
        };
        Some(MeasuredPart::Driver { driver: part - 1, surround })
    }

    /// The channel's voltage over that of the measurement.
    fn voltage(&self, source: MeasuredPart, section: &Section, problems: &mut Vec<Problem>) -> Option<f64> {
        if !section.mentions("voltage") {
            return Some(1.0);
        }
        let channels: Vec<&Channel> = match source {
            MeasuredPart::Panel => self.panel.channels.iter().collect(),
            MeasuredPart::Driver { driver, .. } => vec![&self.drivers[driver].channel],
        };
        let used = channels.first()?.voltage;
        if channels.iter().any(|channel| channel.voltage != used) {
            let problem =
                Problem::error(section.place("voltage"), "the panel's channels have different voltages");
            let help = "measure with those, and leave this line out";
            problems.push(problem.because("to which does this one compare?").instead(help));
            return None;
        }
        section.number("voltage").map(|voltage| used / voltage)
    }
}

/// Index of the name behind `key`.
fn one_of(section: &Section, key: &str, names: &[&str], problems: &mut Vec<Problem>) -> Option<usize> {
    let wanted = section.text(key)?;
    let found = names.iter().position(|name| *name == wanted);
    if found.is_none() {
        let message = format!("no {key} is called \"{wanted}\"");
        let help = match suggest::nearest(wanted, names.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("the case has {}", quoted(names)),
        };
        problems.push(Problem::error(section.place(key), message).because("unknown").instead(help));
    }
    found
}

/// A response: frequencies [Hz], pressures [Pa].
type Response = (Vec<f64>, Vec<Complex64>);

/// What the file says, within `from` and `to`, its time zero put right.
fn response(
    section: &Section,
    folder: &Path,
    frequencies: &[f64],
    problems: &mut Vec<Problem>,
) -> Option<Response> {
    let name = section.text("file")?;
    let place = section.place("file");
    let wrong = |what: String, help: String| {
        Problem::error(place.clone(), format!("{name}: {what}")).because("this file").instead(help)
    };
    let bytes = match bytes(&folder.join(name)) {
        Ok(bytes) => bytes,
        Err((what, help)) => {
            problems.push(wrong(what, help));
            return None;
        }
    };
    let found = match bytes.starts_with(b"RIFF") || name.to_lowercase().ends_with(".wav") {
        true => from_wave(section, &bytes, frequencies, problems)?,
        false => from_table(section, &bytes, problems),
    };
    let (frequencies, pressure) = found.map_err(|[what, help]| problems.push(wrong(what, help))).ok()?;
    let time_zero = section.number("time_zero")?;
    let late = |(p, f): (&Complex64, &f64)| p * Complex64::cis(-TAU * (f * time_zero).fract());
    let pressure = pressure.iter().zip(&frequencies).map(late).collect();
    Some((frequencies, pressure))
}

fn from_table(section: &Section, bytes: &[u8], problems: &mut Vec<Problem>) -> Result<Response, [String; 2]> {
    // What belongs to another kind of file is told, and changes nothing.
    idle(section, "full_scale", "a text table has levels", problems);
    let rows = table::read(bytes).map_err(|fault| [fault.to_string(), fault.help])?;
    let [from, to] = trusted(section, [rows[0][0], rows[rows.len() - 1][0]]);
    let kept: Vec<_> = rows.iter().filter(|[f, ..]| (from..=to).contains(f)).collect();
    if kept.len() < 2 {
        return Err(nothing_left(from, to));
    }
    let pressure = |[_, level, phase]: &&table::Row| {
        Complex64::from_polar(REFERENCE * 10f64.powf(level / 20.0), phase.to_radians())
    };
    Ok((kept.iter().map(|row| row[0]).collect(), kept.iter().map(pressure).collect()))
}

/// At the frequencies of the panel: the transform of a WAV file is exact at any. `None` if a key that it needs is missing.
fn from_wave(
    section: &Section,
    bytes: &[u8],
    frequencies: &[f64],
    problems: &mut Vec<Problem>,
) -> Option<Result<Response, [String; 2]>> {
    if !section.mentions("full_scale") {
        let problem =
            Problem::error(section.span.clone(), "`full_scale` is missing from the measured response");
        let help = "add a line: full_scale = \"0.021 Pa\", what a sample at full scale stands for";
        problems.push(problem.because("a WAV file alone says no pressure").instead(help));
        return None;
    }
    let scale = section.number("full_scale")?;
    Some(wave::read(bytes).and_then(|wave| {
        let [from, to] = trusted(section, wave.range());
        let kept: Vec<f64> = frequencies.iter().copied().filter(|f| (from..=to).contains(f)).collect();
        if kept.len() < 2 {
            return Err(nothing_left(from, to));
        }
        let pressure = wave.at(&kept).iter().map(|p| p * scale).collect();
        Ok((kept, pressure))
    }))
}

/// What the file covers, narrowed by `from` and `to`.
fn trusted(section: &Section, [low, high]: [f64; 2]) -> [f64; 2] {
    let from = section.number("from").unwrap_or(low).max(low);
    [from, section.number("to").unwrap_or(high).min(high)]
}

fn nothing_left(from: f64, to: f64) -> [String; 2] {
    [
        format!("has fewer than two frequencies from {from:.0} Hz to {to:.0} Hz that the case uses"),
        "let its range, `from` and `to` and the case's [range] overlap".into(),
    ]
}

fn bytes(path: &Path) -> Result<Vec<u8>, (String, String)> {
    let help = "the path counts from the folder of the case file; check its permissions";
    let failed = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => ("there is no such file".to_owned(), help.to_owned()),
        _ => (format!("cannot be read: {error}"), help.to_owned()),
    };
    let about = fs::metadata(path).map_err(failed)?;
    if !about.is_file() || about.len() > LARGEST {
        let help = "name a text table or a WAV file of one response";
        return Err(("is not a file, or too large for a response".into(), help.into()));
    }
    fs::read(path).map_err(failed)
}
