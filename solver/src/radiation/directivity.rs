//! Far field: the directional amplitude A of `p → A exp(−jkR)/R`.
//!
//! `A(u) = jωρ/(2π) ∫ v(s) exp(+jk u·(s − s₀)) dS`, u the in-plane components of the unit vector towards the listener, R
//! measured from s₀ (A. D. Pierce, Acoustics, 1989, § 5-2). Air absorption is not in it: it depends on the distance.

use super::fourier::fourier_sums;
use super::{PointSources, SurfaceVelocity};
use crate::air::Air;
use ndarray::{Array1, ArrayView1, Axis as Dim};
use num_complex::Complex64;

/// Which way an arc runs through the panel's normal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arc {
    /// In the plane y = const: positive angles to +x.
    Horizontal,
    /// In the plane x = const: positive angles to +y.
    Vertical,
}

/// Far-field amplitude [Pa·m RMS] along an arc, at `angles` [rad] from the normal, phase referred to `centre` [m].
///
/// The motion is summed across the arc first, so an arc costs one pass over the surface and a short Fourier sum.
pub fn far_field_arc(
    surface: &SurfaceVelocity<'_>,
    arc: Arc,
    angles: &[f64],
    centre: [f64; 2],
    air: &Air,
) -> Vec<Complex64> {
    let (along, across, direction) = match arc {
        Arc::Horizontal => (&surface.lattice.x, &surface.lattice.y, 0),
        Arc::Vertical => (&surface.lattice.y, &surface.lattice.x, 1),
    };
    let across_weights = across.weights.mapv(Complex64::from);
    let mut strengths: Array1<Complex64> = match arc {
        Arc::Horizontal => surface.shared().dot(&across_weights),
        Arc::Vertical => surface.shared().t().dot(&across_weights),
    };
    strengths.zip_mut_with(&along.weights, |q, w| *q *= w);
    let nodes: Vec<f64> = along.nodes.iter().map(|x| x - centre[direction]).collect();
    let turns_per_metre = surface.frequency / air.sound_speed;
    let turns: Vec<f64> = angles.iter().map(|angle| angle.sin() * turns_per_metre).collect();
    let factor = Complex64::i() * surface.frequency * air.density;
    fourier_sums(&nodes, &strengths.to_vec(), &turns).into_iter().map(|sum| factor * sum).collect()
}

/// Far-field amplitude [Pa·m RMS] towards `directions`: the x and y components of unit vectors from the panel to the listener;
/// phase referred to `centre` [m].
pub fn far_field(
    surface: &SurfaceVelocity<'_>,
    directions: &[[f64; 2]],
    centre: [f64; 2],
    air: &Air,
) -> Vec<Complex64> {
    let k = air.wavenumber(surface.frequency);
    let factor = Complex64::i() * surface.frequency * air.density;
    let phases =
        |nodes: &Array1<f64>, weights: &Array1<f64>, centre: f64, component: f64| -> Array1<Complex64> {
            nodes
                .iter()
                .zip(weights)
                .map(|(x, &w)| Complex64::from_polar(w, k * component * (x - centre)))
                .collect()
        };
    let (x, y) = (&surface.lattice.x, &surface.lattice.y);
    let velocity = surface.shared();
    let towards = |&[ux, uy]: &[f64; 2]| {
        let ex = phases(&x.nodes, &x.weights, centre[0], ux);
        let ey = phases(&y.nodes, &y.weights, centre[1], uy);
        let row_sum = |row: ArrayView1<'_, Complex64>| row.dot(&ey);
        let rows = velocity.axis_iter(Dim(0)).map(row_sum);
        factor * rows.zip(&ex).map(|(row, e)| row * e).sum::<Complex64>()
    };
    directions.iter().map(towards).collect()
}

/// Far-field amplitude [Pa·m RMS] of point sources of any arrangement; otherwise as [`far_field`].
pub fn far_field_of_sources(
    sources: &PointSources,
    frequency: f64,
    directions: &[[f64; 2]],
    centre: [f64; 2],
    air: &Air,
) -> Vec<Complex64> {
    let k = air.wavenumber(frequency);
    let towards = |&[ux, uy]: &[f64; 2]| {
        let radiated = sources.iter().map(|([x, y], strength)| {
            strength * Complex64::cis(k * (ux * (x - centre[0]) + uy * (y - centre[1])))
        });
        Complex64::i() * frequency * air.density * radiated.sum::<Complex64>()
    };
    directions.iter().map(towards).collect()
}
