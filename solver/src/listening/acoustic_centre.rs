//! Acoustic centre by intensity.

use super::findings::Centre;
use ndarray::ArrayView2;

/// Centroid of the outgoing active intensity over the panel's plane, and its standard deviation along x and y.
///
/// `r̄ = Σ I⁺ S r / Σ I⁺ S` over the nodes `x`, `y` [m], where S is the area `weights` of a node [m²] and I⁺ the positive
/// part of `intensity` [W/m²] (nx, ny), the normal component of the active intensity `½ Re(p v*)` of peak or `Re(p v*)` of RMS
/// phasors, summed over the frequencies of a band (F. J. Fahy, Sound Intensity, 2nd ed. 1995, ch. 4, defines the intensity;
/// the centroid is our own definition). Intensity that flows back into the panel is left out: it is energy that circulates in
/// the near field and would otherwise throw the centroid off the panel. `None` if nothing flows outwards.
pub fn intensity_centre(
    x: &[f64],
    y: &[f64],
    weights: ArrayView2<f64>,
    intensity: ArrayView2<f64>,
) -> Option<Centre> {
    let power = |i: usize, j: usize| intensity[[i, j]].max(0.0) * weights[[i, j]];
    let along_x: Vec<f64> = (0..x.len()).map(|i| (0..y.len()).map(|j| power(i, j)).sum()).collect();
    let along_y: Vec<f64> = (0..y.len()).map(|j| (0..x.len()).map(|i| power(i, j)).sum()).collect();
    let (centre_x, spread_x) = moments(x, &along_x)?;
    let (centre_y, spread_y) = moments(y, &along_y)?;
    Some(Centre { position: [centre_x, centre_y], spread: [spread_x, spread_y] })
}

/// Mean and standard deviation of `values` under `weights`; `None` without weight.
fn moments(values: &[f64], weights: &[f64]) -> Option<(f64, f64)> {
    let total: f64 = weights.iter().sum();
    let mean = values.iter().zip(weights).map(|(v, w)| v * w).sum::<f64>() / total;
    let variance = values.iter().zip(weights).map(|(v, w)| w * (v - mean).powi(2)).sum::<f64>() / total;
    (total > 0.0 && mean.is_finite()).then(|| (mean, variance.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array2;
    use proptest::prelude::*;

    const N: usize = 7;

    fn centre(x: &[f64], y: &[f64], intensity: &[f64]) -> Centre {
        let weights = Array2::from_elem((N, N), 0.01);
        let intensity = ArrayView2::from_shape((N, N), intensity).unwrap();
        intensity_centre(x, y, weights.view(), intensity).unwrap()
    }

    fn nodes() -> Vec<f64> {
        (0..N).map(|i| 0.05 + 0.1 * i as f64).collect()
    }

    #[test]
    fn no_outgoing_power_has_no_centre() {
        let field = Array2::from_elem((N, N), -1.0);
        assert!(intensity_centre(&nodes(), &nodes(), field.view(), Array2::zeros((N, N)).view()).is_none());
        let weights = Array2::from_elem((N, N), 1.0);
        assert!(intensity_centre(&nodes(), &nodes(), weights.view(), field.view()).is_none());
    }

    #[test]
    fn two_equal_places_centre_half_way_and_spread_by_half_their_distance() {
        let mut field = Array2::zeros((N, N));
        (field[[1, 2]], field[[5, 2]]) = (3.0, 3.0);
        field[[3, 6]] = -9.0;
        let found = centre(&nodes(), &nodes(), field.as_slice().unwrap());
        assert!((found.position[0] - 0.35).abs() < 1e-12 && (found.position[1] - 0.25).abs() < 1e-12);
        assert!((found.spread[0] - 0.2).abs() < 1e-12 && found.spread[1] < 1e-9);
    }

    proptest! {
        #[test]
        fn the_centre_moves_with_the_panel(field in prop::collection::vec(-1.0..1.0f64, N * N), shift in -2.0..2.0f64) {
            prop_assume!(field.iter().any(|v| *v > 0.01));
            let moved: Vec<f64> = nodes().iter().map(|x| x + shift).collect();
            let (here, there) = (centre(&nodes(), &nodes(), &field), centre(&moved, &nodes(), &field));
            prop_assert!((there.position[0] - here.position[0] - shift).abs() < 1e-9);
            prop_assert!((there.spread[0] - here.spread[0]).abs() < 1e-9);
            prop_assert_eq!(there.position[1], here.position[1]);
        }

        #[test]
        fn the_centre_is_mirrored_with_the_field(field in prop::collection::vec(0.01..1.0f64, N * N)) {
            let mirrored: Vec<f64> = (0..N * N).map(|n| field[(N - 1 - n / N) * N + n % N]).collect();
            let (here, there) = (centre(&nodes(), &nodes(), &field), centre(&nodes(), &nodes(), &mirrored));
            prop_assert!((here.position[0] + there.position[0] - 0.7).abs() < 1e-12);
            prop_assert!((here.position[1] - there.position[1]).abs() < 1e-12);
        }
    }
}
