//! The comparison of surrounds in plain words.

use super::extrema::{Extremum, Shift, Turn};
use super::surrounds::{BandGain, HeardAt, OneSurround, Reflection, SurroundFindings};
use crate::words::{decibels, hertz, listed, millimetres};

/// Band gains below this are no change worth a word [dB].
const CHANGE: f64 = 1.0;
/// Dips and peaks told for one place.
const TOLD: usize = 3;
/// Nulls of a reflection told for one place.
const NULLS: usize = 4;

/// Sentences on every surround but the reference: what it does near and at the seats, where dips and peaks go, how the beam changes.
pub fn surround_summary(findings: &SurroundFindings) -> Vec<String> {
    let Some(reference) = findings.surrounds.get(findings.reference) else { return vec![] };
    let reflections =
        findings.reflections.iter().filter_map(|comb| reflection_words(comb, &findings.frequencies));
    if findings.surrounds.len() == 1 {
        return alone(findings, reference).into_iter().chain(reflections).collect();
    }
    let others = findings.surrounds.iter().enumerate().filter(|(i, _)| *i != findings.reference);
    others
        .flat_map(|(_, surround)| told(surround, reference, &findings.frequencies))
        .chain(reflections)
        .collect()
}

/// The nulls that a reflection from behind is expected to make within the range.
fn reflection_words(reflection: &Reflection, frequencies: &[f64]) -> Option<String> {
    let lowest = frequencies.first()?;
    let nulls: Vec<String> =
        reflection.nulls.iter().filter(|f| *f >= lowest).take(NULLS).map(|f| hertz(*f)).collect();
    (!nulls.is_empty()).then(|| {
        format!(
            "What is thrown back from behind reaches {} by a way that is {} longer: it cancels about {}, earlier where housing and surround make the \
             way longer still.",
            reflection.place,
            millimetres(reflection.difference_of_paths),
            listed(&nulls)
        )
    })
}

fn told(surround: &OneSurround, reference: &OneSurround, frequencies: &[f64]) -> Vec<String> {
    let mut sentences: Vec<String> = vec![];
    for place in &surround.places {
        let opening = format!("“{}” {}", surround.name, where_it_is(place));
        sentences.push(format!("{opening}: {}.", level_words(&place.bands, &reference.name)));
        let turns = turn_words(&place.shifts);
        if !turns.is_empty() {
            sentences.push(format!("{opening}: {}.", turns.join("; ")));
        }
    }
    sentences.extend(beam_words(surround, reference, frequencies));
    sentences
}

fn alone(findings: &SurroundFindings, only: &OneSurround) -> Vec<String> {
    let loudest = |place: &HeardAt| {
        let best = place.level.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        let at = hertz(findings.frequencies[best.0]);
        Some(format!("“{}” {} is loudest at {at}: {}.", only.name, where_it_is(place), decibels(*best.1)))
    };
    only.places.iter().filter_map(loudest).collect()
}

fn where_it_is(place: &HeardAt) -> String {
    if place.distance < 0.995 {
        format!("at {} ({})", place.place, millimetres(place.distance))
    } else {
        format!("at {} ({:.1} m)", place.place, place.distance)
    }
}

/// Stretches of third octaves that gain or lose.
pub(crate) fn level_words(bands: &[BandGain], reference: &str) -> String {
    let runs = bands.chunk_by(|a, b| direction(a.gain) == direction(b.gain));
    let changed: Vec<String> = runs.filter(|run| direction(run[0].gain) != 0).map(stretch).collect();
    if changed.is_empty() {
        return format!("within {} of “{reference}” in every third octave", decibels(CHANGE));
    }
    format!("against “{reference}”, {}; elsewhere within {}", listed(&changed), decibels(CHANGE))
}

fn direction(gain: f64) -> i8 {
    i8::from(gain >= CHANGE) - i8::from(gain <= -CHANGE)
}

fn stretch(run: &[BandGain]) -> String {
    let most =
        run.iter().map(|b| b.gain).fold(0.0, |m: f64, gain| if gain.abs() > m.abs() { gain } else { m });
    let (first, last) = (run[0].band.nominal, run[run.len() - 1].band.nominal);
    let word = if most > 0.0 { "up to +" } else { "down to " };
    let place = if first == last {
        format!("in the {} band", hertz(first))
    } else {
        format!("from {} to {}", hertz(first), hertz(last))
    };
    format!("{word}{} {place}", decibels(most))
}

/// The most prominent shifts, in order of frequency.
fn turn_words(shifts: &[Shift]) -> Vec<String> {
    let prominence = |shift: &Shift| {
        [shift.before, shift.after].into_iter().flatten().map(|e| e.prominence).fold(0.0, f64::max)
    };
    let mut by_size: Vec<&Shift> = shifts.iter().filter(|shift| prominence(shift) >= 2.0).collect();
    by_size.sort_by(|a, b| prominence(b).total_cmp(&prominence(a)));
    let mut told: Vec<&Shift> = by_size.into_iter().take(TOLD).collect();
    let at = |shift: &Shift| shift.before.or(shift.after).map_or(0.0, |e| e.frequency);
    told.sort_by(|a, b| at(a).total_cmp(&at(b)));
    told.into_iter().filter_map(shift_words).collect()
}

fn shift_words(shift: &Shift) -> Option<String> {
    let name = |e: &Extremum| if e.turn == Turn::Dip { "dip" } else { "peak" };
    let stands = |e: &Extremum| {
        format!("{} {}", decibels(e.prominence), if e.turn == Turn::Dip { "deep" } else { "high" })
    };
    Some(match (&shift.before, &shift.after) {
        (Some(before), Some(after)) => {
            let percent = 100.0 * (after.frequency / before.frequency - 1.0);
            let way = if percent.abs() < 1.0 {
                format!("stays at {}", hertz(after.frequency))
            } else {
                format!("moves to {} ({percent:+.0} %)", hertz(after.frequency))
            };
            let more = after.prominence - before.prominence;
            let (grows, shrinks) =
                if after.turn == Turn::Dip { ("deeper", "shallower") } else { ("higher", "lower") };
            let depth = match more {
                more if more >= 0.5 => format!(" and gets {} {grows}", decibels(more)),
                more if more <= -0.5 => format!(" and gets {} {shrinks}", decibels(-more)),
                _ => String::new(),
            };
            format!("the {} at {} {way}{depth}", name(before), hertz(before.frequency))
        }
        (Some(gone), None) => {
            format!("the {} at {} ({}) is gone", name(gone), hertz(gone.frequency), stands(gone))
        }
        (None, Some(new)) => format!("a new {} at {}, {}", name(new), hertz(new.frequency), stands(new)),
        (None, None) => return None,
    })
}

/// Where the beam is narrowed or widened most, if by a quarter. Where the axis lies in a hole of the pattern, which a directivity index below zero
/// tells, the width of the beam means nothing.
fn beam_words(surround: &OneSurround, reference: &OneSurround, frequencies: &[f64]) -> Option<String> {
    let forward = |i: &usize| [surround, reference].iter().all(|one| one.directivity_index[*i] > 0.0);
    let at = |i: usize| {
        Some((surround.beamwidth_horizontal[i]?, reference.beamwidth_horizontal[i]?, frequencies[i]))
    };
    let both = (0..frequencies.len()).filter(forward).filter_map(at);
    let (with, without, f) = both.max_by(|a, b| (a.0 / a.1).ln().abs().total_cmp(&(b.0 / b.1).ln().abs()))?;
    if (with / without).ln().abs() < 0.22 {
        return None;
    }
    let word = if with < without { "narrows" } else { "widens" };
    Some(format!(
        "“{}” {word} the horizontal beam (−6 dB) most at {}: {:.0}° instead of {:.0}°.",
        surround.name,
        hertz(f),
        with.to_degrees(),
        without.to_degrees()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::fractional_octaves;

    fn gains(values: &[f64]) -> Vec<BandGain> {
        let bands = fractional_octaves(3, 1000.0, 20e3);
        bands.into_iter().zip(values).map(|(band, &gain)| BandGain { band, gain }).collect()
    }

    #[test]
    fn stretches_are_told_with_their_extremes() {
        let words = level_words(&gains(&[0.2, 1.4, 2.6, 0.0, -3.1, -1.2]), "none");
        assert_eq!(
            words,
            "against “none”, up to +2.6 dB from 1.25 kHz to 1.6 kHz and down to −3.1 dB from 2.5 kHz to 3.15 kHz; elsewhere within 1 dB"
        );
        assert_eq!(level_words(&gains(&[0.4, -0.3]), "none"), "within 1 dB of “none” in every third octave");
    }

    #[test]
    fn a_dip_that_moves_says_where_and_how_deep() {
        let dip = |frequency, prominence| Extremum { turn: Turn::Dip, frequency, level: 80.0, prominence };
        let moved = Shift { before: Some(dip(8500.0, 6.0)), after: Some(dip(7600.0, 9.5)) };
        assert_eq!(
            shift_words(&moved).expect("two ends"),
            "the dip at 8.5 kHz moves to 7.6 kHz (-11 %) and gets 3.5 dB deeper"
        );
        let gone = Shift { before: Some(dip(3000.0, 2.0)), after: None };
        assert_eq!(shift_words(&gone).expect("one end"), "the dip at 3 kHz (2 dB deep) is gone");
    }
}
