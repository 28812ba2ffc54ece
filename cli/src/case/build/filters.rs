//! Crossover and equaliser of a channel.

use crate::case::filter_words::hertz;
use crate::case::problem::Problem;
use crate::case::quantity::FREQUENCY;
use crate::case::section::{Coefficients, Section};
use panelwright_solver::filters::{FilterError, check_band, check_biquad, check_pass};
use panelwright_solver::scene::{
    Alignment, BandShape, Biquad, EqualiserBand, Filters, PassFilter, Realisation,
};
use std::ops::Range;

const WRITTEN: &str = "Butterworth, Bessel or Linkwitz-Riley, the order, \"at\", the corner";

/// The filters of a channel; `None` if one of them could not be read or cannot be made.
pub fn build(channel: &Section, problems: &mut Vec<Problem>) -> Option<Filters> {
    let made = realisation(channel, problems);
    // Filters are checked even if the rate is missing, so that every problem is shown.
    let usual = made.clone().unwrap_or_default();
    let passes = ["high_pass", "low_pass"].map(|key| pass(channel, key, &usual, problems));
    let equaliser = equaliser(channel, &usual, problems);
    let [high_pass, low_pass] = passes;
    let filters = Filters { made: made?, high_pass: high_pass?, low_pass: low_pass?, equaliser: equaliser? };
    nothing_left(&filters, channel, problems);
    Some(filters)
}

fn realisation(channel: &Section, problems: &mut Vec<Problem>) -> Option<Realisation> {
    let given = channel.biquads("biquads")?;
    let checked: Vec<_> = given.iter().map(|one| biquad(one, problems)).collect();
    let biquads = checked.into_iter().collect::<Option<Vec<_>>>()?;
    match channel.number("sample_rate") {
        Some(sample_rate) => Some(Realisation::Digital { sample_rate, biquads }),
        None if channel.mentions("sample_rate") => None,
        None if biquads.is_empty() => Some(Realisation::Analogue),
        None => {
            let problem =
                Problem::error(channel.place("biquads"), "biquads mean nothing without their sample rate");
            let help = "add a line: sample_rate = \"48 kHz\", the rate they were made for";
            problems.push(Problem { missing: true, ..problem.because("at which rate?").instead(help) });
            None
        }
    }
}

fn biquad(given: &Coefficients, problems: &mut Vec<Problem>) -> Option<Biquad> {
    let [b0, b1, b2, a1, a2] = given.values;
    let biquad = Biquad { b: [b0, b1, b2], a: [a1, a2] };
    let Err(error) = check_biquad(&biquad) else { return Some(biquad) };
    let turned = Biquad { a: biquad.a.map(|a| -a), ..biquad };
    let help = match turned.is_stable() {
        true => format!(
            "with the signs of a1 and a2 turned round it is stable: [{b0}, {b1}, {b2}, {}, {}], for y[n] = … − a1 y[n−1] − a2 y[n−2]",
            -a1, -a2
        ),
        false => "write b0, b1, b2, a1, a2 in this order, divided by a0".into(),
    };
    problems
        .push(Problem::error(given.span.clone(), error.to_string()).because("it would howl").instead(help));
    None
}

/// The filter behind `key`; `Some(None)` if there is none.
fn pass(
    channel: &Section,
    key: &str,
    made: &Realisation,
    problems: &mut Vec<Problem>,
) -> Option<Option<PassFilter>> {
    let Some(text) = channel.text(key) else {
        return if channel.mentions(key) { None } else { Some(None) };
    };
    let place = channel.place(key);
    let read = read_pass(text).map_err(|reason| not_a_filter(key, text, &reason, place.clone()));
    let checked = read.and_then(|pass| match check_pass(&pass, made) {
        Ok(()) => Ok(pass),
        Err(error) => Err(refused(&error, place)),
    });
    match checked {
        Ok(pass) => Some(Some(pass)),
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

/// `"Linkwitz-Riley 4 at 2 kHz"`; the reason if it is not such a text.
fn read_pass(text: &str) -> Result<PassFilter, String> {
    let (shape, corner) =
        text.split_once(" at ").ok_or("the word \"at\" between order and corner is missing")?;
    let name = shape.trim().trim_end_matches(|c: char| c.is_ascii_digit());
    let order = shape.trim()[name.len()..].parse().map_err(|_| "the order is missing".to_owned())?;
    let corner = FREQUENCY.parse(corner).map_err(|reason| format!("the corner: {reason}"))?.si;
    Ok(PassFilter { alignment: alignment(name)?, order, corner })
}

fn alignment(name: &str) -> Result<Alignment, String> {
    let plain = name.to_lowercase().replace(['-', '–', '_'], " ");
    match plain.split_whitespace().collect::<Vec<_>>().join(" ").as_str() {
        "butterworth" => Ok(Alignment::Butterworth),
        "bessel" => Ok(Alignment::Bessel),
        "linkwitz riley" | "lr" => Ok(Alignment::LinkwitzRiley),
        _ => Err(format!("no filter is called \"{}\"", name.trim())),
    }
}

fn not_a_filter(key: &str, text: &str, reason: &str, place: Range<usize>) -> Problem {
    let help = format!("write for example {key} = \"Linkwitz-Riley 4 at 2 kHz\": {WRITTEN}");
    Problem::error(place, format!("`{key}` cannot be \"{text}\"")).because(reason).instead(help)
}

/// A filter that cannot be made, as a problem.
fn refused(error: &FilterError, place: Range<usize>) -> Problem {
    let help = match *error {
        FilterError::Order { .. } => "write an order from 1 to 8; each is worth 6 dB per octave".into(),
        FilterError::Odd { order } => format!("write Linkwitz-Riley {}, or Butterworth {order}", order + 1),
        FilterError::AboveHalfTheRate { sample_rate, .. } => format!(
            "this processor passes nothing above {}: lower the frequency, or leave the filter out",
            hertz(0.5 * sample_rate)
        ),
        _ => format!("write {WRITTEN}"),
    };
    Problem::error(place, explained(error)).because("cannot be made").instead(help)
}

fn explained(error: &FilterError) -> String {
    match *error {
        FilterError::AboveHalfTheRate { frequency, sample_rate } => {
            format!("{} is not below half the sample rate of {}", hertz(frequency), hertz(sample_rate))
        }
        _ => error.to_string(),
    }
}

fn equaliser(
    channel: &Section,
    made: &Realisation,
    problems: &mut Vec<Problem>,
) -> Option<Vec<EqualiserBand>> {
    let bands: Vec<_> =
        channel.tables("equaliser")?.iter().map(|table| band(table, made, problems)).collect();
    bands.into_iter().collect()
}

fn band(table: &Section, made: &Realisation, problems: &mut Vec<Problem>) -> Option<EqualiserBand> {
    let kind = table.text("kind")?.to_owned();
    let silent = matches!(kind.as_str(), "notch" | "all pass");
    let gain = table.number("gain");
    if silent && table.mentions("gain") {
        let message = format!("a band of the kind \"{kind}\" has no gain");
        let problem = Problem::error(table.place("gain"), message).because("without meaning here");
        problems.push(problem.instead("leave this line out, or choose \"peaking\""));
        return None;
    }
    if !silent && !table.mentions("gain") {
        let problem =
            Problem::error(table.span.clone(), format!("which gain has this band of the kind \"{kind}\"?"));
        let problem = problem.because("no `gain` in it").instead("add a line: gain = \"-3 dB\"");
        problems.push(Problem { missing: true, ..problem });
    }
    let (frequency, q) = (table.number("frequency")?, table.number("q")?);
    let shape = match kind.as_str() {
        "notch" => BandShape::Notch { q },
        "all pass" => BandShape::AllPass { q },
        "low shelf" => BandShape::LowShelf { gain_db: gain?, q },
        "high shelf" => BandShape::HighShelf { gain_db: gain?, q },
        _ => BandShape::Peaking { gain_db: gain?, q },
    };
    let band = EqualiserBand { frequency, shape };
    if let Err(error) = check_band(&band, made) {
        problems.push(refused(&error, table.place("frequency")));
        return None;
    }
    Some(band)
}

/// A high-pass above the low-pass is nearly always a slip.
fn nothing_left(filters: &Filters, channel: &Section, problems: &mut Vec<Problem>) {
    let (Some(high), Some(low)) = (filters.high_pass, filters.low_pass) else { return };
    if high.corner >= low.corner {
        let message = format!(
            "the low-pass at {} lies below the high-pass at {}",
            hertz(low.corner),
            hertz(high.corner)
        );
        let problem =
            Problem::warning(channel.place("low_pass"), message).because("little is left between them");
        problems.push(problem.instead("swap the two if the channel is to play what lies between"));
    }
}
