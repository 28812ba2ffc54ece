//! The window by which values between grid points become values at grid points.
//!
//! Kaiser and Bessel's, `w(x) = I₀(b√(1 − (2x/W)²))/I₀(b)` over W cells, whose transform `W/I₀(b) · sinh(√(b² − (Wθ/2)²))/√(…)` is
//! known, so that what the window does to the spectrum is undone there (as in nonuniform fast Fourier transforms: J. A. Fessler &
//! B. P. Sutton, IEEE Trans. Signal Process. 51, 2003, 560–574; from memory).

use std::f64::consts::PI;

/// W: cells that the window covers in each direction.
pub(super) const WIDTH: usize = 6;

/// Grid points per wave of the highest wavenumber that has to be right, over two.
pub(super) const FINENESS: f64 = 1.5;

/// b for that fineness: the window's transform stays large up to the highest wavenumber and is small at its mirror image.
fn sharpness() -> f64 {
    PI * WIDTH as f64 * (1.0 - 0.5 / FINENESS)
}

/// First grid point under the window, and the window and its slope [1/cell] at all points under it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weights {
    pub first: u32,
    pub values: [f32; WIDTH],
    pub slopes: [f32; WIDTH],
}

impl Weights {
    /// For a place in cells from grid point 0, at least half a window inside.
    pub fn at(place: f64) -> Self {
        let half = 0.5 * WIDTH as f64;
        let first = (place - half).ceil();
        let both: [[f64; 2]; WIDTH] = std::array::from_fn(|i| window(first + i as f64 - place));
        Self {
            first: first as u32,
            values: both.map(|[value, _]| value as f32),
            slopes: both.map(|[_, slope]| slope as f32),
        }
    }
}

/// w and its derivative at x cells from its middle.
fn window(x: f64) -> [f64; 2] {
    let b = sharpness();
    let t = 2.0 * x / WIDTH as f64;
    if t.abs() > 1.0 {
        return [0.0; 2];
    }
    let root = (1.0 - t * t).max(0.0).sqrt();
    let [i0, i1_over] = bessel(b * root);
    let scale = 1.0 / bessel(b)[0];
    [scale * i0, -scale * i1_over * b * b * t * 2.0 / WIDTH as f64]
}

/// Transform of the window at `angle` [rad/cell].
pub(super) fn transform(angle: f64) -> f64 {
    let b = sharpness();
    let square = b * b - (0.5 * WIDTH as f64 * angle).powi(2);
    let root = square.abs().sqrt();
    let ratio = match square {
        _ if root < 1e-6 => 1.0,
        s if s > 0.0 => root.sinh() / root,
        _ => root.sin() / root,
    };
    WIDTH as f64 * ratio / bessel(b)[0]
}

/// I₀(z) and I₁(z)/z from their series.
fn bessel(z: f64) -> [f64; 2] {
    let quarter = 0.25 * z * z;
    let (mut term, mut sums) = (1.0, [0.0; 2]);
    for m in 1..80 {
        sums[0] += term;
        sums[1] += 0.5 * term / m as f64;
        term *= quarter / (m * m) as f64;
        if term < 1e-18 * sums[0] {
            break;
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bessel_functions_are_those_of_the_tables() {
        // M. Abramowitz & I. A. Stegun, Handbook of Mathematical Functions, table 9.8: e^-1 I₀(1), e^-1 I₁(1).
        let [i0, i1] = bessel(1.0);
        assert!((i0 * (-1f64).exp() - 0.465_759_607_7).abs() < 1e-9, "{i0}");
        assert!((i1 * (-1f64).exp() - 0.207_910_415_3).abs() < 1e-9, "{i1}");
    }

    #[test]
    fn the_transform_is_that_of_the_window() {
        for angle in [0.0, 0.7, 1.5, 2.5, 4.0] {
            let steps = 6000;
            let sum: f64 = (0..steps)
                .map(|i| {
                    let x = WIDTH as f64 * ((i as f64 + 0.5) / steps as f64 - 0.5);
                    window(x)[0] * (angle * x).cos()
                })
                .sum();
            let numeric = sum * WIDTH as f64 / steps as f64;
            assert!((numeric - transform(angle)).abs() < 1e-5, "{angle}: {numeric} {}", transform(angle));
        }
    }

    #[test]
    fn slopes_are_derivatives() {
        for x in [-2.7, -1.0, 0.3, 2.2] {
            let h = 1e-6;
            let difference = (window(x + h)[0] - window(x - h)[0]) / (2.0 * h);
            assert!((difference - window(x)[1]).abs() < 1e-8, "{x}");
        }
    }

    #[test]
    fn the_window_fits_around_every_place() {
        for place in [10.0, 10.2, 10.5, 10.99] {
            let weights = Weights::at(place);
            assert!(weights.first >= 7 && weights.first as usize + WIDTH <= 15);
        }
    }
}
