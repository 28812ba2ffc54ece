//! From modes to receivers: linear, and independent of what drives the panel.

use super::{Tier, attenuation, panel_tiers};
use crate::air::Air;
use crate::plate::Modes;
use crate::scene::Panel;
use ndarray::{Array2, Array3, ArrayView2, Axis as Dim};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Pressure at receivers per modal velocity.
///
/// `H(f, r, n) = jωρ/(2π) exp(−αR₀) ∫ φ_n exp(−jkR)/R dS`, so that `p = Σ_n H q̇_n`. Computed once for a panel and its seats,
/// it turns any drive into pressure by one matrix product.
#[derive(Clone, Debug)]
pub struct Transfer {
    /// (frequencies, receivers, modes) [Pa / (kg^½ m/s)].
    pub values: Array3<Complex64>,
}

impl Transfer {
    /// Transfers from `modes` of `panel` to `receivers` [m] at ascending `frequencies` [Hz].
    pub fn new(modes: &Modes, panel: &Panel, receivers: &[[f64; 3]], frequencies: &[f64], air: &Air) -> Self {
        let nearest = receivers.iter().map(|r| r[2]).fold(f64::INFINITY, f64::min);
        let tiers = panel_tiers(panel, air, frequencies, nearest);
        let blocks: Vec<Array3<Complex64>> = tiers
            .par_iter()
            .map(|tier| tier_transfer(modes, panel, tier, receivers, &frequencies[tier.range.clone()], air))
            .collect();
        let views: Vec<_> = blocks.iter().map(|block| block.view()).collect();
        let empty = || Array3::zeros((0, receivers.len(), modes.len()));
        Self { values: ndarray::concatenate(Dim(0), &views).unwrap_or_else(|_| empty()) }
    }

    /// Pressure [Pa RMS] (frequencies, receivers) for modal velocities (frequencies, modes) [kg^½ m/s].
    pub fn pressure(&self, modal_velocity: ArrayView2<'_, Complex64>) -> Array2<Complex64> {
        let (frequencies, receivers, _) = self.values.dim();
        let mut pressure = Array2::zeros((frequencies, receivers));
        let rows = pressure.outer_iter_mut().zip(self.values.outer_iter()).zip(modal_velocity.outer_iter());
        for ((mut row, transfer), velocity) in rows {
            row.assign(&transfer.dot(&velocity));
        }
        pressure
    }
}

fn tier_transfer(
    modes: &Modes,
    panel: &Panel,
    tier: &Tier,
    receivers: &[[f64; 3]],
    frequencies: &[f64],
    air: &Air,
) -> Array3<Complex64> {
    let (nx, ny) = tier.lattice.shape();
    let mut fields = Array3::zeros((frequencies.len() * receivers.len(), nx, ny));
    for (mut field, (frequency, receiver)) in
        fields.outer_iter_mut().zip(frequencies.iter().flat_map(|f| receivers.iter().map(move |r| (*f, *r))))
    {
        let strength = Complex64::i()
            * frequency
            * air.density
            * attenuation(panel.outline.centre(), receiver, frequency, air);
        let values = tier.lattice.points().zip(tier.lattice.weights());
        for (value, (point, weight)) in field.iter_mut().zip(values) {
            *value = strength * weight * green(point, receiver, frequency / air.sound_speed);
        }
    }
    let projected = modes.project(&fields, &tier.lattice);
    let shape = (frequencies.len(), receivers.len(), modes.len());
    projected.into_shape_with_order(shape).expect("one row per frequency and receiver")
}

/// `exp(−jkR)/R` with the wavenumber in turns per metre.
fn green([x, y]: [f64; 2], [rx, ry, rz]: [f64; 3], turns_per_metre: f64) -> Complex64 {
    let distance = ((rx - x).powi(2) + (ry - y).powi(2) + rz * rz).sqrt();
    Complex64::from_polar(1.0 / distance, -TAU * turns_per_metre * distance)
}
