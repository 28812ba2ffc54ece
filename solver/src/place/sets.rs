//! Sets of places by all that counts: every set of places spread over the panel, and exchange over all of them.
//!
//! Nothing is assumed of the scores: some (dips, the low end) are no sum over places or bands, so that no short cut through pairs exists. Exchange moves one
//! exciter after the other to the best of all places that the others leave it, until none gains: what it ends at no single move betters.

use super::bench::Bench;
use crate::search::exciters::{Feet, Scores};

/// Sets of spread places that are scored, at most.
const SPREAD: usize = 2000;
/// What a move has to gain [dB].
const GAIN: f64 = 1e-9;

/// A set with all that is known of it but robustness.
#[derive(Clone, Debug)]
pub(super) struct Scored {
    /// Indices of the places, ascending.
    pub places: Vec<usize>,
    pub scores: Scores,
    pub cost: f64,
}

/// Places that several exciters may share, centres at least `apart` [m] from each other.
pub(super) struct Sets<'a> {
    pub bench: &'a Bench<'a>,
    pub feet: &'a Feet,
    pub apart: f64,
}

impl Sets<'_> {
    /// Scores of `sets`, all of as many places; the order stays.
    pub fn scored(&self, sets: Vec<Vec<usize>>) -> Vec<Scored> {
        let scores = self.bench.scores(self.feet, &sets);
        let with = |(places, scores): (Vec<usize>, Scores)| Scored {
            places,
            scores,
            cost: self.bench.cost(&scores),
        };
        sets.into_iter().zip(scores).map(with).collect()
    }

    /// True when exciters may stand at both places.
    fn clear(&self, a: usize, b: usize) -> bool {
        let [p, q] = [a, b].map(|place| self.feet.positions[place]);
        a != b && (p[0] - q[0]).hypot(p[1] - q[1]) >= self.apart
    }

    /// Every set of `count` of the `places`, which ascend.
    pub fn every(&self, places: &[usize], count: usize) -> Vec<Vec<usize>> {
        let longer = |set: &Vec<usize>| {
            let after = places.partition_point(|place| set.last().is_some_and(|last| place <= last));
            let free =
                places[after..].iter().filter(|&&place| set.iter().all(|&other| self.clear(other, place)));
            free.map(|&place| [&set[..], &[place]].concat()).collect::<Vec<_>>()
        };
        (0..count).fold(vec![vec![]], |sets: Vec<Vec<usize>>, _| sets.iter().flat_map(longer).collect())
    }

    /// Every set of `count` of as many places, evenly spread, as make no more than [`SPREAD`] sets: of all places where there are so few.
    pub fn spread(&self, count: usize) -> Vec<Vec<usize>> {
        let most = (count..=self.feet.len()).take_while(|&places| choices(places, count) <= SPREAD).last();
        self.every(&evenly(&self.feet.positions, most.unwrap_or(0)), count)
    }

    /// Every free place beside `fixed` ones.
    pub fn beside(&self, fixed: &[usize]) -> Vec<usize> {
        (0..self.feet.len()).filter(|&place| fixed.iter().all(|&other| self.clear(other, place))).collect()
    }

    /// What exchange goes through from `start`, the best last; nothing where nothing is gained.
    pub fn exchanged(&self, start: &Scored) -> Vec<Scored> {
        let mut way: Vec<Scored> = vec![];
        let (mut best, mut unmoved) = (start.clone(), 0);
        while unmoved < best.places.len() {
            let moved = self.with_one_moved(&best, unmoved);
            match moved.filter(|moved| moved.cost < best.cost - GAIN) {
                Some(moved) => {
                    way.push(moved.clone());
                    (best, unmoved) = (moved, 0);
                }
                None => unmoved += 1,
            }
        }
        way
    }

    /// `set` with the exciter of this number at its best place.
    fn with_one_moved(&self, set: &Scored, number: usize) -> Option<Scored> {
        let mut others = set.places.clone();
        others.remove(number);
        let with = |place: usize| {
            let at = others.partition_point(|&other| other < place);
            [&others[..at], &[place], &others[at..]].concat()
        };
        let sets = self.beside(&others).into_iter().map(with).collect();
        self.scored(sets).into_iter().min_by(|a, b| a.cost.total_cmp(&b.cost))
    }
}

/// How many sets of `count` there are of so many places.
fn choices(places: usize, count: usize) -> usize {
    (0..count).fold(1, |sets: usize, k| sets.saturating_mul(places - k) / (k + 1))
}

/// Indices, ascending, of so many of the `positions`, each as far as can be from those before it; the first is the first of all.
fn evenly(positions: &[[f64; 2]], count: usize) -> Vec<usize> {
    let mut nearest = vec![f64::INFINITY; positions.len()];
    let mut picked = vec![];
    while picked.len() < count {
        let farthest =
            (0..positions.len()).max_by(|&a, &b| nearest[a].total_cmp(&nearest[b]).then(b.cmp(&a)));
        let Some(next) = farthest else { break };
        picked.push(next);
        let [x, y] = positions[next];
        nearest.iter_mut().zip(positions).for_each(|(d, p)| *d = d.min((p[0] - x).hypot(p[1] - y)));
    }
    picked.sort_unstable();
    picked.dedup();
    picked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_are_counted_as_in_the_books() {
        assert_eq!([choices(63, 2), choices(22, 3), choices(5, 5), choices(4, 1)], [1953, 1540, 1, 4]);
    }

    #[test]
    fn spread_places_are_near_everything_and_far_from_each_other() {
        let grid: Vec<[f64; 2]> =
            (0..20).flat_map(|i| (0..10).map(move |j| [f64::from(i), f64::from(j)])).collect();
        let picked = evenly(&grid, 12);
        assert_eq!(picked.len(), 12);
        let apart = |a: usize, b: usize| (grid[a][0] - grid[b][0]).hypot(grid[a][1] - grid[b][1]);
        let to_nearest = |a: usize| picked.iter().map(|&b| apart(a, b)).fold(f64::INFINITY, f64::min);
        let others = |a: usize| picked.iter().filter(move |&&b| b != a).map(move |&b| apart(a, b));
        let least = picked.iter().flat_map(|&a| others(a)).fold(f64::INFINITY, f64::min);
        let most = (0..grid.len()).map(to_nearest).fold(0.0, f64::max);
        assert!(least >= 3.5 && most <= 4.0, "{least} {most}");
    }
}
