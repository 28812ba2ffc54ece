//! Mode shapes under feet.

use crate::plate::{Footprint, Modes};
use ndarray::{Array2, Axis};
use rayon::prelude::*;
use std::collections::HashMap;

/// Feet that one thread looks at together.
const GROUP: usize = 128;
/// Distance [m] below which places are the same.
const SAME: f64 = 1e-9;

/// Feet of one diameter at many places, one force at a time.
#[derive(Clone, Debug)]
pub struct Feet {
    /// Centres [m].
    pub positions: Vec<[f64; 2]>,
    /// Mass-normalised shapes averaged over each foot (places, modes), kg^−½.
    pub shapes: Array2<f64>,
    /// Static flexibility of the modes left out under each foot [m/N].
    pub residual: Vec<f64>,
}

impl Feet {
    /// Rings of the given diameter [m] about `positions` [m].
    pub fn at(modes: &Modes, diameter: f64, positions: &[[f64; 2]]) -> Self {
        let rings = |some: &[[f64; 2]]| -> Vec<Footprint> {
            some.iter().map(|&centre| Footprint::ring(centre, diameter)).collect()
        };
        let groups: Vec<_> = positions.par_chunks(GROUP).map(|some| modes.averaged(&rings(some))).collect();
        let mut shapes = Array2::zeros((positions.len(), modes.len()));
        for (some, mut part) in groups.iter().zip(shapes.axis_chunks_iter_mut(Axis(0), GROUP)) {
            part.assign(some);
        }
        let (distinct, which) = distinct(modes, positions);
        let residual: Vec<f64> = distinct
            .par_chunks(GROUP)
            .flat_map_iter(|some| modes.own_residual_flexibility(&rings(some)))
            .collect();
        let residual = which.into_iter().map(|place| residual[place]).collect();
        Self { positions: positions.to_vec(), shapes, residual }
    }

    /// Those at some of the places, in the given order.
    pub fn select(&self, places: &[usize]) -> Self {
        Self {
            positions: places.iter().map(|&place| self.positions[place]).collect(),
            shapes: self.shapes.select(Axis(0), places),
            residual: places.iter().map(|&place| self.residual[place]).collect(),
        }
    }

    /// Number of places.
    pub fn len(&self) -> usize {
        self.positions.len()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty()
    }
}

/// Positions of which no two are mirror images of each other on a panel that is its own, and which of them stands for each: the panel gives way
/// alike under both.
fn distinct(modes: &Modes, positions: &[[f64; 2]]) -> (Vec<[f64; 2]>, Vec<usize>) {
    let [across, up] = modes.mirrors();
    let folded = |along: f64, middle: Option<f64>| {
        let nearer = middle.map_or(along, |middle| along.min(2.0 * middle - along));
        (nearer / SAME).round() as i64
    };
    let mut seen = HashMap::new();
    let mut distinct = vec![];
    let place = |&[x, y]: &[f64; 2]| {
        *seen.entry([folded(x, across), folded(y, up)]).or_insert_with(|| {
            distinct.push([x, y]);
            distinct.len() - 1
        })
    };
    let which = positions.iter().map(place).collect();
    (distinct, which)
}
