//! Measured responses in place of computed ones.
//!
//! Between its frequencies a measured response is a straight line in level [dB] and unwrapped phase over logarithmic frequency, after the time
//! of flight to the seat is taken out, so that the phase turns slowly. Outside them it says nothing: whoever asks keeps within.
//!
//! Every response is held against the computed one that it replaces: by how much it is louder, and by how much later it arrives. Both show
//! a wrong voltage, scale or time zero at once.

use crate::coupling::blend::Part;
use crate::scene::Measured;
use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::{PI, TAU};

/// Lags that are tried on either side [s].
const LAGS: f64 = 0.02;
/// Share of all phases that must agree on a lag before it is told.
const AGREED: f64 = 0.3;
/// A phase that turns further from one frequency to the next [rad] may have turned the other way.
const COARSE: f64 = 0.75 * PI;
/// Smallest amplitude [Pa] whose level is taken.
const FAINT: f64 = 1e-30;

/// A measured response beside the computed one that it replaces.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredAt {
    /// Name of the part; of a driver with its surround.
    pub part: String,
    /// Name of the seat.
    pub seat: String,
    /// The file.
    pub file: String,
    /// Lowest and highest frequency [Hz] of the file.
    pub range: [f64; 2],
    /// How much louder than computed, mean of the levels over logarithmic frequency [dB].
    pub louder: f64,
    /// How much later than computed it arrives [s]; `None` where the phases agree on nothing.
    pub later: Option<f64>,
    /// Frequency [Hz] from which to the next one the phase turns too far to be followed.
    pub coarse: Option<f64>,
}

/// Puts a measured response into `part` at `frequencies` [Hz], all of which it covers, and says how it differs from what was computed.
pub(super) fn put_in(
    measured: &Measured,
    (part, name): (&mut Part, &str),
    seat: &str,
    frequencies: &[f64],
) -> MeasuredAt {
    let flight = part.flight[measured.seat];
    let slow: Vec<Complex64> = early(&measured.frequencies, &measured.pressure, flight);
    let heard = between(&measured.frequencies, &slow, frequencies);
    let computed = early(frequencies, &part.pressure.seats[measured.seat], flight);
    let found = MeasuredAt {
        part: name.into(),
        seat: seat.into(),
        file: measured.file.clone(),
        range: measured.range(),
        louder: louder(&heard, &computed),
        later: lag(frequencies, &heard, &computed),
        coarse: coarse(&measured.frequencies, &slow, frequencies),
    };
    part.pressure.seats[measured.seat] = early(frequencies, &heard, -flight);
    found
}

/// What would be heard if it came `time` [s] earlier.
fn early(frequencies: &[f64], pressure: &[Complex64], time: f64) -> Vec<Complex64> {
    let turned = |(p, f): (&Complex64, &f64)| p * Complex64::cis(TAU * (f * time).fract());
    pressure.iter().zip(frequencies).map(turned).collect()
}

/// Level [dB re 1 Pa] and phase [rad], followed from one frequency to the next by its shorter turn.
fn level_and_phase(values: &[Complex64]) -> Vec<[f64; 2]> {
    let mut before: Option<(Complex64, f64)> = None;
    let followed = |value: &Complex64| {
        let phase = before.map_or(value.arg(), |(last, phase)| phase + (value * last.conj()).arg());
        before = Some((*value, phase));
        [20.0 * value.norm().max(FAINT).log10(), phase]
    };
    values.iter().map(followed).collect()
}

/// Values at `wanted` frequencies within those of `known`.
fn between(known: &[f64], values: &[Complex64], wanted: &[f64]) -> Vec<Complex64> {
    let curve = level_and_phase(values);
    let at = |f: &f64| {
        let above = known.partition_point(|k| k < f).clamp(1, known.len() - 1);
        let (from, to) = (known[above - 1], known[above]);
        let share = ((f / from).ln() / (to / from).ln()).clamp(0.0, 1.0);
        let [level, phase] = [0, 1].map(|i| curve[above - 1][i] * (1.0 - share) + curve[above][i] * share);
        Complex64::from_polar(10f64.powf(level / 20.0), phase)
    };
    wanted.iter().map(at).collect()
}

/// Mean difference of levels [dB].
fn louder(heard: &[Complex64], computed: &[Complex64]) -> f64 {
    let level = |p: &Complex64| 20.0 * p.norm().max(FAINT).log10();
    heard.iter().zip(computed).map(|(h, c)| level(h) - level(c)).sum::<f64>() / heard.len() as f64
}

/// The lag [s] on which most phases agree: the cross-correlation of both responses with all amplitudes made alike (C. H. Knapp & G. C. Carter,
/// IEEE Trans. Acoust. Speech Signal Process. 24 (1976) 320, the "phase transform"; from memory).
fn lag(frequencies: &[f64], heard: &[Complex64], computed: &[Complex64]) -> Option<f64> {
    let turned: Vec<Complex64> =
        heard.iter().zip(computed).map(|(h, c)| Complex64::cis((h * c.conj()).arg())).collect();
    let step = 1.0 / (16.0 * frequencies.last()?);
    let steps = (LAGS / step).ceil() as i64;
    let agreement = |n: &i64| {
        let time = *n as f64 * step;
        let pairs = turned.iter().zip(frequencies);
        let sum: Complex64 = pairs.map(|(t, f)| t * Complex64::cis(TAU * f * time)).sum();
        sum.re / turned.len() as f64
    };
    // Of lags that agree alike the shortest counts.
    let mut tried: Vec<i64> = (-steps..=steps).collect();
    tried.sort_by_key(|n| n.abs());
    let (best, share) = tried
        .iter()
        .map(|n| (*n, agreement(n)))
        .fold((0, f64::NEG_INFINITY), |best, one| if one.1 > best.1 + 1e-12 { one } else { best });
    (share >= AGREED).then_some(best as f64 * step)
}

/// The first frequency of the range that is used from which to the next one the phase turns too far.
fn coarse(known: &[f64], values: &[Complex64], used: &[f64]) -> Option<f64> {
    let (low, high) = (*used.first()?, *used.last()?);
    let too_far = |i: &usize| {
        known[i + 1] > low && known[*i] < high && (values[i + 1] * values[*i].conj()).arg().abs() > COARSE
    };
    (0..known.len() - 1).find(too_far).map(|i| known[i])
}

#[cfg(test)]
#[path = "measured_tests.rs"]
mod tests;
