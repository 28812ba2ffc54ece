//! Levels all round a source.

use super::bands::LogMean;
use super::findings::Band;
use super::level::pressure_level;
use ndarray::{Array2, Array3, ArrayView3, Axis};
use serde::Serialize;
use std::f64::consts::TAU;

/// Levels over the sphere of directions, band by band.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Balloon {
    /// Polar angles [rad] from the axis, ascending and even from 0.
    pub polar: Vec<f64>,
    /// Azimuths [rad] about the axis, even from 0 at the listener's right towards the top, the full turn left out.
    pub azimuth: Vec<f64>,
    /// The bands.
    pub bands: Vec<Band>,
    /// Levels [dB re 20 µPa], (bands, polar angles, azimuths).
    pub levels: Array3<f64>,
    /// Distance [m] the levels are stated at.
    pub distance: f64,
}

/// Levels in bands from mean-square pressures [Pa²] (frequencies, polar angles, azimuths) at `distance` [m]. Bands that the frequencies do not
/// cover are left out.
pub fn balloon(
    frequencies: &[f64],
    [polar, azimuth]: [&[f64]; 2],
    mean_square: ArrayView3<f64>,
    bands: &[Band],
    distance: f64,
) -> Balloon {
    let covered: Vec<(Band, LogMean)> =
        bands.iter().filter_map(|band| Some((*band, LogMean::over_band(frequencies, band)?))).collect();
    let mut levels = Array3::zeros((covered.len(), polar.len(), azimuth.len()));
    for ((_, mean), mut level) in covered.iter().zip(levels.outer_iter_mut()) {
        let mut sum = Array2::zeros(level.dim());
        mean.terms().for_each(|(i, weight)| sum.scaled_add(weight, &mean_square.index_axis(Axis(0), i)));
        level.assign(&sum.mapv(pressure_level));
    }
    Balloon {
        polar: polar.to_vec(),
        azimuth: azimuth.to_vec(),
        bands: covered.iter().map(|(band, _)| *band).collect(),
        levels,
        distance,
    }
}

/// Solid angle [sr] that each direction of a polar angle stands for: its share of the zone between the middles to the next polar angles [rad],
/// which ascend. All azimuths together add up to the solid angle within the last polar angle. The sum over directions of `|r p|² Ω/(ρc)` is the
/// sound power.
pub fn solid_angles(polar: &[f64], azimuths: usize) -> Vec<f64> {
    let border = |i: usize| match i {
        0 => 0.0,
        i if i == polar.len() => polar[i - 1],
        i => 0.5 * (polar[i - 1] + polar[i]),
    };
    let zone = |i: usize| TAU * (border(i).cos() - border(i + 1).cos()) / azimuths as f64;
    (0..polar.len()).map(zone).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::fractional_octaves;
    use std::f64::consts::PI;

    fn polar() -> Vec<f64> {
        (0..=36).map(|i| PI * f64::from(i) / 36.0).collect()
    }

    #[test]
    fn solid_angles_add_up_and_integrate() {
        let weights = solid_angles(&polar(), 24);
        assert!((24.0 * weights.iter().sum::<f64>() - 2.0 * TAU).abs() < 1e-12);
        // ∫ cos² θ dΩ = 4π/3.
        let square: f64 = weights.iter().zip(polar()).map(|(w, polar)| 24.0 * w * polar.cos().powi(2)).sum();
        assert!((square / (2.0 * TAU / 3.0) - 1.0).abs() < 2e-3, "{square}");
    }

    #[test]
    fn bands_hold_energy_means_of_every_direction() {
        let f: Vec<f64> = (0..60).map(|i| 500.0 * 4f64.powf(f64::from(i) / 59.0)).collect();
        let square = Array3::from_shape_fn((60, 37, 4), |(_, i, j)| (1 + i + 100 * j) as f64);
        let azimuth = [0.0, 0.25 * TAU, 0.5 * TAU, 0.75 * TAU];
        let bands = fractional_octaves(3, 100.0, 4e3);
        let found = balloon(&f, [&polar(), &azimuth], square.view(), &bands, 2.0);
        assert_eq!(found.levels.dim(), (5, 37, 4));
        let gain = found.levels[[2, 9, 3]] - found.levels[[2, 0, 0]];
        assert!((gain - 10.0 * 310f64.log10()).abs() < 1e-9, "{gain}");
    }
}
