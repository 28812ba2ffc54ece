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
    /// Flexibility [m/N] of an interior point beyond the range.
    beyond: f64,
    /// Number of wave-like products per area [m⁻²].
    mean_density: f64,
}

#[derive(Debug)]
struct StaticBlock {
    /// Columns of (all x functions, all y functions) of each product.
    cells: Vec<(usize, usize)>,
    /// Lower Cholesky factor of stiffness over surface mass.
    factor: Array2<f64>,
}

/// Largest block that is worth factorising for the static correction.
const LARGEST_BLOCK: usize = 3000;

impl StaticFlexibility {
    /// Covers frequencies up to at most three times `up_to` [Hz], fewer for large plates.
    pub fn new(panel: &Panel, up_to: f64) -> Self {
        let reach = [3.0, 2.0, 1.5].into_iter().find(|reach| {
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
        let waves = plan.waves();
        let beyond = flexibility_beyond(panel, waves);
        let mean_density = waves as f64 / panel.outline.area();
        let x = Directions::new(x.into_iter().map(|line| line.0).collect());
        let y = Directions::new(y.into_iter().map(|line| line.0).collect());
        let blocks = (plan.blocks.iter().zip(factors))
            .map(|(block, factor)| {
                let (x0, y0) = (x.offset(block.x_class), y.offset(block.y_class));
                let cells = block.bending().iter().map(|&(i, j)| (x0 + i, y0 + j)).collect();
                StaticBlock { cells, factor }
            })
            .collect();
        Self { x, y, blocks, beyond, mean_density }
    }

    /// Flexibility [m/N] between footprints: (footprints, footprints).
    pub fn between(&self, footprints: &[Footprint], surface_mass: f64) -> Array2<f64> {
        let probes = Probes::new(&self.x, &self.y, footprints);
        let parts: Vec<Array2<f64>> = (self.blocks.par_iter())
            .map(|block| {
                let mut rows = block.rows(&probes);
                solve_lower(&block.factor, &mut rows).expect("a Cholesky factor has no zero on its diagonal");
                rows.dot(&rows.t()) / surface_mass
            })
            .collect();
        let beyond = shared_points(footprints, &self.density(footprints)) * self.beyond;
        parts.into_iter().fold(beyond, |sum, part| sum + part)
    }

    /// How much of the mean density of waves is present at every point of the footprints: nothing at a held edge. The
    /// surplus at a free edge is carried by polynomials, which reach further up, and does not count.
    fn density(&self, footprints: &[Footprint]) -> Vec<f64> {
        let points = single_points(footprints);
        let probes = Probes::new(&self.x, &self.y, &points);
        let square_sums = |block: &StaticBlock| -> Vec<f64> {
            block.rows(&probes).rows().into_iter().map(|row| row.dot(&row)).collect()
        };
        let parts: Vec<Vec<f64>> = self.blocks.par_iter().map(square_sums).collect();
        let at_point = |point: usize| parts.iter().map(|part| part[point]).sum::<f64>();
        (0..points.len()).map(|point| (at_point(point) / self.mean_density).min(1.0)).collect()
    }
}

impl StaticBlock {
    /// This block's products averaged over the footprints of `probes`: (footprints, products).
    fn rows(&self, probes: &Probes) -> Array2<f64> {
        probes.rows(self.cells.iter().copied(), self.cells.len())
    }
}

/// Flexibility [m/N] of an interior point from waves beyond the range of the basis.
///
/// In an infinite plate wavenumbers outside the curve of ω add `1/(4π²) ∫dθ ∫_{k(θ)}^∞ k dk / (D(θ) k⁴)` with
/// `k(θ)⁴ = m ω²/D(θ)`, that is `q/ω` with `q = ⟨D^−½⟩ / (4π √m)` (from the plate equation in wavenumber space; the whole
/// integral is in Cremer, Heckl & Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5). The N wave-like products of
/// the basis fill the curve of that ω whose modal count `S m q ω` is N.
pub(super) fn flexibility_beyond(panel: &Panel, waves: usize) -> f64 {
    let mass = panel.section.surface_mass;
    let q = WaveCurve::mean_inverse_root_stiffness(&panel.section) / (4.0 * PI * mass.sqrt());
    mass * panel.outline.area() * q * q / waves.max(1) as f64
}

/// All points of some footprints as footprints of their own.
pub(super) fn single_points(footprints: &[Footprint]) -> Vec<Footprint> {
    footprints
        .iter()
        .flat_map(|footprint| footprint.points.iter().map(|&point| Footprint::point(point)))
        .collect()
}

/// `Σ wₚ w_q densityₚ` over the points p, q that two footprints share: very short waves do not correlate between different
/// points. `density` runs over all points of all footprints.
pub(super) fn shared_points(footprints: &[Footprint], density: &[f64]) -> Array2<f64> {
    let starts: Vec<usize> =
        footprints.iter().scan(0, |next, f| Some(std::mem::replace(next, *next + f.points.len()))).collect();
    Array2::from_shape_fn((footprints.len(), footprints.len()), |(f, g)| {
        let (own, other) = (&footprints[f], &footprints[g]);
        let mut sum = 0.0;
        for (i, (p, w)) in own.points.iter().zip(&own.weights).enumerate() {
            let shared = other.points.iter().zip(&other.weights).filter(|(q, _)| *q == p);
            sum += shared.map(|(_, v)| w * v * density[starts[f] + i]).sum::<f64>();
        }
        sum
    })
}
