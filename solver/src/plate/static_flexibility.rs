//! The plate's static flexibility without its rigid-body motion.

use super::product_basis::{Plan, WaveCurve};
use super::shapes::{Directions, Probes};
use super::{Accuracy, Footprint};
use crate::linalg::{cholesky, solve_lower};
use crate::scene::Panel;
use ndarray::Array2;
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};

/// Factorised stiffness over a wider range of wavenumbers than the modes need.
#[derive(Debug)]
pub(super) struct StaticFlexibility {
    x: Directions,
    y: Directions,
    blocks: Vec<StaticBlock>,
    /// Flexibility [m/N] of an interior point beyond the range, of the infinite plate.
    beyond: f64,
}

#[derive(Debug)]
struct StaticBlock {
    /// Columns of (all x functions, all y functions) of each product.
    cells: Vec<(usize, usize)>,
    /// Lower Cholesky factor of stiffness over surface mass.
    factor: Array2<f64>,
}

/// Largest block that is worth factorising for the static correction.
const LARGEST_BLOCK: usize = 2500;

impl StaticFlexibility {
    /// Covers frequencies up to at most six times `up_to` [Hz], fewer for large plates.
    pub fn new(panel: &Panel, up_to: f64) -> Self {
        let reach = [6.0, 4.0, 2.5, 1.6].into_iter().find(|reach| {
            Plan::new(panel, TAU * up_to * reach, Accuracy::PREDICTION).largest_block() <= LARGEST_BLOCK
        });
        let omega = TAU * up_to * reach.unwrap_or(1.0);
        let plan = Plan::new(panel, omega, Accuracy::PREDICTION);
        let (x, y) =
            plan.lines().expect("line functions are independent: the modes were built from the same kind");
        let factors: Vec<Array2<f64>> = (plan.blocks.par_iter())
            .map(|block| {
                let mut factor = block.stiffness(&x[block.x_class].1, &y[block.y_class].1, &panel.section);
                cholesky(&mut factor).expect("without rigid motion the stiffness is positive definite");
                factor
            })
            .collect();
        let x = Directions::new(x.into_iter().map(|line| line.0).collect());
        let y = Directions::new(y.into_iter().map(|line| line.0).collect());
        let blocks = (plan.blocks.iter().zip(factors))
            .map(|(block, factor)| {
                let (x0, y0) = (x.offset(block.x_class), y.offset(block.y_class));
                let cells = block.bending().iter().map(|&(i, j)| (x0 + i, y0 + j)).collect();
                StaticBlock { cells, factor }
            })
            .collect();
        Self { x, y, blocks, beyond: flexibility_beyond(panel, omega) }
    }

    /// Flexibility [m/N] between footprints: (footprints, footprints).
    pub fn between(&self, footprints: &[Footprint], surface_mass: f64) -> Array2<f64> {
        let probes = Probes::new(&self.x, &self.y, footprints);
        let mut flexibility = shared_points(footprints) * self.beyond;
        for block in &self.blocks {
            let mut rows = probes.rows(block.cells.iter().copied(), block.cells.len());
            solve_lower(&block.factor, &mut rows).expect("a Cholesky factor has no zero on its diagonal");
            flexibility = flexibility + rows.dot(&rows.t()) / surface_mass;
        }
        flexibility
    }
}

/// Static flexibility of an infinite plate at a point from wavenumbers beyond the curve of ω:
/// `1/(4π²) ∫dθ ∫_{k(θ)}^∞ k dk / (D(θ) k⁴)` with `k(θ)⁴ = m ω²/D(θ)`, that is `⟨D^−½⟩ / (4π ω √m)`; from the plate equation
/// in wavenumber space (Cremer, Heckl & Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5, gives the whole integral).
fn flexibility_beyond(panel: &Panel, omega: f64) -> f64 {
    let mean = WaveCurve::mean_inverse_root_stiffness(&panel.section);
    mean / (4.0 * PI * omega * panel.section.surface_mass.sqrt())
}

/// `Σ wₚ w_q` over the points that two footprints share: very short waves do not correlate between different points.
fn shared_points(footprints: &[Footprint]) -> Array2<f64> {
    let pairs = |footprint: &Footprint| -> Vec<([f64; 2], f64)> {
        footprint.points.iter().copied().zip(footprint.weights.iter().copied()).collect()
    };
    Array2::from_shape_fn((footprints.len(), footprints.len()), |(f, g)| {
        let others = pairs(&footprints[g]);
        (pairs(&footprints[f]).iter())
            .map(|(p, w)| others.iter().filter(|(q, _)| p == q).map(|(_, v)| w * v).sum::<f64>())
            .sum()
    })
}
