//! The bench on which arrangements are judged.

use super::findings::Arrangement;
use super::group::Group;
use crate::plate::Modes;
use crate::scene::Scene;
use crate::search::exciters::{Allowed, Feet, Judge, OFF, Reach, Scores, Source, Weights, fits, sources};
use ndarray::Array2;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Arrangements judged at a time by one thread.
const BLOCK: usize = 64;
/// Directions in which a foot may sit off.
const DIRECTIONS: usize = 8;

/// Panel, air, seats and yardstick.
pub(super) struct Bench<'a> {
    /// The scene at the frequencies that are judged.
    pub scene: &'a Scene,
    pub modes: &'a Modes,
    pub reach: &'a Reach,
    pub judge: &'a Judge,
    pub group: &'a Group<'a>,
    pub weights: Weights,
    pub allowed: &'a Allowed,
}

/// Feet, and sets of them: a set as it is, then with one foot at a time a little off.
struct Varied {
    feet: Vec<[f64; 2]>,
    sets: Vec<Vec<usize>>,
}

impl Bench<'_> {
    /// What each of `count` exciters is to the panel, one source per frequency.
    pub fn drive(&self, count: usize) -> Vec<Source> {
        sources(self.group.model(), self.group.channel, count, &self.scene.frequencies)
    }

    /// Shapes and static give under feet at `positions` [m].
    pub fn feet(&self, positions: &[[f64; 2]]) -> Feet {
        Feet::at(self.modes, self.group.model().foot_diameter, positions)
    }

    /// True when a foot may stand at `position` [m], however near to what is beside it.
    pub fn free(&self, position: [f64; 2]) -> bool {
        let radius = 0.5 * self.group.model().foot_diameter;
        fits(self.scene, position, radius) && self.allowed.has(position, radius, radius)
    }

    /// Cost [dB] of scores.
    pub fn cost(&self, scores: &Scores) -> f64 {
        self.weights.cost(scores, self.judge.top())
    }

    /// Scores of `sets` of `feet`, each driven together and all of as many; robustness is not known.
    pub fn scores(&self, feet: &Feet, sets: &[Vec<usize>]) -> Vec<Scores> {
        let drive = self.drive(sets.first().map_or(1, Vec::len));
        let blocks: Vec<Vec<Scores>> =
            sets.par_chunks(BLOCK).map(|some| self.block(feet, some, &drive)).collect();
        blocks.concat()
    }

    fn block(&self, feet: &Feet, sets: &[Vec<usize>], drive: &[Source]) -> Vec<Scores> {
        let mut shapes = Array2::zeros((sets.len(), feet.shapes.ncols()));
        for (mut shape, set) in shapes.outer_iter_mut().zip(sets) {
            set.iter().for_each(|&place| shape += &feet.shapes.row(place));
        }
        self.judge.scores(&self.reach.together(feet, sets, drive), shapes.view())
    }

    /// Arrangements of exciters at `sets` of positions [m], all of as many, robustness included.
    pub fn arrangements(&self, sets: Vec<Vec<[f64; 2]>>) -> Vec<Arrangement> {
        let varied: Vec<Varied> = sets.iter().map(|set| self.varied(set)).collect();
        let all: Vec<[f64; 2]> = varied.iter().flat_map(|v| v.feet.iter().copied()).collect();
        let mut first = 0;
        let mut of_all = vec![];
        for Varied { feet, sets } in &varied {
            of_all.extend(sets.iter().map(|set| set.iter().map(|foot| first + foot).collect::<Vec<_>>()));
            first += feet.len();
        }
        let scores = self.scores(&self.feet(&all), &of_all);
        let mut rest = scores.as_slice();
        let counted = sets.into_iter().zip(&varied).map(|(positions, varied)| {
            let (own, after) = rest.split_at(varied.sets.len());
            rest = after;
            self.arrangement(positions, own)
        });
        counted.collect()
    }

    /// One arrangement from its own scores and those of its variations.
    fn arrangement(&self, positions: Vec<[f64; 2]>, scores: &[Scores]) -> Arrangement {
        let worst = scores[1..].iter().map(|off| off.evenness - scores[0].evenness).fold(0.0, f64::max);
        let scores = Scores { robustness: Some(worst), ..scores[0] };
        Arrangement { positions, cost: self.cost(&scores), scores }
    }

    fn varied(&self, set: &[[f64; 2]]) -> Varied {
        let own: Vec<usize> = (0..set.len()).collect();
        let (mut feet, mut sets) = (set.to_vec(), vec![own.clone()]);
        let radius = 0.5 * self.group.model().foot_diameter;
        for (moved, &centre) in set.iter().enumerate() {
            for position in around(centre).filter(|&position| fits(self.scene, position, radius)) {
                let mut other = own.clone();
                other[moved] = feet.len();
                feet.push(position);
                sets.push(other);
            }
        }
        Varied { feet, sets }
    }
}

/// Places a little off.
fn around([x, y]: [f64; 2]) -> impl Iterator<Item = [f64; 2]> {
    (0..DIRECTIONS).map(move |k| {
        let (sin, cos) = (TAU * k as f64 / DIRECTIONS as f64).sin_cos();
        [x + OFF * cos, y + OFF * sin]
    })
}
