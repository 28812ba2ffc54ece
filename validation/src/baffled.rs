//! Sources in a rigid baffle, shared by the radiation problems.

use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};
use panelwright_solver::air::Air;
use panelwright_solver::radiation::{PointSources, SurfaceVelocity};
use std::f64::consts::TAU;
use std::num::NonZeroUsize;

/// Air of the radiation problems; they are dimensionless, so any state would do.
pub fn air() -> Air {
    Air::new(293.15, 0.5, 101_325.0)
}

/// Frequency [Hz] at which the wavenumber is `k` [rad/m].
pub fn frequency(k: f64) -> f64 {
    k * air().sound_speed / TAU
}

/// A positive count.
pub fn count(n: usize) -> NonZeroUsize {
    NonZeroUsize::new(n).expect("the problems use positive counts")
}

/// Gauss lattice over a rectangle of `width` and `height` [m].
pub fn gauss(width: f64, height: f64, nodes: [usize; 2]) -> Lattice {
    Lattice::new(Axis::gauss(width, count(nodes[0])), Axis::gauss(height, count(nodes[1])))
}

/// Equal cells over a rectangle of `width` and `height` [m].
pub fn cells(width: f64, height: f64, cells: [usize; 2]) -> Lattice {
    Lattice::new(Axis::cells(0.0, width, count(cells[0])), Axis::cells(0.0, height, count(cells[1])))
}

/// `shape` sampled on `lattice` as a velocity at the wavenumber `k` [rad/m].
pub fn moving(lattice: &Lattice, k: f64, shape: impl Fn([f64; 2]) -> f64) -> SurfaceVelocity<'_> {
    let values = lattice.points().map(|point| Complex64::from(shape(point))).collect();
    let velocity = Array2::from_shape_vec(lattice.shape(), values).expect("one value per lattice point");
    SurfaceVelocity { frequency: frequency(k), lattice, velocity }
}

/// A disc of radius 1 m moving with 1 m/s as rings around `pole`, a point inside it on the x axis: Gauss nodes along each ray,
/// rays evenly spaced. 1/R at the pole is integrated exactly as well as anything smooth.
pub fn disc(pole: f64, nodes: usize, rays: usize) -> PointSources {
    let ray = |i: usize| {
        let (sin, cos) = (TAU * (i as f64 + 0.5) / rays as f64).sin_cos();
        let to_rim = -pole * cos + (1.0 - (pole * sin).powi(2)).sqrt();
        let axis = Axis::gauss(to_rim, count(nodes));
        axis.nodes
            .iter()
            .zip(&axis.weights)
            .map(|(r, w)| ([pole + r * cos, r * sin], Complex64::from(r * w * TAU / rays as f64)))
            .collect::<Vec<_>>()
    };
    let (points, strengths): (Vec<_>, Vec<_>) = (0..rays).flat_map(ray).unzip();
    PointSources::new(points, strengths)
}
