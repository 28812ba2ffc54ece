//! Where to cross over from part to part, and how: the flattest averaged sound within the ratings.
//!
//! ```text
//! parts, low to high ─▶ one crossover after the other: Stage ─▶ sweeps until nothing is gained ─▶ filters apart ─▶ Advice
//! ```
//!
//! Parts play in a fixed order from low to high, and a [`Crossover`] stands between neighbours. Each is searched over everything that may be
//! chosen while the others stay as they are: its delay, gain and polarity move all parts above it together. With two parts that is the whole
//! search; with more, sweeps from the lowest to the highest crossover are repeated from several starts, and no step is ever kept that costs
//! more than before. A last step lets the two filters of a crossover differ where that gains more than a stated amount: simple is better.

mod network;
mod stage;

pub use network::{Crossover, Feed, Shape, feeds};

use super::averages::Averages;
use crate::coupling::blend::Part;
use num_complex::Complex64;
use serde::Serialize;
use stage::{Found, Stage};

/// What a decibel above a rating costs [dB of unevenness].
const OVERLOAD: f64 = 10.0;
/// Sweeps over all crossovers.
const SWEEPS: usize = 4;
/// A sweep that gains less ends them [dB].
const LITTLE: f64 = 0.01;
/// Low-pass and high-pass differ in corner or shape only when that gains more [dB].
pub const WORTH_SPLITTING: f64 = 0.3;
/// Neighbouring corners keep this ratio.
const APART: f64 = std::f64::consts::SQRT_2;

/// What may be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// Lowest and highest corner [Hz].
    pub corners: [f64; 2],
    /// For every part but the first: its delay against the part before it that makes up for their ways to the seats [s]. How much later a part
    /// itself answers is found from its sound.
    pub expected_delays: Vec<f64>,
    /// Bounds of the gain [dB] of a part against the part before it.
    pub gain_db: [f64; 2],
    /// Shapes.
    pub shapes: Vec<Shape>,
    /// Corners [Hz] to start from where there are several, besides evenly spread ones.
    pub starts: Vec<Vec<f64>>,
}

/// The best crossovers found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// Between neighbours, low to high.
    pub crossovers: Vec<Crossover>,
    /// Unevenness with them [dB].
    pub unevenness: f64,
    /// Unevenness and the price of what exceeds ratings [dB].
    pub cost: f64,
    /// How far every part, low to high, is from its ratings: the largest level of its strain through its channel [dB], above 0 beyond a rating;
    /// −∞ without one.
    pub limits: Vec<f64>,
    /// For every crossover the best of every other shape, most even first, the other crossovers left as they are.
    pub others: Vec<Vec<(Crossover, f64)>>,
    /// Cost [dB] of the best crossovers with one corner and one shape each, where filters that differ gained enough over them.
    pub common: Option<f64>,
}

impl Advice {
    /// The channels of all parts, low to high.
    pub fn feeds(&self) -> Vec<Feed> {
        feeds(&self.crossovers)
    }
}

/// The most even crossovers within the ratings of `parts`, low to high, at least two; `None` without a corner or a shape to choose.
pub fn advise(averages: &Averages, parts: &[&Part], request: &Request) -> Option<Advice> {
    let strains: Vec<&[f64]> = parts.iter().map(|part| part.strain.as_slice()).collect();
    let search = Search { averages, strains: &strains, request };
    let starts = search.starts()?;
    let swept = starts.into_iter().filter_map(|start| search.swept(start));
    let common = swept.min_by(|a, b| a.cost.total_cmp(&b.cost))?;
    let split = search.split(&common);
    let gained = split.as_ref().is_some_and(|split| split.cost < common.cost - WORTH_SPLITTING);
    let before = gained.then_some(common.cost);
    let State { crossovers, cost, others } = if gained { split? } else { common };
    let responses = responses(averages, &feeds(&crossovers));
    Some(Advice {
        unevenness: averages.unevenness(&responses),
        cost,
        limits: limits(&strains, &responses),
        others,
        common: before,
        crossovers,
    })
}

/// What channels cost [dB]: unevenness, and a price for every decibel above a rating. `responses` are (parts, frequencies).
pub fn cost(averages: &Averages, parts: &[&Part], responses: &[Vec<Complex64>]) -> f64 {
    let strains: Vec<&[f64]> = parts.iter().map(|part| part.strain.as_slice()).collect();
    averages.unevenness(responses) + price(limits(&strains, responses))
}

fn price(limits: impl IntoIterator<Item = f64>) -> f64 {
    OVERLOAD * limits.into_iter().map(|limit| limit.max(0.0)).sum::<f64>()
}

fn responses(averages: &Averages, feeds: &[Feed]) -> Vec<Vec<Complex64>> {
    let one = |feed: &Feed| {
        let chain = feed.chain();
        averages.frequencies.iter().map(|&f| chain.response(f)).collect()
    };
    feeds.iter().map(one).collect()
}

fn limits(strains: &[&[f64]], responses: &[Vec<Complex64>]) -> Vec<f64> {
    strains.iter().zip(responses).map(|(strain, response)| stage::limit(strain, response)).collect()
}

/// Parts with what they are judged by.
struct Search<'a> {
    averages: &'a Averages,
    strains: &'a [&'a [f64]],
    request: &'a Request,
}

/// All crossovers at one time.
#[derive(Clone)]
struct State {
    crossovers: Vec<Crossover>,
    cost: f64,
    others: Vec<Vec<(Crossover, f64)>>,
}

impl Search<'_> {
    /// Crossovers to start from; none without anything to choose.
    fn starts(&self) -> Option<Vec<Vec<Crossover>>> {
        let [low, high] = self.request.corners;
        let count = self.strains.len().checked_sub(1).filter(|count| *count > 0)?;
        let shape = *self.request.shapes.first().filter(|_| low > 0.0 && high >= low && high.is_finite())?;
        let even = (1..=count).map(|k| low * (high / low).powf(k as f64 / (count + 1) as f64)).collect();
        // The only crossover is looked for everywhere: where it starts does not matter.
        let given = self.request.starts.iter().filter(|start| count > 1 && start.len() == count).cloned();
        let of = |corners: Vec<f64>| {
            let pairs = corners.iter().zip(&self.request.expected_delays);
            pairs.map(|(corner, delay)| Crossover::common(shape, corner.clamp(low, high), *delay)).collect()
        };
        Some(std::iter::once(even).chain(given).map(of).collect())
    }

    /// One crossover after the other, until a sweep gains little.
    fn swept(&self, start: Vec<Crossover>) -> Option<State> {
        let count = start.len();
        let mut state = State { crossovers: start, cost: f64::INFINITY, others: vec![vec![]; count] };
        for _ in 0..SWEEPS {
            let before = state.cost;
            for k in 0..count {
                let Some(found) = self.stage(&state.crossovers, k).and_then(|stage| stage.best()) else {
                    continue;
                };
                state.take(k, found);
            }
            if count == 1 || before - state.cost < LITTLE {
                break;
            }
        }
        state.cost.is_finite().then_some(state)
    }

    /// The same with filters that differ, one crossover after the other.
    fn split(&self, common: &State) -> Option<State> {
        let mut state = common.clone();
        for k in 0..state.crossovers.len() {
            let found = self.stage(&state.crossovers, k)?.split(&state.crossovers[k])?;
            // Each must be worth it by itself.
            if found.1 < state.cost - WORTH_SPLITTING {
                (state.crossovers[k], state.cost) = found;
            }
        }
        Some(state)
    }

    /// The crossover `k` with the others as they are; nothing where they leave it no corner.
    fn stage(&self, crossovers: &[Crossover], k: usize) -> Option<Stage<'_>> {
        let [low, high] = self.request.corners;
        let below = k.checked_sub(1).map_or(low, |k| low.max(crossovers[k].corner() * APART));
        let above = crossovers.get(k + 1).map_or(high, |next| high.min(next.corner() / APART));
        (below <= above).then(|| Stage::new(self, crossovers, k, [below, above]))
    }
}

impl State {
    /// What was found for the crossover `k`, unless it costs more than what is there.
    fn take(&mut self, k: usize, found: Found) {
        if found.cost <= self.cost || !self.cost.is_finite() {
            (self.crossovers[k], self.cost) = (found.crossover, found.cost);
            self.others[k] = found.others;
        }
    }
}

#[cfg(test)]
#[path = "crossover_tests.rs"]
mod tests;
