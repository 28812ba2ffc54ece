//! Mode shapes under feet.

use crate::plate::{Footprint, Modes};
use ndarray::{Array2, Axis, s};
use rayon::prelude::*;

/// Feet whose own flexibility is found together: few, as only the diagonal of a matrix over them is wanted.
const GROUP: usize = 8;

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
        let own = |group: &[Footprint]| modes.residual_flexibility(group).diag().to_vec();
        let shapes: Vec<Array2<f64>> =
            prints.par_chunks(16 * GROUP).map(|some| modes.averaged(some)).collect();
        let mut all = Array2::zeros((positions.len(), modes.len()));
        for (index, some) in shapes.into_iter().enumerate() {
            let first = 16 * GROUP * index;
            all.slice_mut(s![first..first + some.nrows(), ..]).assign(&some);
        }
        let residual: Vec<Vec<f64>> = prints.par_chunks(GROUP).map(own).collect();
        Self { positions: positions.to_vec(), shapes: all, residual: residual.concat() }
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
