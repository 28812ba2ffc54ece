//! Bessel poles, computed.
//!
//! The low-pass `θ_n(0) / θ_n(s)` with the reverse Bessel polynomial
//!
//! ```text
//! θ_n(s) = Σ c_k s^k,   c_k = (2n − k)! / (2^(n−k) k! (n − k)!)
//! ```
//!
//! has a group delay as flat at 0 as n poles allow, of one unit of time. Here s is scaled so that |H| = 1/√2 at |p| = 1.
//! Source: W. E. Thomson, Proc. IEE 96 III (1949) 487–490; L. Storch, Proc. IRE 42 (1954) 1666–1675 (polynomials).

use super::HIGHEST_ORDER;
use num_complex::Complex64;
use std::sync::OnceLock;

/// Steps of Newton's method that are more than enough from the starts used here.
const STEPS: usize = 60;

/// The factors of the polynomial in p, each `d₀ + d₁ p + d₂ p²`, −3 dB at |p| = 1. A search for crossovers asks thousands of times for the same few.
pub(super) fn factors(order: usize) -> Vec<[f64; 3]> {
    static KNOWN: [OnceLock<Vec<[f64; 3]>>; HIGHEST_ORDER + 1] =
        [const { OnceLock::new() }; HIGHEST_ORDER + 1];
    match KNOWN.get(order) {
        Some(known) => known.get_or_init(|| computed(order)).clone(),
        None => computed(order),
    }
}

fn computed(order: usize) -> Vec<[f64; 3]> {
    let factors = real_factors(&zeros(order));
    let corner = half_power(&factors);
    factors.iter().map(|[d0, d1, d2]| [*d0, d1 * corner, d2 * corner * corner]).collect()
}

/// c₀ … c_n, exact up to order 8 and beyond: whole numbers below 2^53. `c_{k+1} / c_k = 2 (n − k) / ((k + 1)(2n − k))`, from c_n = 1.
fn coefficients(order: usize) -> Vec<f64> {
    let mut c = vec![1.0; order + 1];
    for k in (0..order).rev() {
        c[k] = c[k + 1] * ((k + 1) * (2 * order - k)) as f64 / (2 * (order - k)) as f64;
    }
    c
}

/// All zeros of θ_n: Aberth's simultaneous iteration from a circle, with residuals in twice the working precision, since the zeros
/// of order 8 are a hundred times more sensitive than the precision they shall have.
pub(super) fn zeros(order: usize) -> Vec<Complex64> {
    let c = coefficients(order);
    let slopes: Vec<f64> = c.iter().enumerate().skip(1).map(|(k, c)| k as f64 * c).collect();
    // The mean radius of the zeros; the odd angle keeps the start from being symmetric about the real axis.
    let radius = c[0].powf(1.0 / order as f64);
    let start =
        |k: usize| Complex64::from_polar(radius, 0.4 + std::f64::consts::TAU * k as f64 / order as f64);
    let mut z: Vec<_> = (0..order).map(start).collect();
    for _ in 0..STEPS {
        for k in 0..order {
            let newton = doubled(&c, z[k]) / plain(&slopes, z[k]);
            let others: Complex64 = (0..order).filter(|&j| j != k).map(|j| (z[k] - z[j]).inv()).sum();
            z[k] -= newton / (1.0 - newton * others);
        }
    }
    z
}

/// Conjugate pairs as real factors with d₂ = 1, the real zero of an odd order as `d₀ + p`.
fn real_factors(zeros: &[Complex64]) -> Vec<[f64; 3]> {
    let is_real = |z: &Complex64| z.im.abs() < 1e-9 * z.norm();
    let mut upper: Vec<_> = zeros.iter().filter(|z| !is_real(z) && z.im > 0.0).collect();
    upper.sort_by(|a, b| a.im.total_cmp(&b.im));
    let pairs = upper.into_iter().map(|z| [z.norm_sqr(), -2.0 * z.re, 1.0]);
    let single = zeros.iter().filter(|z| is_real(z)).map(|z| [-z.re, 1.0, 0.0]);
    pairs.chain(single).collect()
}

/// Where `Π |D(jx) / D(0)|² = 2`, by Newton's method on its logarithm; it grows with x.
fn half_power(factors: &[[f64; 3]]) -> f64 {
    let mut x = 1.0;
    for _ in 0..STEPS {
        let (mut value, mut slope) = (-2f64.ln(), 0.0);
        for [d0, d1, d2] in factors {
            let (re, im) = (d0 - d2 * x * x, d1 * x);
            let square = re * re + im * im;
            value += (square / (d0 * d0)).ln();
            slope += (2.0 * im * d1 - 4.0 * re * d2 * x) / square;
        }
        x -= value / slope;
    }
    x
}

/// A polynomial by Horner's rule.
fn plain(c: &[f64], z: Complex64) -> Complex64 {
    c.iter().rev().fold(Complex64::ZERO, |sum, &c| sum * z + c)
}

/// The same with sums and products in twice the working precision (T. J. Dekker, Numer. Math. 18 (1971) 224–242), then rounded.
fn doubled(c: &[f64], z: Complex64) -> Complex64 {
    let step = |(re, im): (Double, Double), &c: &f64| {
        (re.times(z.re).plus(im.times(-z.im)).plus(Double(c, 0.0)), re.times(z.im).plus(im.times(z.re)))
    };
    let (re, im) = c.iter().rev().fold((Double(0.0, 0.0), Double(0.0, 0.0)), step);
    Complex64::new(re.0 + re.1, im.0 + im.1)
}

/// A number as the sum of a large and a small part.
#[derive(Clone, Copy)]
struct Double(f64, f64);

impl Double {
    fn plus(self, other: Self) -> Self {
        let sum = self.0 + other.0;
        let part = sum - self.0;
        let lost = (self.0 - (sum - part)) + (other.0 - part);
        Self::tidy(sum, lost + self.1 + other.1)
    }

    fn times(self, factor: f64) -> Self {
        let product = self.0 * factor;
        Self::tidy(product, self.0.mul_add(factor, -product) + self.1 * factor)
    }

    fn tidy(large: f64, small: f64) -> Self {
        let sum = large + small;
        Self(sum, small - (sum - large))
    }
}
