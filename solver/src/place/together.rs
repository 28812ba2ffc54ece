//! Several exciters: the best places for as many.

use super::bench::Bench;
use super::findings::{Arrangement, Count};
use super::sets::{Scored, Sets};
use crate::search::exciters::{Feet, Mixture, PlaceGrid, best_pairs, best_triples, one_more};

/// Pairs, cheap by evenness and level, that all scores are found of.
const PAIRS: usize = 2000;
/// Pairs that a search for three starts from.
const STARTS: usize = 32;
/// Sets, clearly different, that exchange by all scores starts from.
const EXCHANGED: usize = 6;
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
    let sets = Sets { bench, feet, apart };
    let position = |&place: &usize| feet.positions[place];
    let arrangement = |set: Scored| Arrangement {
        positions: set.places.iter().map(position).collect(),
        scores: set.scores,
        cost: set.cost,
    };
    let mut all: Vec<Arrangement> = found(&sets, count).into_iter().map(arrangement).collect();
    let best = different(bench, all.iter().map(|arrangement| arrangement.positions.clone()));
    all.truncate(LISTED);
    Count { exciters: count, best, list: all }
}

/// Sets with all their scores, the cheapest first: those that are cheap by evenness and level, every set of places spread over the panel, and what exchange makes
/// of the best.
fn found(sets: &Sets, count: usize) -> Vec<Scored> {
    let candidates = [by_evenness(sets, count), sets.spread(count)].concat();
    let mut all = sets.scored(candidates);
    sort(&mut all);
    let exchanged: Vec<Scored> =
        starts(sets, &all).into_iter().flat_map(|start| sets.exchanged(start)).collect();
    all.extend(exchanged);
    sort(&mut all);
    all
}

/// The cheapest first, each once.
fn sort(all: &mut Vec<Scored>) {
    all.sort_by(|a, b| a.cost.total_cmp(&b.cost).then_with(|| a.places.cmp(&b.places)));
    all.dedup_by(|a, b| a.places == b.places);
}

/// The cheapest of sorted sets that differ clearly: exchange starts there.
fn starts<'s>(sets: &Sets, sorted: &'s [Scored]) -> Vec<&'s Scored> {
    let positions =
        |set: &Scored| -> Vec<[f64; 2]> { set.places.iter().map(|&p| sets.feet.positions[p]).collect() };
    let mut picked: Vec<&Scored> = vec![];
    for set in sorted {
        if picked.len() == EXCHANGED {
            break;
        }
        if picked.iter().all(|other| differ(&positions(set), &positions(other))) {
            picked.push(set);
        }
    }
    picked
}

/// Sets that are cheap by evenness and level; none when neither counts.
fn by_evenness(sets: &Sets, count: usize) -> Vec<Vec<usize>> {
    let Sets { bench, feet, apart } = *sets;
    let weights = [bench.weights.evenness, bench.weights.sensitivity];
    if weights == [0.0; 2] {
        return vec![];
    }
    let mixture = Mixture::new(bench.reach, feet, &bench.drive(count), bench.judge, (apart, weights));
    let pairs = best_pairs(&mixture, PAIRS);
    let together = match count {
        2 => pairs,
        _ => {
            let triples = best_triples(&mixture, &pairs, STARTS, STARTS);
            (3..count).fold(triples, |sets, _| one_more(&mixture, &sets, STARTS))
        }
    };
    together.into_iter().map(|set| set.places).collect()
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
pub(super) fn beside(sets: &Sets, fixed: &[usize]) -> Vec<f64> {
    let free = sets.beside(fixed);
    let with: Vec<Vec<usize>> = free.iter().map(|&place| [fixed, &[place]].concat()).collect();
    let mut costs = vec![f64::NAN; sets.feet.len()];
    free.into_iter().zip(sets.scored(with)).for_each(|(place, set)| costs[place] = set.cost);
    costs
}
