//! What measured responses replaced, and what is doubted about them, in plain words.

use super::ensemble::Ensemble;
use super::measured::MeasuredAt;
use crate::words::{decibels, hertz, listed, trimmed};

/// A mean level so far from the computed one is doubted [dB].
const FAR_LEVEL: f64 = 6.0;
/// An arrival so far from the computed one is doubted [s].
const FAR_TIME: f64 = 5e-4;
/// Differences of arrival that are nothing [s].
const NO_TIME: f64 = 5e-6;

/// What was measured and how it differs from what was computed.
pub(crate) fn told(measured: &[MeasuredAt]) -> Vec<String> {
    let of = |one: &MeasuredAt| {
        format!(
            "“{}” at {} is measured ({}), {}.",
            one.part,
            one.seat,
            one.file,
            listed(&[louder(one.louder), later(one)].into_iter().flatten().collect::<Vec<_>>())
        )
    };
    measured.iter().map(of).collect()
}

fn louder(decibel: f64) -> Option<String> {
    let word = if decibel < 0.0 { "quieter" } else { "louder" };
    Some(format!("on average {} {word} than computed", decibels(decibel.abs())))
}

fn later(one: &MeasuredAt) -> Option<String> {
    let Some(time) = one.later else {
        return Some("its arrival cannot be told from its phase".into());
    };
    let word = if time < 0.0 { "earlier" } else { "later" };
    Some(match time.abs() < NO_TIME {
        true => "arriving when computed".into(),
        false => format!("arriving {} ms {word}", trimmed(1e3 * time.abs(), 2)),
    })
}

/// What is doubted: seats without a measurement, what stays computed, ranges, levels and times that look wrong.
pub(super) fn doubts(ensemble: &Ensemble) -> Vec<String> {
    let measured = &ensemble.measured;
    if measured.is_empty() {
        return vec![];
    }
    let mut doubts = vec![
        "Measured responses replace what is heard at their seats; far fields, acoustic centres and ratings stay computed, and so does what other surrounds do.".to_owned(),
    ];
    doubts.extend(elsewhere(ensemble));
    doubts.extend(narrowed(ensemble));
    doubts.extend(measured.iter().flat_map(of_one));
    doubts
}

/// Parts that are measured at some seats and computed at others.
fn elsewhere(ensemble: &Ensemble) -> Vec<String> {
    let mut parts: Vec<&str> = ensemble.measured.iter().map(|one| one.part.as_str()).collect();
    parts.sort_unstable();
    parts.dedup();
    let of = |part: &str| {
        let heard = |seat: &&str| !ensemble.measured.iter().any(|one| one.part == part && one.seat == **seat);
        let seats = ensemble.seats.iter().map(|seat| seat.name.as_str());
        let others: Vec<String> = seats.filter(heard).map(str::to_owned).collect();
        (!others.is_empty()).then(|| {
            format!(
                "“{part}” is not measured at {}: there it is computed, and averages over the seats mix both.",
                listed(&others)
            )
        })
    };
    parts.into_iter().filter_map(of).collect()
}

/// What files do not cover.
fn narrowed(ensemble: &Ensemble) -> Option<String> {
    let [low, high] = ensemble.without_measured;
    let (from, to) = (*ensemble.frequencies.first()?, *ensemble.frequencies.last()?);
    let short = |one: &&MeasuredAt| one.range[0] > low * (1.0 + 1e-9) || one.range[1] < high * (1.0 - 1e-9);
    let files: Vec<String> = ensemble.measured.iter().filter(short).map(|one| one.file.clone()).collect();
    (!files.is_empty()).then(|| {
        format!(
            "{} only {} part of {} to {}; nothing is guessed beyond, so everything is judged from {} to {}.",
            listed(&files),
            if files.len() == 1 { "covers" } else { "cover" },
            hertz(low),
            hertz(high),
            hertz(from),
            hertz(to)
        )
    })
}

fn of_one(one: &MeasuredAt) -> Vec<String> {
    let mut doubts = vec![];
    if one.louder.abs() > FAR_LEVEL {
        doubts.push(format!(
            "{}: {} for “{}” at {}: is its level that of the stated voltage, its `full_scale` right?",
            one.file,
            louder(one.louder).unwrap_or_default(),
            one.part,
            one.seat
        ));
    }
    if one.later.is_some_and(|time| time.abs() > FAR_TIME) {
        doubts.push(format!(
            "{}: “{}” seems to be heard {} ms {} at {} than its way and its motor take: state what the file's time zero leaves out as `time_zero`, \
             or the sums with it are wrong.",
            one.file,
            one.part,
            trimmed(1e3 * one.later.unwrap_or_default().abs(), 2),
            if one.later.is_some_and(|time| time < 0.0) { "earlier" } else { "later" },
            one.seat
        ));
    }
    if let Some(from) = one.coarse {
        doubts.push(format!(
            "{}: from {} on its phase turns by more than 135° from one frequency to the next, so that it may be followed wrongly: export finer steps.",
            one.file,
            hertz(from)
        ));
    }
    doubts
}
