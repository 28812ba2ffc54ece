//! The best that delay, gain and polarity of the driver's channel can do at one place.

use super::super::evenness::{Evenness, Filtered};
use super::super::pattern::descend;
use num_complex::Complex64;
use serde::Serialize;

/// Distance of the delays tried first, in periods of the highest corner.
const PARTS: f64 = 0.125;
/// Gains tried [dB], about equal levels.
const GAINS: [f64; 3] = [-4.0, 0.0, 4.0];
/// Bounds of the gain [dB]: an amplifier's level control.
pub(super) const BOUNDS: [f64; 2] = [-24.0, 12.0];

/// What is set on top of the case's channels, and what comes of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Matched {
    /// Unevenness [dB] of the sound averaged over the seats.
    pub unevenness: f64,
    /// How much later the driver is to be fed than the case says [s].
    pub delay: f64,
    /// How much louder [dB].
    pub gain_db: f64,
    /// True when its polarity is to be turned round.
    pub reversed: bool,
}

impl Matched {
    /// True when the gain stands at the end of what is tried: a better match may lie beyond.
    pub fn at_the_end(&self) -> bool {
        BOUNDS.iter().any(|bound| (self.gain_db - bound).abs() < 1e-6)
    }
}

/// Where delays are looked for, and where the second part plays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Span {
    /// Delay [s] that makes up for the ways of both; how much later a part itself answers is found from its sound.
    pub ways: f64,
    /// Longest and shortest period [s] of the corners: delays are tried within half the longest of arriving together, in parts of the shortest.
    pub periods: [f64; 2],
    /// From where to where [Hz] the second part plays.
    pub plays: [f64; 2],
}

impl Span {
    /// Delays that are tried first [s], about the one with which both arrive together.
    pub fn delays(&self, together: f64) -> impl Iterator<Item = f64> {
        let [longest, shortest] = self.periods;
        let step = shortest * PARTS;
        let count = (0.5 * longest / step + 1e-9).floor() as i32;
        (-count..=count).map(move |n| together + f64::from(n) * step)
    }
}

/// Channels' responses h and g: the best of a grid over gain, delay and polarity, then a compass search from there.
pub(super) fn matched(evenness: &Evenness, [h, g]: [&[Complex64]; 2], span: Span) -> Matched {
    let filtered = evenness.through(h, g);
    let level = equal_levels(evenness, [h, g], span.plays);
    let [longest, shortest] = span.periods;
    let together = evenness.arrivals(h, g, span.ways).together(1.0 / longest);
    let start = start(&filtered, level, (span, together));
    let around = [together - 0.5 * longest, together + 0.5 * longest];
    let steps = [0.5 * PARTS * shortest, 1.5];
    let sign = if start.reversed { -1.0 } else { 1.0 };
    let mut known = (f64::NAN, vec![]);
    let cost = |&[delay, gain_db]: &[f64; 2]| {
        if known.0 != delay {
            known = (delay, filtered.beating(delay));
        }
        filtered.unevenness(&known.1, sign * amplitude(gain_db))
    };
    let ([delay, gain_db], unevenness) = descend([start.delay, start.gain_db], steps, [around, BOUNDS], cost);
    Matched { unevenness, delay, gain_db, reversed: start.reversed }
}

fn start(filtered: &Filtered, level: f64, (span, together): (Span, f64)) -> Matched {
    let mut best = Matched { unevenness: f64::INFINITY, delay: together, gain_db: level, reversed: false };
    for delay in span.delays(together) {
        let beating = filtered.beating(delay);
        for gain_db in GAINS.map(|gain| (level + gain).clamp(BOUNDS[0], BOUNDS[1])) {
            for reversed in [false, true] {
                let sign = if reversed { -1.0 } else { 1.0 };
                let unevenness = filtered.unevenness(&beating, sign * amplitude(gain_db));
                if unevenness < best.unevenness {
                    best = Matched { unevenness, delay, gain_db, reversed };
                }
            }
        }
    }
    best
}

fn amplitude(gain_db: f64) -> f64 {
    10f64.powf(gain_db / 20.0)
}

/// Gain of the driver [dB] that makes it where it plays and the rest elsewhere alike, through their channels.
pub(super) fn equal_levels(evenness: &Evenness, [h, g]: [&[Complex64]; 2], [low, high]: [f64; 2]) -> f64 {
    let [first, second] = evenness.alone();
    let mean = |energy: &[f64], response: &[Complex64], playing: bool| {
        let plays = |i: &usize| (low..=high).contains(&evenness.frequencies()[*i]) == playing;
        let side = (0..energy.len()).filter(plays);
        let levels: Vec<f64> = side.map(|i| (response[i].norm_sqr() * energy[i]).ln()).collect();
        levels.iter().sum::<f64>() / levels.len() as f64
    };
    let level = 10.0 * (mean(first, h, false) - mean(second, g, true)) / std::f64::consts::LN_10;
    if level.is_finite() { level } else { 0.0 }
}
