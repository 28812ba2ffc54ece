//! A transfer function known at some frequencies, for any frequency.

use num_complex::Complex64;
use std::f64::consts::{LN_2, PI, TAU};

/// Points of the polynomial that runs through the neighbours.
const NEIGHBOURS: usize = 6;
/// Below the lowest frequency it fades to nothing within this many octaves.
const FADE_BELOW: f64 = 1.0;
/// Above the highest frequency it fades to nothing within this many octaves.
const FADE_ABOVE: f64 = 1.0 / 3.0;

/// A transfer function from samples at ascending frequencies, log-spaced or dense.
///
/// The time of flight is taken out first, so that what is left turns slowly; between samples it is the polynomial through the six nearest in
/// the logarithm of frequency (error of sixth order in the step). Outside it keeps the edge's value under a raised cosine, an octave wide
/// below and a third of an octave above: what is not known is silent, and the fade rings as little as it can. Resonances much narrower than
/// the step are not resolved, as they are not in the samples.
#[derive(Clone, Debug, PartialEq)]
pub struct Sampled {
    logarithms: Vec<f64>,
    slow: Vec<Complex64>,
    flight: f64,
}

impl Sampled {
    /// From `values` at `frequencies` > 0 [Hz], ascending, as many, at least one; `flight` [s] is the time of the first arrival.
    pub fn new(frequencies: &[f64], values: &[Complex64], flight: f64) -> Self {
        let early = |(&f, value): (&f64, &Complex64)| value * Complex64::from_polar(1.0, TAU * f * flight);
        Self {
            logarithms: frequencies.iter().map(|f| f.ln()).collect(),
            slow: frequencies.iter().zip(values).map(early).collect(),
            flight,
        }
    }

    /// The transfer function at `frequency` ≥ 0 [Hz].
    pub fn response(&self, frequency: f64) -> Complex64 {
        let (Some(&low), Some(&high)) = (self.logarithms.first(), self.logarithms.last()) else {
            return Complex64::ZERO;
        };
        let x = frequency.ln();
        let fade =
            raised_cosine((low - x) / (FADE_BELOW * LN_2)) * raised_cosine((x - high) / (FADE_ABOVE * LN_2));
        if fade == 0.0 {
            return Complex64::ZERO;
        }
        let slow = self.between(x.clamp(low, high)) * fade;
        slow * Complex64::from_polar(1.0, -TAU * (frequency * self.flight).fract())
    }

    /// Lagrange's polynomial through the nearest samples.
    fn between(&self, x: f64) -> Complex64 {
        let count = NEIGHBOURS.min(self.slow.len());
        let above = self.logarithms.partition_point(|&node| node < x);
        let from = above.saturating_sub(count / 2).min(self.slow.len() - count);
        let (nodes, values) = (&self.logarithms[from..from + count], &self.slow[from..from + count]);
        let weight = |i: usize| {
            let others = (0..count).filter(|&j| j != i);
            others.map(|j| (x - nodes[j]) / (nodes[i] - nodes[j])).product::<f64>()
        };
        (0..count).map(|i| values[i] * weight(i)).sum()
    }
}

/// 1 up to 0, 0 from 1 on.
fn raised_cosine(x: f64) -> f64 {
    if x <= 0.0 {
        1.0
    } else if x < 1.0 {
        0.5 + 0.5 * (PI * x).cos()
    } else {
        0.0
    }
}
