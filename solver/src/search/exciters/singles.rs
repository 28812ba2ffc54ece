//! One exciter: all places.

use super::feet::Feet;
use super::grid::PlaceGrid;
use super::judge::Judge;
use super::reach::Reach;
use super::scores::{Scores, Weights};
use super::source::Source;
use ndarray::s;
use rayon::prelude::*;

/// Places judged at a time by one thread.
const BLOCK: usize = 64;
/// How far a foot may sit off [m].
pub(crate) const OFF: f64 = 5e-3;

/// Every place with its scores.
#[derive(Clone, Debug)]
pub struct Singles {
    /// One per place.
    pub scores: Vec<Scores>,
    /// Cost of each place [dB]: see [`Weights::cost`].
    pub cost: Vec<f64>,
    /// Places, the best first.
    pub ranking: Vec<usize>,
}

/// Judges one exciter at each of the `feet`, driven by `drive` (one source per frequency). With a grid, neighbours tell how robust each place is.
pub fn singles(
    reach: &Reach,
    (feet, grid): (&Feet, Option<&PlaceGrid>),
    drive: &[Source],
    judge: &Judge,
    weights: &Weights,
) -> Singles {
    let starts: Vec<usize> = (0..feet.len()).step_by(BLOCK).collect();
    let blocks: Vec<Vec<Scores>> = (starts.par_iter())
        .map(|&start| {
            let places = start..(start + BLOCK).min(feet.len());
            let responses = reach.responses(feet, places.clone(), drive);
            judge.scores(&responses, feet.shapes.slice(s![places, ..]))
        })
        .collect();
    let mut scores = blocks.concat();
    if let Some(grid) = grid {
        let worse: Vec<f64> = (0..grid.len()).map(|place| worsening(grid, &scores, place)).collect();
        scores.iter_mut().zip(worse).for_each(|(scores, worse)| scores.robustness = Some(worse));
    }
    let cost: Vec<f64> = scores.iter().map(|scores| weights.cost(scores, judge.top())).collect();
    let mut ranking: Vec<usize> = (0..cost.len()).collect();
    ranking.sort_by(|&a, &b| cost[a].total_cmp(&cost[b]).then(a.cmp(&b)));
    Singles { scores, cost, ranking }
}

/// Largest rise of the unevenness [dB] towards a neighbour, at a distance of [`OFF`].
fn worsening(grid: &PlaceGrid, scores: &[Scores], place: usize) -> f64 {
    let rise =
        |(other, distance): (usize, f64)| (scores[other].evenness - scores[place].evenness) * OFF / distance;
    grid.neighbours(place).map(rise).fold(0.0, f64::max)
}
