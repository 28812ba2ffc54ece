//! Several exciters: the best places for as many.

use super::bench::Bench;
use super::findings::{Arrangement, Count};
use crate::search::exciters::{Feet, Mixture, PlaceGrid, Together, best_pairs, best_triples, one_more};

/// Pairs that all scores are found of.
const PAIRS: usize = 2000;
/// Pairs that a search for three starts from.
const STARTS: usize = 32;
/// Arrangements that are listed.
const LISTED: usize = 200;
/// Arrangements that are told apart, and how far [m] at least one exciter then is from where it was.
const DIFFERENT: usize = 6;
const FAR: f64 = 50e-3;

/// The best places of one exciter from `ranking`, the cheapest first.
pub(super) fn alone(bench: &Bench, grid: &PlaceGrid, ranking: &[usize]) -> Count {
    let sets = ranking.iter().map(|&place| vec![grid.positions[place]]);
    Count { exciters: 1, best: different(bench, sets), list: vec![] }
}

/// The best places of `count` exciters on the `feet` of the grid, at least `apart` [m] from each other; nothing is in it where they do not fit.
pub(super) fn together(bench: &Bench, feet: &Feet, apart: f64, count: usize) -> Count {
    let sets: Vec<Vec<usize>> = found(bench, feet, apart, count).into_iter().map(|set| set.places).collect();
    let scored = bench.scores(feet, &sets);
    let positions = |set: &Vec<usize>| set.iter().map(|&place| feet.positions[place]).collect::<Vec<_>>();
    let mut all: Vec<Arrangement> = (sets.iter().zip(scored))
        .map(|(set, scores)| Arrangement { positions: positions(set), cost: bench.cost(&scores), scores })
        .collect();
    all.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let best = different(bench, all.iter().map(|arrangement| arrangement.positions.clone()));
    all.truncate(LISTED);
    Count { exciters: count, best, list: all }
}

/// Sets that are cheap by evenness and level.
fn found(bench: &Bench, feet: &Feet, apart: f64, count: usize) -> Vec<Together> {
    let weights = [bench.weights.evenness, bench.weights.sensitivity];
    let mixture = Mixture::new(bench.reach, feet, &bench.drive(count), bench.judge, (apart, weights));
    let pairs = best_pairs(&mixture, PAIRS);
    if count == 2 {
        return pairs;
    }
    let triples = best_triples(&mixture, &pairs, STARTS, STARTS);
    (3..count).fold(triples, |sets, _| one_more(&mixture, &sets, STARTS))
}

/// Those of `sets`, the cheapest first, that differ clearly from every better one; all that there is to know of them.
fn different(bench: &Bench, sets: impl Iterator<Item = Vec<[f64; 2]>>) -> Vec<Arrangement> {
    let mut picked: Vec<Vec<[f64; 2]>> = vec![];
    for set in sets {
        if picked.len() < DIFFERENT && picked.iter().all(|other| differ(&set, other)) {
            picked.push(set);
        }
    }
    let mut best = bench.arrangements(picked);
    best.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    best
}

/// True when one of the places has none of the others' near it.
fn differ(set: &[[f64; 2]], other: &[[f64; 2]]) -> bool {
    let near = |p: &[f64; 2], q: &[f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]) < FAR;
    set.iter().any(|p| !other.iter().any(|q| near(p, q)))
}

/// The cost [dB] of every place for one exciter while others stand at `fixed` places; not a number where it comes too near to them.
pub(super) fn beside(bench: &Bench, feet: &Feet, apart: f64, fixed: &[usize]) -> Vec<f64> {
    let clear = |place: &usize| {
        let [x, y] = feet.positions[*place];
        fixed.iter().all(|&other| {
            (feet.positions[other][0] - x).hypot(feet.positions[other][1] - y) >= apart && other != *place
        })
    };
    let free: Vec<usize> = (0..feet.len()).filter(clear).collect();
    let sets: Vec<Vec<usize>> = free.iter().map(|&place| [fixed, &[place]].concat()).collect();
    let mut costs = vec![f64::NAN; feet.len()];
    for (place, scores) in free.into_iter().zip(bench.scores(feet, &sets)) {
        costs[place] = bench.cost(&scores);
    }
    costs
}
