//! Output maps.

use super::bands::LogMean;
use super::findings::{Band, BandMap, OutputMap};
use super::level::{LevelReference, level};
use ndarray::{Array2, ArrayView3, Axis, Zip};

/// Band levels on a plane `distance` [m] from the panel, from mean squares (frequencies, nx, ny) at the nodes `x`, `y` [m],
/// both ascending. Bands that the frequencies do not cover are left out. The plane's mean is the mean energy over its area
/// (trapezoidal rule over the nodes). Nodes whose mean square is not a number are not of the plane: blank, and left out of the mean.
pub fn output_map(
    frequencies: &[f64],
    distance: f64,
    x: &[f64],
    y: &[f64],
    mean_square: ArrayView3<f64>,
    bands: &[Band],
    reference: LevelReference,
) -> OutputMap {
    let area = area_weights(x, y);
    let band_map = |band: &Band| {
        let mean = LogMean::over_band(frequencies, band)?;
        let mut energy = Array2::zeros((x.len(), y.len()));
        mean.terms().for_each(|(i, weight)| energy.scaled_add(weight, &mean_square.index_axis(Axis(0), i)));
        let (total, area) = Zip::from(&energy).and(&area).fold((0.0, 0.0), |(total, area), e, a| {
            if e.is_nan() { (total, area) } else { (total + e * a, area + a) }
        });
        let level_of = |value: f64| level(value, reference);
        Some(BandMap { band: *band, level: energy.mapv(level_of), mean: level_of(total / area) })
    };
    OutputMap { distance, x: x.to_vec(), y: y.to_vec(), bands: bands.iter().filter_map(band_map).collect() }
}

/// Area that each node stands for, up to a common factor.
fn area_weights(x: &[f64], y: &[f64]) -> Array2<f64> {
    let (wx, wy) = (trapezoidal(x), trapezoidal(y));
    Array2::from_shape_fn((x.len(), y.len()), |(i, j)| wx[i] * wy[j])
}

/// Trapezoidal weights of ascending nodes; a single node counts as one.
fn trapezoidal(nodes: &[f64]) -> Vec<f64> {
    if nodes.len() < 2 {
        return vec![1.0; nodes.len()];
    }
    let mut weights = vec![0.0; nodes.len()];
    for (i, pair) in nodes.windows(2).enumerate() {
        let half = 0.5 * (pair[1] - pair[0]);
        weights[i] += half;
        weights[i + 1] += half;
    }
    weights
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::fractional_octaves;
    use approx::assert_relative_eq;
    use ndarray::Array3;

    #[test]
    fn a_plane_of_one_level_has_that_mean() {
        let f: Vec<f64> = (0..50).map(|i| 500.0 * 4f64.powf(f64::from(i) / 49.0)).collect();
        let field = Array3::from_elem((50, 3, 4), 4e-10 * 1e6);
        let map = output_map(
            &f,
            0.3,
            &[0.0, 0.1, 0.4],
            &[0.0, 0.1, 0.2, 0.3],
            field.view(),
            &fractional_octaves(3, 1e3, 1e3),
            LevelReference::SoundPressure,
        );
        assert_eq!(map.bands.len(), 1);
        assert_relative_eq!(map.bands[0].mean, 60.0, epsilon = 1e-9);
        assert!(map.bands[0].level.iter().all(|l| (l - 60.0).abs() < 1e-9));
    }

    #[test]
    fn the_mean_is_of_energy_over_area() {
        // Energy x on 0…1, unevenly sampled: mean 1/2 whatever the nodes.
        let f: Vec<f64> = (0..50).map(|i| 500.0 * 4f64.powf(f64::from(i) / 49.0)).collect();
        let x = [0.0, 0.05, 0.3, 0.35, 1.0];
        let field = Array3::from_shape_fn((50, 5, 2), |(_, i, _)| x[i]);
        let bands = fractional_octaves(3, 1e3, 1e3);
        let map = output_map(&f, 0.0, &x, &[0.0, 1.0], field.view(), &bands, LevelReference::Velocity);
        assert_relative_eq!(map.bands[0].mean, 10.0 * 0.5f64.log10(), epsilon = 1e-9);
        assert_eq!(map.bands[0].level[[0, 0]], f64::NEG_INFINITY);
    }
}
