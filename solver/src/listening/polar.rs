//! Polar patterns and directivity.

use super::bands::LogMean;
use super::findings::{Band, Polar};
use super::level::pressure_level;
use ndarray::{Array1, Array2, ArrayView2};
use std::f64::consts::PI;

/// Polar patterns, band by band, from mean-square pressures [Pa²] (frequencies, angles) at `distance` [m]. Bands that the
/// frequencies do not cover are left out.
pub fn polar(
    frequencies: &[f64],
    angles: &[f64],
    horizontal: ArrayView2<f64>,
    vertical: ArrayView2<f64>,
    bands: &[Band],
    distance: f64,
) -> Polar {
    let covered: Vec<(Band, LogMean)> =
        bands.iter().filter_map(|band| Some((*band, LogMean::over_band(frequencies, band)?))).collect();
    let pattern = |arc: ArrayView2<f64>| {
        let mut levels = Array2::zeros((covered.len(), angles.len()));
        for ((_, mean), mut row) in covered.iter().zip(levels.rows_mut()) {
            let mut sum = Array1::zeros(angles.len());
            mean.terms().for_each(|(i, weight)| sum.scaled_add(weight, &arc.row(i)));
            row.assign(&sum.mapv(pressure_level));
        }
        levels
    };
    Polar {
        angles: angles.to_vec(),
        horizontal: pattern(horizontal),
        vertical: pattern(vertical),
        bands: covered.iter().map(|(band, _)| *band).collect(),
        distance,
    }
}

/// Directivity index [dB]: `10 lg (4π r² p² / (ρc W))`, the intensity on the axis over that of the same power radiated evenly
/// in all directions.
///
/// p² is the far-field mean-square pressure on the axis at r [m], W the radiated power [W], ρc `impedance` [Pa·s/m]. A source
/// in a baffle radiates into half a space: its low-frequency limit is 10 lg 2 = 3.01 dB (A. D. Pierce, Acoustics, 1989, § 5-3;
/// L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers, 2012, ch. 13).
pub fn directivity_index(axial_mean_square_at_r: f64, r: f64, power: f64, impedance: f64) -> f64 {
    10.0 * (4.0 * PI * r * r * axial_mean_square_at_r / (impedance * power)).log10()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::fractional_octaves;
    use approx::assert_relative_eq;

    #[test]
    fn a_half_space_monopole_has_three_decibels() {
        let (r, p2, z) = (2.0, 0.3, 413.0);
        let power = 2.0 * PI * r * r * p2 / z;
        assert_relative_eq!(directivity_index(p2, r, power, z), 10.0 * 2f64.log10(), epsilon = 1e-12);
    }

    #[test]
    fn a_piston_has_the_published_index() {
        // Axial far field ρc k a² v / 2r and power πa² ρc v² (1 − J₁(2ka)/ka); published values at ka = 1, 2, 3, 5, 10.
        let published = [
            (1.0, 3.733771844),
            (2.0, 5.879505619),
            (3.0, 9.159292225),
            (5.0, 14.01732514),
            (10.0, 20.02912268),
        ];
        let (a, v, z, r) = (0.07f64, 0.01, 413.0, 3.0);
        for (ka, expected) in published {
            let p2 = (z * ka * a * v / (2.0 * r)).powi(2);
            let power = PI * a * a * z * v * v * (1.0 - puruspe::Jn(1, 2.0 * ka) / ka);
            assert_relative_eq!(directivity_index(p2, r, power, z), expected, epsilon = 1e-5);
        }
    }

    #[test]
    fn bands_without_samples_are_left_out_and_shapes_agree() {
        let f: Vec<f64> = (0..60).map(|i| 500.0 * 4f64.powf(f64::from(i) / 59.0)).collect();
        let angles = [-0.5, 0.0, 0.5];
        let arc = Array2::from_shape_fn((60, 3), |(_, j)| [1.0, 4.0, 2.0][j]);
        let found = polar(&f, &angles, arc.view(), arc.view(), &fractional_octaves(3, 100.0, 4e3), 2.0);
        assert_eq!(
            found.bands.iter().map(|b| b.nominal).collect::<Vec<_>>(),
            [630.0, 800.0, 1e3, 1250.0, 1600.0]
        );
        assert_eq!(found.horizontal.dim(), (5, 3));
        assert_relative_eq!(
            found.vertical[[2, 1]] - found.vertical[[2, 0]],
            10.0 * 4f64.log10(),
            epsilon = 1e-9
        );
    }
}
