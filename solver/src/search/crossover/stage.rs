//! One crossover, all others left as they are.
//!
//! A coarse grid over everything that may be chosen, then a compass search from the best of its points. The objective has many
//! minima over delay and corner, so that no descent alone would do; the grid's step in delay is an eighth of the corner's period.
//!
//! Delays keep within half a period of the corner from arriving together: with both polarities that reaches every phase, and what comes a whole turn
//! late or early adds up as evenly but is heard to come apart. See [`Arrivals`].
//!
//! Four groups are enough: R below the crossover's lower part, the lower part A, the upper part B, and S above it. With L and H the filters and
//! G gain and delay,
//!
//! ```text
//! sum = (R + L A) + G (H B + S)
//! ```

use super::network::{Crossover, Shape};
use super::{OVERLOAD, Search, price};
use crate::filters::Chain;
use crate::scene::{Filters, PassFilter};
use crate::search::arrivals::Arrivals;
use crate::search::evenness::Filtered;
use crate::search::pattern::descend;
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::{LN_2, TAU};

/// Grid points per octave of the corner.
const CORNERS: f64 = 6.0;
/// Delays tried on each side of arriving together, in eighths of the corner's period.
const DELAYS: i32 = 4;
/// Gains tried about equal levels at the corner [dB].
const GAINS: [f64; 5] = [-6.0, -3.0, 0.0, 3.0, 6.0];
/// Grid points that are refined.
const REFINED: usize = 12;
/// Corners of filters that differ, as octaves from the common one.
const SPLITS: [f64; 5] = [-1.0, -0.5, 0.0, 0.5, 1.0];
/// Delays of filters that differ, on each side of the common one and of arriving together, in eighths of the corner's period.
const SPLIT_DELAYS: i32 = 3;
/// Gains of filters that differ, about the common one [dB].
const SPLIT_GAINS: [f64; 3] = [-1.5, 0.0, 1.5];
/// Groups of parts: R, A, B, S.
const GROUPS: usize = 4;

/// What a stage finds.
pub struct Found {
    /// The best.
    pub crossover: Crossover,
    /// What it costs.
    pub cost: f64,
    /// The best of every other shape.
    pub others: Vec<(Crossover, f64)>,
}

/// One crossover's search.
pub struct Stage<'a> {
    search: &'a Search<'a>,
    corners: [f64; 2],
    arrivals: Arrivals<'a>,
    /// Averaged products of the groups, (frequencies, group, group).
    groups: Vec<[[Complex64; GROUPS]; GROUPS]>,
    /// Price of the parts in R, limits of those in S.
    below: f64,
    above: Vec<f64>,
    /// Strains of A and B through what of their channels does not change.
    strains: [Vec<f64>; 2],
}

/// Both sides through their filters.
struct Pair<'s> {
    filtered: Filtered<'s>,
    below: f64,
    above: Vec<f64>,
}

impl Pair<'_> {
    fn cost(&self, beating: &[f64], crossover: &Crossover) -> f64 {
        let above: f64 = self.above.iter().map(|limit| (limit + crossover.gain_db).max(0.0)).sum();
        self.filtered.unevenness(beating, crossover.factor()) + self.below + OVERLOAD * above
    }
}

impl<'a> Stage<'a> {
    /// The crossover of index `k` among `crossovers`, its corner within `corners` [Hz].
    pub fn new(search: &'a Search<'a>, crossovers: &[Crossover], k: usize, corners: [f64; 2]) -> Self {
        let averages = search.averages;
        let fixed: Vec<Vec<Complex64>> =
            (0..search.strains.len()).map(|part| fixed(&averages.frequencies, crossovers, part, k)).collect();
        let group = |part: usize| match part {
            part if part < k => 0,
            part if part == k => 1,
            part if part == k + 1 => 2,
            _ => 3,
        };
        let at = |f: usize| {
            let mut products = [[Complex64::ZERO; GROUPS]; GROUPS];
            for (i, one) in fixed.iter().enumerate() {
                for (j, other) in fixed.iter().enumerate() {
                    products[group(i)][group(j)] += one[f].conj() * other[f] * averages.product(f, i, j);
                }
            }
            products
        };
        let limits: Vec<f64> =
            search.strains.iter().zip(&fixed).map(|(strain, response)| limit(strain, response)).collect();
        let strained = |part: usize| -> Vec<f64> {
            search.strains[part].iter().zip(&fixed[part]).map(|(strain, r)| strain * r.norm()).collect()
        };
        let groups: Vec<_> = (0..averages.frequencies.len()).map(at).collect();
        Self {
            search,
            corners,
            arrivals: Arrivals::new(
                &averages.frequencies,
                groups.iter().map(|m| m[1][2] / (m[1][1].re * m[2][2].re).sqrt()),
                search.request.expected_delays[k],
            ),
            groups,
            below: price(limits[..k].iter().copied()),
            above: limits[k + 2..].to_vec(),
            strains: [strained(k), strained(k + 1)],
        }
    }

    /// The best crossover of one corner and one shape.
    pub fn best(&self) -> Option<Found> {
        let mut starts = self.grid();
        starts.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut found: Vec<(Crossover, f64)> =
            self.chosen(&starts).into_par_iter().map(|start| self.refined(start)).collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        let &(crossover, cost) = found.first()?;
        let mut others: Vec<(Crossover, f64)> = vec![];
        for &(other, cost) in &found[1..] {
            let known = |one: &Crossover| Shape::of(&one.low) == Shape::of(&other.low);
            if !known(&crossover) && !others.iter().any(|(one, _)| known(one)) {
                others.push((other, cost));
            }
        }
        Some(Found { crossover, cost, others })
    }

    /// The best crossover whose filters may differ, within an octave of the best common one.
    pub fn split(&self, common: &Crossover) -> Option<(Crossover, f64)> {
        let shapes = &self.search.request.shapes;
        let pairs: Vec<(Shape, Shape)> =
            shapes.iter().flat_map(|&low| shapes.iter().map(move |&high| (low, high))).collect();
        let together = self.arrivals.together(common.corner());
        let mut starts: Vec<(Crossover, f64)> =
            pairs.into_par_iter().flat_map_iter(|pair| self.splits(pair, common, together)).collect();
        starts.sort_by(|a, b| a.1.total_cmp(&b.1));
        starts.truncate(REFINED);
        let refined: Vec<(Crossover, f64)> =
            starts.into_par_iter().map(|(start, _)| self.refined_apart(start)).collect();
        refined.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The best gain, delay and polarity of every corner and shape of the grid.
    fn grid(&self) -> Vec<(Crossover, f64)> {
        let [low, high] = self.corners;
        let steps = ((high / low).log2() * CORNERS).ceil().max(1.0) as usize;
        let corner = |i: usize| low * (high / low).powf(i as f64 / steps as f64);
        let start = |i: usize| (corner(i), self.arrivals.together(corner(i)), self.equal_levels(corner(i)));
        let starts: Vec<(f64, f64, f64)> = (0..=steps).into_par_iter().map(start).collect();
        let of_shape = |&shape: &Shape| {
            starts.iter().map(move |&(corner, together, gain_db)| Crossover {
                gain_db,
                ..Crossover::common(shape, corner, together)
            })
        };
        let about: Vec<Crossover> = self.search.request.shapes.iter().flat_map(of_shape).collect();
        about.into_par_iter().filter_map(|about| self.best_of(about, about.delay, (DELAYS, &GAINS))).collect()
    }

    /// The best delay, gain and polarity of every two corners about the common one; with the delay `together` [s] parts arrive together there.
    fn splits(
        &self,
        (low, high): (Shape, Shape),
        common: &Crossover,
        together: f64,
    ) -> Vec<(Crossover, f64)> {
        let [least, most] = self.corners;
        let at = |octaves: f64| (common.corner() * 2f64.powf(octaves)).clamp(least, most);
        let corners = SPLITS.into_iter().flat_map(|a| SPLITS.map(|b| (at(a), at(b))));
        let within = f64::from(SPLIT_DELAYS) / (8.0 * common.corner());
        let apart = (common.delay - together).abs() > within;
        let best = |(l, h)| {
            let about = |delay| Crossover { low: low.at(l), high: high.at(h), delay, ..*common };
            let delays = [Some(common.delay), apart.then_some(together)];
            let tried = delays.into_iter().flatten();
            let tried =
                tried.filter_map(|delay| self.best_of(about(delay), together, (SPLIT_DELAYS, &SPLIT_GAINS)));
            tried.min_by(|a, b| a.1.total_cmp(&b.1))
        };
        corners.filter_map(best).collect()
    }

    /// The best delay, gain and polarity about those of `about`, its filters kept, within half a period of the delay `together` [s].
    fn best_of(
        &self,
        about: Crossover,
        together: f64,
        (delays, gains): (i32, &[f64]),
    ) -> Option<(Crossover, f64)> {
        let pair = self.pair(&about);
        let [least, most] = self.search.request.gain_db;
        let half = 0.5 / about.corner();
        let tried = (-delays..=delays).flat_map(|n| {
            let delay = about.delay + f64::from(n) / (8.0 * about.corner());
            let delay = delay.clamp(together - half, together + half);
            let beating = pair.filtered.beating(delay);
            let of_gain = |gain: &f64| {
                let gain_db = (about.gain_db + gain).clamp(least, most);
                [false, true].map(|reversed| {
                    let crossover = Crossover { delay, gain_db, reversed, ..about };
                    (crossover, pair.cost(&beating, &crossover))
                })
            };
            gains.iter().flat_map(of_gain).collect::<Vec<_>>()
        });
        tried.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Both sides through the filters of a crossover, without its gain and delay.
    fn pair(&self, crossover: &Crossover) -> Pair<'_> {
        let averages = self.search.averages;
        let f = &averages.frequencies;
        let (low, high) = (low_pass(&crossover.low, f), high_pass(&crossover.high, f));
        let mut energies = [vec![0.0; f.len()], vec![0.0; f.len()]];
        let mut cross = vec![Complex64::ZERO; f.len()];
        for (i, m) in self.groups.iter().enumerate() {
            let (l, h) = (low[i], high[i]);
            // Rounding may leave a little less than nothing where sounds cancel.
            energies[0][i] = (m[0][0].re + l.norm_sqr() * m[1][1].re + 2.0 * (l * m[0][1]).re).max(0.0);
            energies[1][i] =
                (m[3][3].re + h.norm_sqr() * m[2][2].re + 2.0 * (h.conj() * m[2][3]).re).max(0.0);
            cross[i] = m[0][3] + h * m[0][2] + l.conj() * (m[1][3] + h * m[1][2]);
        }
        let mut above = self.above.clone();
        above.push(limit(&self.strains[1], &high));
        Pair {
            filtered: Filtered::of(f, &averages.smoother, energies.each_ref(), cross),
            below: self.below + price([limit(&self.strains[0], &low)]),
            above,
        }
    }

    /// Gain of the upper part [dB] that makes it as loud as the lower one within an octave about the corner.
    fn equal_levels(&self, corner: f64) -> f64 {
        let near = |f: &f64| (f / corner).log2().abs() <= 0.5;
        let sum = |group: usize| -> f64 {
            let pairs = self.search.averages.frequencies.iter().zip(&self.groups);
            pairs.filter(|(f, _)| near(f)).map(|(_, m)| m[group][group].re).sum()
        };
        let level = 10.0 * (sum(1) / sum(2)).log10();
        if level.is_finite() { level } else { 0.0 }
    }

    /// The best point of every shape, then the best of the rest.
    fn chosen(&self, sorted: &[(Crossover, f64)]) -> Vec<Crossover> {
        let first_of =
            |shape: &Shape| sorted.iter().find(|(c, _)| Shape::of(&c.low) == *shape).map(|(c, _)| *c);
        let mut chosen: Vec<Crossover> = self.search.request.shapes.iter().filter_map(first_of).collect();
        for (crossover, _) in sorted.iter().take(REFINED) {
            if !chosen.contains(crossover) {
                chosen.push(*crossover);
            }
        }
        chosen
    }

    fn refined(&self, start: Crossover) -> (Crossover, f64) {
        let [corner, delay, gain] = self.bounds(&start);
        let shape = Shape::of(&start.low);
        let at = |&[corner, delay, gain_db]: &[f64; 3]| {
            let filter = shape.at(self.within(corner));
            Crossover { low: filter, high: filter, delay, gain_db, ..start }
        };
        let from = [start.corner().ln(), start.delay, start.gain_db];
        let [log, time, decibels] = steps(&start);
        let mut cost = self.remembering(start);
        let (best, cost) = descend(from, [log, time, decibels], [corner, delay, gain], |v| cost(&at(v)));
        (at(&best), cost)
    }

    /// The same with two corners.
    fn refined_apart(&self, start: Crossover) -> (Crossover, f64) {
        let [corner, delay, gain] = self.bounds(&start);
        let shapes = [Shape::of(&start.low), Shape::of(&start.high)];
        let at = |&[low, high, delay, gain_db]: &[f64; 4]| {
            let [low, high] = [shapes[0].at(self.within(low)), shapes[1].at(self.within(high))];
            Crossover { low, high, delay, gain_db, ..start }
        };
        let from = [start.low.corner.ln(), start.high.corner.ln(), start.delay, start.gain_db];
        let [log, time, decibels] = steps(&start);
        let mut cost = self.remembering(start);
        let steps = [log, log, time, decibels];
        let (best, cost) = descend(from, steps, [corner, corner, delay, gain], |v| cost(&at(v)));
        (at(&best), cost)
    }

    /// Bounds of the logarithm of a corner, of the delay and of the gain.
    fn bounds(&self, start: &Crossover) -> [[f64; 2]; 3] {
        let (together, half) = (self.arrivals.together(start.corner()), 0.5 / start.corner());
        let delays = [together - half, together + half];
        [self.corners.map(f64::ln), delays, self.search.request.gain_db]
    }

    fn within(&self, logarithm: f64) -> f64 {
        logarithm.exp().clamp(self.corners[0], self.corners[1])
    }

    /// The cost of crossovers. Gain and delay are tried more often than filters: what those pass is kept.
    fn remembering(&self, start: Crossover) -> impl FnMut(&Crossover) -> f64 {
        let mut known = (start, self.pair(&start));
        move |crossover| {
            if (crossover.low, crossover.high) != (known.0.low, known.0.high) {
                known = (*crossover, self.pair(crossover));
            }
            known.1.cost(&known.1.filtered.beating(crossover.delay), crossover)
        }
    }
}

/// First steps of a compass search: logarithm of the corner, delay, gain.
fn steps(start: &Crossover) -> [f64; 3] {
    [0.5 / CORNERS * LN_2, 1.0 / (16.0 * start.corner()), 1.5]
}

/// What of a part's channel does not change with the crossover `k`: its other filters, and gains and delays of the other crossovers below it.
fn fixed(frequencies: &[f64], crossovers: &[Crossover], part: usize, k: usize) -> Vec<Complex64> {
    let other = |j: &usize| *j != k;
    let low = Some(part).filter(other).and_then(|j| crossovers.get(j));
    let high = part.checked_sub(1).filter(other).and_then(|j| crossovers.get(j));
    let filters = Filters {
        low_pass: low.map(|crossover| crossover.low),
        high_pass: high.map(|crossover| crossover.high),
        ..Filters::default()
    };
    let chain = Chain::new(&filters);
    let carried = (0..part).filter(other).map(|j| &crossovers[j]);
    let (factor, delay) =
        carried.fold((1.0, 0.0), |(factor, delay), c| (factor * c.factor(), delay + c.delay));
    let late = |f: f64| Complex64::from_polar(1.0, -TAU * f * delay) * factor;
    frequencies.iter().map(|&f| chain.response(f) * late(f)).collect()
}

fn low_pass(filter: &PassFilter, frequencies: &[f64]) -> Vec<Complex64> {
    let chain = Chain::new(&Filters { low_pass: Some(*filter), ..Filters::default() });
    frequencies.iter().map(|&f| chain.response(f)).collect()
}

fn high_pass(filter: &PassFilter, frequencies: &[f64]) -> Vec<Complex64> {
    let chain = Chain::new(&Filters { high_pass: Some(*filter), ..Filters::default() });
    frequencies.iter().map(|&f| chain.response(f)).collect()
}

/// Largest level of a strain through a response [dB].
pub fn limit(strain: &[f64], response: &[Complex64]) -> f64 {
    let strained = strain.iter().zip(response).map(|(s, h)| s * h.norm());
    20.0 * strained.fold(0.0, f64::max).log10()
}
