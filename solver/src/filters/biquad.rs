//! A digital section on the unit circle.

use super::section::roots;
use crate::scene::Biquad;
use num_complex::Complex64;
use std::f64::consts::TAU;

impl Biquad {
    /// Does nothing.
    pub const PLAIN: Self = Self { b: [1.0, 0.0, 0.0], a: [0.0, 0.0] };

    /// Response at `frequency` [Hz] below half the `sample_rate` [Hz]; above, it repeats mirrored, and a converter lets nothing out.
    pub fn response(&self, frequency: f64, sample_rate: f64) -> Complex64 {
        let omega = TAU * frequency / sample_rate;
        turned(self.b, omega) / turned(self.denominator(), omega)
    }

    /// Group delay −dφ/dω [s] at `frequency` [Hz] below half the `sample_rate` [Hz], from the polynomials' derivatives.
    pub fn group_delay(&self, frequency: f64, sample_rate: f64) -> f64 {
        let omega = TAU * frequency / sample_rate;
        (turn(self.denominator(), omega) - turn(self.b, omega)) / sample_rate
    }

    /// Poles in z: stable when all lie inside the unit circle.
    pub fn poles(&self) -> Vec<Complex64> {
        in_z(self.denominator())
    }

    /// Zeros in z: of minimum phase when none lies outside the unit circle.
    pub fn zeros(&self) -> Vec<Complex64> {
        in_z(self.b)
    }

    /// True when an input that ends leaves nothing behind: `|a2| < 1` and `|a1| < 1 + a2`, the triangle in which both poles lie inside the
    /// unit circle.
    pub fn is_stable(&self) -> bool {
        let [a1, a2] = self.a;
        a2.abs() < 1.0 && a1.abs() < 1.0 + a2
    }

    /// The output for `input`, sample by sample, from rest (direct form I).
    pub fn run(&self, input: &[f64]) -> Vec<f64> {
        let ([b0, b1, b2], [a1, a2]) = (self.b, self.a);
        let (mut x, mut y) = ([0.0; 2], [0.0; 2]);
        let step = |&now: &f64| {
            let out = b0 * now + b1 * x[0] + b2 * x[1] - a1 * y[0] - a2 * y[1];
            (x, y) = ([now, x[0]], [out, y[0]]);
            out
        };
        input.iter().map(step).collect()
    }

    fn denominator(&self) -> [f64; 3] {
        [1.0, self.a[0], self.a[1]]
    }
}

/// Roots in z of `c₀ + c₁ z⁻¹ + c₂ z⁻²`; those of z² c(z) that are 0 when c₂ is 0 are left out, they only delay.
fn in_z([c0, c1, c2]: [f64; 3]) -> Vec<Complex64> {
    match (c1 == 0.0, c2 == 0.0) {
        (true, true) => vec![],
        (false, true) => roots([c1, c0, 0.0]),
        _ => roots([c2, c1, c0]),
    }
}

/// `z (c₀ + c₁ z⁻¹ + c₂ z⁻²)` at `z = exp(jω)`. Half angles keep the digits that a low corner at a high sample rate would cost.
fn turned([c0, c1, c2]: [f64; 3], omega: f64) -> Complex64 {
    let square = (0.5 * omega).sin().powi(2);
    Complex64::new((c0 + c1 + c2) - 2.0 * (c0 + c2) * square, (c0 - c2) * omega.sin())
}

/// How fast the phase of `z (c₀ + c₁ z⁻¹ + c₂ z⁻²)` grows with ω; a zero on the unit circle does not turn it.
fn turn([c0, c1, c2]: [f64; 3], omega: f64) -> f64 {
    if c0 == c2 {
        return 0.0;
    }
    let square = (0.5 * omega).sin().powi(2);
    (c0 - c2) * ((c0 + c1 + c2) - 2.0 * c1 * square) / turned([c0, c1, c2], omega).norm_sqr()
}
