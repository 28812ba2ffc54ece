//! Two exciters: every pair of places.

use super::mixture::{Fixed, LANES, Mixture, ROWS, Tile};
use rayon::prelude::*;

/// Places of exciters that play together.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// Indices of the places, ascending.
    pub places: Vec<usize>,
    /// Cost [dB]: unevenness less what level is worth; differences count.
    pub cost: f32,
}

/// The `keep` best of all pairs, the best first: nothing is left out.
pub fn best_pairs(mixture: &Mixture, keep: usize) -> Vec<Together> {
    let lists: Vec<Vec<Together>> =
        mixture.tiles().par_iter().map(|tile| of_tile(mixture, tile, keep)).collect();
    let mut all = lists.concat();
    shorten(&mut all, keep);
    all
}

/// The best pairs with one place in `tile` and the other before it.
fn of_tile(mixture: &Mixture, tile: &Tile, keep: usize) -> Vec<Together> {
    let mut best = Shortlist { keep, pairs: vec![], worst: f32::INFINITY };
    let end = (tile.first + LANES).min(mixture.len());
    for first in (0..end).step_by(ROWS) {
        // Beyond the end the last one comes again, and is not counted.
        let fixed: [Fixed; ROWS] = std::array::from_fn(|row| mixture.fixed((first + row).min(end - 1)));
        let costs = mixture.costs(tile, &fixed);
        for (partner, costs) in (first..end).zip(costs) {
            for (place, &cost) in (tile.first..end).zip(&costs).skip((partner + 1).saturating_sub(tile.first))
            {
                if cost < best.worst && mixture.clear(partner, place) {
                    best.add(Together { places: vec![partner, place], cost });
                }
            }
        }
    }
    best.pairs
}

/// The best so far.
struct Shortlist {
    keep: usize,
    pairs: Vec<Together>,
    /// What a pair has to stay below to be among them.
    worst: f32,
}

impl Shortlist {
    fn add(&mut self, pair: Together) {
        self.pairs.push(pair);
        if self.pairs.len() >= 2 * self.keep.max(1) {
            shorten(&mut self.pairs, self.keep);
            self.worst = self.pairs.last().map_or(f32::INFINITY, |pair| pair.cost);
        }
    }
}

/// Sorts by cost, then by places, and keeps the first.
pub(super) fn shorten(list: &mut Vec<Together>, keep: usize) {
    list.sort_by(|a, b| a.cost.total_cmp(&b.cost).then_with(|| a.places.cmp(&b.places)));
    list.dedup_by(|a, b| a.places == b.places);
    list.truncate(keep);
}
