//! Where to cross over from one part to another, and how: the flattest averaged sound within the ratings.
//!
//! A coarse grid over everything that may be chosen, then a compass search from the best of its points. The objective has many
//! minima over delay and corner, so that no descent alone would do; the grid's step in delay is an eighth of the corner's period.

use super::evenness::{Evenness, Filtered};
use super::pattern::descend;
use crate::coupling::blend::Part;
use crate::filters::Chain;
use crate::scene::{Alignment, Filters, PassFilter};
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;
use std::f64::consts::TAU;

/// Grid points per octave of the corner.
const CORNERS: f64 = 6.0;
/// Delays tried on each side of the expected one, in eighths of the corner's period.
const DELAYS: i32 = 8;
/// Gains tried about equal levels at the corner [dB].
const GAINS: [f64; 5] = [-6.0, -3.0, 0.0, 3.0, 6.0];
/// Grid points that are refined.
const REFINED: usize = 12;
/// What a decibel above a rating costs [dB of unevenness].
const OVERLOAD: f64 = 10.0;

/// Shape of a pair of filters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Shape {
    /// Alignment of both.
    pub alignment: Alignment,
    /// Order of both.
    pub order: usize,
}

impl Shape {
    /// Those in common use.
    pub fn usual() -> Vec<Self> {
        let of = |alignment, orders: &[usize]| {
            orders.iter().map(move |&order| Self { alignment, order }).collect::<Vec<_>>()
        };
        [
            of(Alignment::Butterworth, &[1, 2, 3, 4]),
            of(Alignment::Bessel, &[2, 3, 4]),
            of(Alignment::LinkwitzRiley, &[2, 4, 8]),
        ]
        .concat()
    }
}

/// A crossover from a first part, low-passed, to a second one, high-passed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Crossover {
    /// Shape of both filters.
    pub shape: Shape,
    /// Corner of both [Hz].
    pub corner: f64,
    /// Delay of the second part against the first [s]; negative delays the first.
    pub delay: f64,
    /// Gain of the second part [dB].
    pub gain_db: f64,
    /// True when the second part's polarity is reversed.
    pub reversed: bool,
}

impl Crossover {
    /// Low-pass and high-pass.
    pub fn filters(&self) -> [Filters; 2] {
        let pass =
            PassFilter { alignment: self.shape.alignment, order: self.shape.order, corner: self.corner };
        [
            Filters { low_pass: Some(pass), ..Filters::default() },
            Filters { high_pass: Some(pass), ..Filters::default() },
        ]
    }

    /// Delays of both channels [s], neither negative.
    pub fn delays(&self) -> [f64; 2] {
        [(-self.delay).max(0.0), self.delay.max(0.0)]
    }

    /// Amplitude factors of both channels; negative when reversed.
    pub fn gains(&self) -> [f64; 2] {
        let sign = if self.reversed { -1.0 } else { 1.0 };
        [1.0, sign * 10f64.powf(self.gain_db / 20.0)]
    }

    /// Both channels.
    pub fn chains(&self) -> [Chain; 2] {
        let [low, high] = self.filters().map(|filters| Chain::new(&filters));
        let ([early, late], [one, other]) = (self.delays(), self.gains());
        [low.amplified(one).delayed(early), high.amplified(other).delayed(late)]
    }
}

/// What may be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// Lowest and highest corner [Hz].
    pub corners: [f64; 2],
    /// Delay of the second part that makes both arrive together [s]; delays within one period of the corner about it are tried.
    pub expected_delay: f64,
    /// Bounds of the second part's gain [dB].
    pub gain_db: [f64; 2],
    /// Shapes.
    pub shapes: Vec<Shape>,
}

/// How far parts are from their ratings: the largest level of a part's strain through its filter [dB], above 0 beyond a rating; −∞
/// without one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limits {
    /// Of the first part.
    pub first: f64,
    /// Of the second part.
    pub second: f64,
}

/// The best crossover found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What to set.
    pub crossover: Crossover,
    /// Unevenness with it [dB].
    pub unevenness: f64,
    /// What it leaves of the ratings.
    pub limits: Limits,
    /// The best of every other shape, most even first.
    pub others: Vec<(Crossover, f64)>,
}

/// Two parts with what they are judged by.
struct Search<'a> {
    evenness: &'a Evenness,
    strains: [&'a [f64]; 2],
    request: &'a Request,
}

/// The most even crossover from the first part to the second within their ratings; `None` without a corner or a shape to choose.
pub fn advise(evenness: &Evenness, parts: [&Part; 2], request: &Request) -> Option<Advice> {
    let search = Search { evenness, strains: parts.map(|part| part.strain.as_slice()), request };
    let mut starts = search.grid();
    starts.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut found: Vec<(Crossover, f64)> =
        search.chosen(&starts).into_par_iter().map(|start| search.refined(start)).collect();
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    let &(crossover, _) = found.first()?;
    let mut others: Vec<(Crossover, f64)> = vec![];
    for &(other, cost) in &found[1..] {
        let known = other.shape == crossover.shape || others.iter().any(|(o, _)| o.shape == other.shape);
        if !known {
            others.push((other, cost));
        }
    }
    let [h, g] = search.responses(&crossover);
    Some(Advice { crossover, unevenness: evenness.unevenness(&h, &g), limits: search.limits(&h, &g), others })
}

/// Two parts through one pair of filters.
struct Pair<'s> {
    filtered: Filtered<'s>,
    /// Without gain.
    limits: Limits,
}

impl Pair<'_> {
    /// Unevenness, and a price for every decibel above a rating.
    fn cost(&self, beating: &[f64], crossover: &Crossover) -> f64 {
        let [_, gain] = crossover.gains();
        let over = self.limits.first.max(0.0) + (self.limits.second + crossover.gain_db).max(0.0);
        self.filtered.unevenness(beating, gain) + OVERLOAD * over
    }
}

impl Search<'_> {
    /// The best gain, delay and polarity of every corner and shape of the grid.
    fn grid(&self) -> Vec<(Crossover, f64)> {
        let [low, high] = self.request.corners;
        let octaves = (high / low).log2();
        if !(octaves >= 0.0 && octaves.is_finite()) {
            return vec![];
        }
        let steps = (octaves * CORNERS).ceil().max(1.0) as usize;
        let corner = |i: usize| low * (high / low).powf(i as f64 / steps as f64);
        let pairs: Vec<(Shape, f64)> = (self.request.shapes.iter())
            .flat_map(|&shape| (0..=steps).map(move |i| (shape, corner(i))))
            .collect();
        pairs.into_par_iter().filter_map(|(shape, corner)| self.best_of(shape, corner)).collect()
    }

    /// The best of the grid's gains, delays and polarities.
    fn best_of(&self, shape: Shape, corner: f64) -> Option<(Crossover, f64)> {
        let pair = self.pair(shape, corner);
        let level = self.equal_levels(corner);
        let [least, most] = self.request.gain_db;
        let tried = (-DELAYS..=DELAYS).flat_map(|n| {
            let delay = self.request.expected_delay + f64::from(n) / (8.0 * corner);
            let beating = pair.filtered.beating(delay);
            let of_gain = |gain: f64| {
                let gain_db = (level + gain).clamp(least, most);
                [false, true].map(|reversed| {
                    let crossover = Crossover { shape, corner, delay, gain_db, reversed };
                    (crossover, pair.cost(&beating, &crossover))
                })
            };
            GAINS.into_iter().flat_map(of_gain).collect::<Vec<_>>()
        });
        tried.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Both parts through a pair of filters.
    fn pair(&self, shape: Shape, corner: f64) -> Pair<'_> {
        let plain = Crossover { shape, corner, delay: 0.0, gain_db: 0.0, reversed: false };
        let [h, g] = self.responses(&plain);
        Pair { filtered: self.evenness.through(&h, &g), limits: self.limits(&h, &g) }
    }

    /// Gain of the second part [dB] that makes both alike within an octave about the corner.
    fn equal_levels(&self, corner: f64) -> f64 {
        let near = |f: &f64| (f / corner).log2().abs() <= 0.5;
        let sum = |energy: &[f64]| -> f64 {
            let pairs = self.evenness.frequencies().iter().zip(energy);
            pairs.filter(|(f, _)| near(f)).map(|(_, e)| e).sum()
        };
        let [first, second] = self.evenness.alone().map(sum);
        let level = 10.0 * (first / second).log10();
        if level.is_finite() { level } else { 0.0 }
    }

    /// The best point of every shape, then the best of the rest.
    fn chosen(&self, sorted: &[(Crossover, f64)]) -> Vec<Crossover> {
        let first_of = |shape: &Shape| sorted.iter().find(|(c, _)| c.shape == *shape).map(|(c, _)| *c);
        let mut chosen: Vec<Crossover> = self.request.shapes.iter().filter_map(first_of).collect();
        for (crossover, _) in sorted.iter().take(REFINED) {
            if !chosen.contains(crossover) {
                chosen.push(*crossover);
            }
        }
        chosen
    }

    fn refined(&self, start: Crossover) -> (Crossover, f64) {
        let [low, high] = self.request.corners;
        let period = 1.0 / start.corner;
        let expected = self.request.expected_delay;
        let bounds = [[low.ln(), high.ln()], [expected - period, expected + period], self.request.gain_db];
        let at = |&[corner, delay, gain_db]: &[f64; 3]| Crossover {
            corner: corner.exp().clamp(low, high),
            delay,
            gain_db,
            ..start
        };
        let from = [start.corner.ln(), start.delay, start.gain_db];
        let steps = [0.5 / CORNERS * std::f64::consts::LN_2, period / 16.0, 1.5];
        // Gain and delay are tried more often than corners: their filters are kept.
        let mut pair = (start.corner, self.pair(start.shape, start.corner));
        let cost = |values: &[f64; 3]| {
            let crossover = at(values);
            if crossover.corner != pair.0 {
                pair = (crossover.corner, self.pair(crossover.shape, crossover.corner));
            }
            pair.1.cost(&pair.1.filtered.beating(crossover.delay), &crossover)
        };
        let (best, cost) = descend(from, steps, bounds, cost);
        (at(&best), cost)
    }

    fn responses(&self, crossover: &Crossover) -> [Vec<Complex64>; 2] {
        let [low, high] = crossover.filters().map(|filters| Chain::new(&filters));
        let [_, gain] = crossover.gains();
        let f = self.evenness.frequencies();
        // Only the difference of delays counts for energies.
        let late = |f: f64| Complex64::from_polar(gain, -TAU * f * crossover.delay);
        [
            f.iter().map(|&f| low.response(f)).collect(),
            f.iter().map(|&f| high.response(f) * late(f)).collect(),
        ]
    }

    fn limits(&self, h: &[Complex64], g: &[Complex64]) -> Limits {
        let largest = |strain: &[f64], response: &[Complex64]| {
            let strained = strain.iter().zip(response).map(|(s, h)| s * h.norm());
            20.0 * strained.fold(0.0, f64::max).log10()
        };
        Limits { first: largest(self.strains[0], h), second: largest(self.strains[1], g) }
    }
}

#[cfg(test)]
#[path = "crossover_tests.rs"]
mod tests;
