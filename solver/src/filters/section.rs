//! A real section of first or second order in `p = s / ω_c`.

use crate::scene::Biquad;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

/// `H = (n₀ + n₁ p + n₂ p²) / (d₀ + d₁ p + d₂ p²)` with `p = jf / f_c`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// n₀, n₁, n₂.
    pub numerator: [f64; 3],
    /// d₀, d₁, d₂; of first order when d₂ and n₂ are 0.
    pub denominator: [f64; 3],
    /// f_c [Hz].
    pub corner: f64,
}

impl Section {
    /// Response at `frequency` [Hz].
    pub fn response(&self, frequency: f64) -> Complex64 {
        let x = frequency / self.corner;
        on_the_axis(self.numerator, x) / on_the_axis(self.denominator, x)
    }

    /// Group delay −dφ/dω [s] at `frequency` [Hz], from the polynomials' derivatives. A zero on the jω axis delays nothing; at its own
    /// frequency the phase jumps, and the value is that on both sides.
    pub fn group_delay(&self, frequency: f64) -> f64 {
        let x = frequency / self.corner;
        (turn(self.denominator, x) - turn(self.numerator, x)) / (TAU * self.corner)
    }

    /// Poles [rad/s]: stable when all lie left of the imaginary axis.
    pub fn poles(&self) -> Vec<Complex64> {
        self.scaled(self.denominator)
    }

    /// Zeros [rad/s], those at infinity left out: of minimum phase when none lies right of the imaginary axis.
    pub fn zeros(&self) -> Vec<Complex64> {
        self.scaled(self.numerator)
    }

    fn scaled(&self, polynomial: [f64; 3]) -> Vec<Complex64> {
        roots(polynomial).into_iter().map(|root| root * (TAU * self.corner)).collect()
    }

    /// Through the bilinear transform at `sample_rate` [Hz], which must exceed twice the corner; the corner stays where it is.
    pub fn bilinear(&self, sample_rate: f64) -> Biquad {
        let t = (PI * self.corner / sample_rate).tan();
        let first_order = self.numerator[2] == 0.0 && self.denominator[2] == 0.0;
        let transform = if first_order { linear } else { quadratic };
        let (b, a) = (transform(self.numerator, t), transform(self.denominator, t));
        Biquad { b: b.map(|b| b / a[0]), a: [a[1] / a[0], a[2] / a[0]] }
    }
}

/// `c₀ + c₁ p` times t (1 + z⁻¹), in powers of z⁻¹.
fn linear([c0, c1, _]: [f64; 3], t: f64) -> [f64; 3] {
    [c0 * t + c1, c0 * t - c1, 0.0]
}

/// `c₀ + c₁ p + c₂ p²` times t² (1 + z⁻¹)², in powers of z⁻¹.
fn quadratic([c0, c1, c2]: [f64; 3], t: f64) -> [f64; 3] {
    let (c0, c1) = (c0 * t * t, c1 * t);
    [c0 + c1 + c2, 2.0 * (c0 - c2), c0 - c1 + c2]
}

/// A real polynomial at p = jx.
fn on_the_axis([c0, c1, c2]: [f64; 3], x: f64) -> Complex64 {
    Complex64::new(c0 - c2 * x * x, c1 * x)
}

/// How fast the phase of a real polynomial at p = jx grows with x: `c₁ (c₀ + c₂ x²) / |·|²`.
fn turn([c0, c1, c2]: [f64; 3], x: f64) -> f64 {
    if c1 == 0.0 { 0.0 } else { c1 * (c0 + c2 * x * x) / on_the_axis([c0, c1, c2], x).norm_sqr() }
}

/// Roots of `c₀ + c₁ x + c₂ x²`, as many as its degree has; the larger one first, so that nothing cancels.
pub(super) fn roots([c0, c1, c2]: [f64; 3]) -> Vec<Complex64> {
    if c2 == 0.0 {
        return if c1 == 0.0 { vec![] } else { vec![Complex64::from(-c0 / c1)] };
    }
    let (half, product) = (-0.5 * c1 / c2, c0 / c2);
    let square = half * half - product;
    if square < 0.0 {
        let root = Complex64::new(half, (-square).sqrt());
        return vec![root, root.conj()];
    }
    let larger = half + square.sqrt().copysign(half);
    let smaller = if larger == 0.0 { 0.0 } else { product / larger };
    vec![Complex64::from(larger), Complex64::from(smaller)]
}
