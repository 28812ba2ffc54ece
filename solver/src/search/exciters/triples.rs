//! Three exciters: the best third for many good pairs, then exchange.
//!
//! Starting from a pair with its best third, one of the three in turn goes to the best place that the other two leave it, over all places, until
//! none gains by moving. What is found is the best that moving a single exciter can reach from any of the starts; the tests measure how often it is the best of all.

use super::mixture::{Fixed, Mixture};
use super::pairs::{Together, shorten};
use rayon::prelude::*;

/// The `keep` best triples found from `starts` of the best `pairs` of the same `mixture`, the best first. It is one of exciters that are driven
/// three at a time; the more pairs there are to pick from, the more unlike the starts.
pub fn best_triples(mixture: &Mixture, pairs: &[Together], starts: usize, keep: usize) -> Vec<Together> {
    one_more(mixture, &spread(mixture, pairs, starts), keep)
}

/// Each of `sets` with the exciter that goes best with it, then exchanged: the `keep` best, the best first. The mixture is one of exciters that are
/// driven as many at a time as the new sets have.
pub fn one_more(mixture: &Mixture, sets: &[Together], keep: usize) -> Vec<Together> {
    let grown = |set: &Together| exchanged(mixture, with_best(mixture, &set.places)?);
    let mut found: Vec<Together> = sets.par_iter().filter_map(grown).collect();
    shorten(&mut found, keep);
    found
}

/// Best pairs no two of which are neighbours of each other: near ones lead to the same triple.
fn spread(mixture: &Mixture, pairs: &[Together], count: usize) -> Vec<Together> {
    let mut picked: Vec<Together> = vec![];
    for pair in pairs {
        let near =
            |other: &Together| pair.places.iter().zip(&other.places).all(|(&a, &b)| !mixture.clear(a, b));
        if picked.len() < count && !picked.iter().any(near) {
            picked.push(pair.clone());
        }
    }
    picked
}

/// Moves one exciter after the other until none gains.
fn exchanged(mixture: &Mixture, start: Together) -> Option<Together> {
    let mut best = start;
    let mut unmoved = 0;
    while unmoved < best.places.len() {
        let others: Vec<usize> =
            best.places.iter().copied().enumerate().filter(|(k, _)| *k != unmoved).map(|(_, p)| p).collect();
        let moved = with_best(mixture, &others)?;
        if moved.cost < best.cost && moved.places != best.places {
            (best, unmoved) = (moved, 0);
        } else {
            unmoved += 1;
        }
    }
    Some(best)
}

/// `others` and the place that goes best with them.
fn with_best(mixture: &Mixture, others: &[usize]) -> Option<Together> {
    let (values, energies) = mixture.sum(others);
    let fixed = Fixed { values: &values, energies: &energies };
    let mut best: Option<(usize, f32)> = None;
    for tile in mixture.tiles() {
        let costs = mixture.cost(tile, fixed);
        for (place, &cost) in (tile.first..mixture.len()).zip(&costs) {
            let free = || others.iter().all(|&other| mixture.clear(other, place));
            if best.is_none_or(|(_, least)| cost < least) && free() {
                best = Some((place, cost));
            }
        }
    }
    let (place, cost) = best?;
    let mut places = [others, &[place]].concat();
    places.sort_unstable();
    Some(Together { places, cost })
}
