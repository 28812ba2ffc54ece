//! Mode shapes under feet.

use crate::plate::{Footprint, Modes};
use ndarray::{Array2, Axis};
use rayon::prelude::*;

/// Feet that one thread looks at together.
const GROUP: usize = 128;

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
        let prints: Vec<Footprint> =
            positions.iter().map(|&centre| Footprint::ring(centre, diameter)).collect();
        let groups: Vec<_> =
            prints.par_chunks(GROUP).map(|some| modes.averaged_with_residual(some)).collect();
        let mut shapes = Array2::zeros((positions.len(), modes.len()));
        for ((some, _), mut part) in groups.iter().zip(shapes.axis_chunks_iter_mut(Axis(0), GROUP)) {
            part.assign(some);
        }
        let residual = groups.into_iter().flat_map(|(_, residual)| residual).collect();
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
