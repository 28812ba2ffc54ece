//! Quadrature over a shape on a lattice: columns between rim crossings.

use crate::{Axis, Outline};
use gauss_quad::GaussLegendre;
use ndarray::Array2;
use std::num::NonZeroUsize;

/// Nodes of the polynomials that close the gap between the last node and the rim: errors of sixth order.
const NODES: usize = 6;
/// Corners that turn by more than this [rad] break the smoothness of columns.
const SHARP: f64 = 0.35;

/// Weight of each point over the product of the axes' weights. `y` are equal cells.
pub fn shares(outline: &Outline, x: &Axis, y: &Axis) -> Array2<f64> {
    let mut shares = Array2::zeros((x.len(), y.len()));
    let columns = outline.columns(x.nodes.iter().copied());
    for (mut column, stretches) in shares.outer_iter_mut().zip(columns) {
        for stretch in stretches {
            for (index, weight) in stretch_weights(y, stretch) {
                column[index] += weight / y.weights[index];
            }
        }
    }
    shares
}

/// Weights on the nodes within `[low, high]`: between neighbours, and from the outermost ones to the ends, the integral of the
/// polynomial through the nearest nodes.
fn stretch_weights(y: &Axis, [low, high]: [f64; 2]) -> Vec<(usize, f64)> {
    let nodes = y.nodes.as_slice().expect("an axis is contiguous");
    let (first, end) = (nodes.partition_point(|&n| n < low), nodes.partition_point(|&n| n <= high));
    if first >= end {
        return vec![];
    }
    let inner = &nodes[first..end];
    let mut weights = vec![0.0; inner.len()];
    let ends: Vec<f64> = std::iter::once(low).chain(inner.iter().copied()).chain([high]).collect();
    let order = NODES.min(inner.len());
    for (gap, pair) in ends.windows(2).enumerate() {
        // Gap i ends at node i: as many nodes before it as after.
        let start = gap.saturating_sub(order / 2).min(inner.len() - order);
        let part = &inner[start..start + order];
        for (weight, share) in weights[start..].iter_mut().zip(polynomial_weights(part, pair[0], pair[1])) {
            *weight += share;
        }
    }
    (first..end).zip(weights).collect()
}

/// Integrals from `from` to `to` of the Lagrange polynomials over `nodes`.
fn polynomial_weights(nodes: &[f64], from: f64, to: f64) -> Vec<f64> {
    let rule = GaussLegendre::new(NonZeroUsize::new(NODES / 2).expect("more than none"));
    let half = 0.5 * (to - from);
    let samples = rule.as_node_weight_pairs().iter().map(|&(t, w)| (from + half * (t + 1.0), half * w));
    let samples: Vec<(f64, f64)> = samples.collect();
    let basis = |k: usize, x: f64| {
        let factors = nodes.iter().enumerate().filter(|&(j, _)| j != k);
        factors.map(|(_, node)| (x - node) / (nodes[k] - node)).product::<f64>()
    };
    (0..nodes.len()).map(|k| samples.iter().map(|&(x, w)| w * basis(k, x)).sum()).collect()
}

/// Places along x [m] between which integrals along the columns change smoothly: ends of the contours and sharp corners, at most
/// `most` stretches, so that a rough contour is not cut to pieces. The first is 0, the last the width.
pub fn breaks(outline: &Outline, most: usize) -> Vec<f64> {
    let width = outline.bounding_box().0;
    let mut places = vec![0.0, width];
    for contour in outline.curves().iter() {
        let (low, high) = contour.bounds();
        places.extend([low[0], high[0]]);
        places.extend(contour.corners(SHARP).map(|corner| corner[0]));
    }
    places.sort_by(f64::total_cmp);
    let apart = width / most as f64;
    let mut kept: Vec<f64> = vec![0.0];
    for place in places {
        if place - kept[kept.len() - 1] >= apart && width - place >= apart {
            kept.push(place);
        }
    }
    kept.push(width);
    kept
}

#[cfg(test)]
mod tests {
    use crate::{Axis, Contour, Lattice, Outline};
    use approx::assert_relative_eq;
    use std::f64::consts::{PI, TAU};
    use std::num::NonZeroUsize;

    fn count(n: usize) -> NonZeroUsize {
        NonZeroUsize::new(n).expect("positive")
    }

    fn integral(lattice: &Lattice, f: impl Fn([f64; 2]) -> f64) -> f64 {
        lattice.points().zip(lattice.weights()).map(|(p, w)| w * f(p)).sum()
    }

    /// `∬ cos(κx) dS` over a disc of radius a about the origin is `2π a J₁(κa)/κ`; J₁ by its integral (Abramowitz & Stegun 9.1.21).
    fn wave_over_disc(kappa: f64, a: f64) -> f64 {
        let step = |i: i32| PI * (f64::from(i) + 0.5) / 400.0;
        let bessel = (0..400).map(step).map(|t| (t - kappa * a * t.sin()).cos()).sum::<f64>() / 400.0;
        TAU * a * bessel / kappa
    }

    #[test]
    fn waves_over_a_disc_are_integrated() {
        let (a, kappa) = (0.3, 40.0);
        let outline = Outline::Ellipse { width: 2.0 * a, height: 2.0 * a };
        let h = 0.8 / kappa;
        let cells = Axis::cells(0.0, 2.0 * a, count((2.0 * a / h).ceil() as usize));
        let lattice = Lattice::over(&outline, Axis::gauss(2.0 * a, count(24)), cells);
        let exact = wave_over_disc(kappa, a);
        let (area, scale) = (outline.area(), outline.area() / 10.0);
        assert_relative_eq!(integral(&lattice, |_| 1.0), area, max_relative = 1e-3);
        for angle in [0.0f64, 0.7, 0.5 * PI] {
            let wave = |[x, y]: [f64; 2]| (kappa * ((x - a) * angle.cos() + (y - a) * angle.sin())).cos();
            let error = (integral(&lattice, wave) - exact).abs() / scale;
            assert!(error < 5e-3, "{angle}: {error}");
        }
    }

    #[test]
    fn columns_stop_at_cutouts() {
        let plate = Outline::Rectangle { width: 0.6, height: 0.4 };
        let outline = plate.with_cutouts(vec![Contour::rectangle([0.2, 0.1], 0.2, 0.15)]).expect("inside");
        let middle: Vec<_> = outline.columns([0.3]).collect();
        let close = |a: &[f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12;
        assert!(
            middle[0].len() == 2 && close(&middle[0][0], [0.0, 0.1]) && close(&middle[0][1], [0.25, 0.4])
        );
        let cells = |length: f64, n: usize| Axis::cells(0.0, length, count(n));
        let lattice = Lattice::over(&outline, cells(0.6, 60), cells(0.4, 37));
        assert_relative_eq!(integral(&lattice, |_| 1.0), outline.area(), max_relative = 1e-12);
        // Polynomials of the fifth degree along the columns are exact.
        let exact = |low: f64, high: f64| (high.powi(6) - low.powi(6)) / 6.0;
        let expected = 0.4 * exact(0.0, 0.4) + 0.2 * (exact(0.0, 0.1) + exact(0.25, 0.4));
        assert_relative_eq!(integral(&lattice, |[_, y]| y.powi(5)), expected, max_relative = 1e-11);
        assert!(lattice.points().zip(lattice.weights()).all(|(p, w)| w == 0.0 || outline.contains(p)));
    }
}
