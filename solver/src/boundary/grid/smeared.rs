//! Sources smeared to small balls, which sound the same from outside.
//!
//! A point source replaced by a source spread with a density s(r) over a ball of radius R has outside the ball exactly the field of the point
//! times `ŝ = ∫ s (sin kr)/(kr) dV`. With `s/ŝ` for a density the kernel therefore splits into
//!
//! ```text
//! G = G_s + L      (∇² + k²) G_s = −s/ŝ      L(r) = f(r)/(4πr),  f(r) = (4π/ŝk) ∫_r^R s(ρ) ρ sin k(ρ − r) dρ
//! ```
//!
//! where L is real and vanishes from R on. As `f″ + k²f` is r times an even function, `f = cos kr + r/R E(r²/R²)` with a smooth E: near the source L is
//! known without the cancellation of terms that grow there. G_s is smooth everywhere: its spectrum is that of s over `κ² − k²`. As s serves
//! `z I₁(cz)`, z = √(1 − r²/R²), whose spectrum lies nearly all within `κR < c` and which ends continuously (generalised Kaiser–Bessel functions:
//! R. M. Lewitt, J. Opt. Soc. Am. A 7, 1990, 1834–1846; from memory; the split itself is derived here).

use crate::boundary::triangle_rule::gauss;
use num_complex::Complex64;
use std::f64::consts::PI;

/// c: little of the smooth part lies beyond `c/R`.
pub(super) const CONCENTRATION: f64 = 9.0;
/// Chebyshev terms of E and of the cosine: the next one is below 1e-7.
pub(super) const TERMS: usize = 15;
/// Terms of the density in powers of 1 − r²/R², which grow like those of exp.
pub(super) const POWERS: usize = 22;
const NODES: usize = 48;

/// The split of the kernel at one wavenumber.
#[derive(Clone, Debug)]
pub(super) struct Smeared {
    /// R [m].
    pub radius: f64,
    /// k [rad/m].
    pub k: f64,
    /// Chebyshev coefficients of E in `2r²/R² − 1`, the first one halved.
    pub local: [f64; TERMS],
    /// The same of `(cos kr − 1) R²/r²`.
    pub cosine: [f64; TERMS],
    /// Coefficients of `−s/ŝ` [m⁻³] in powers of `1 − r²/R²`.
    pub density: [f64; POWERS],
}

impl Smeared {
    pub fn new(radius: f64, k: f64) -> Self {
        let q = k * radius;
        // ŝ/R³.
        let outside = 4.0 * PI * integral(0.0, |t| shape(t) * t * sine_over(q, t));
        let f =
            |t: f64| 4.0 * PI / outside * integral(t, |later| shape(later) * later * sine_over(q, later - t));
        let scale = -1.0 / (outside * radius.powi(3));
        Self {
            radius,
            k,
            local: chebyshev(|square| (f(square.sqrt()) - (q * square.sqrt()).cos()) / square.sqrt()),
            cosine: chebyshev(|square| -2.0 * (0.5 * q * square.sqrt()).sin().powi(2) / square),
            density: shape_powers().map(|term| scale * term),
        }
    }

    /// f and its derivative by r [1/m], for r ≤ R.
    pub fn local(&self, r: f64) -> [f64; 2] {
        let t = r / self.radius;
        let [even, slope] = clenshaw(&self.local, 2.0 * t * t - 1.0);
        let (sine, cosine) = (self.k * r).sin_cos();
        [cosine + t * even, (even + 4.0 * t * t * slope) / self.radius - self.k * sine]
    }

    /// `(∇² + k²) G_s = −s/ŝ` [m⁻³], for r ≤ R.
    pub fn density(&self, r: f64) -> f64 {
        polynomial(&self.density, 1.0 - (r / self.radius).powi(2))
    }

    /// G_s, `−(dG_s/dr)/r` (0 at r = 0, where it multiplies nothing), and `−∇²G_s` [m⁻³].
    pub fn smooth(&self, r: f64) -> [Complex64; 3] {
        let wave = Complex64::cis(-self.k * r);
        let [f, slope] = if r < self.radius { self.local(r) } else { [0.0; 2] };
        let density = if r < self.radius { self.density(r) } else { 0.0 };
        let jk = Complex64::new(0.0, self.k);
        let (value, falling) = if r > 0.0 {
            let value = (wave - f) / (4.0 * PI * r);
            (value, (value + (jk * wave + slope) / (4.0 * PI)) / (r * r))
        } else {
            ((-jk - slope) / (4.0 * PI), Complex64::ZERO)
        };
        [value, falling, self.k * self.k * value - density]
    }
}

/// `sin(qt)/q`.
fn sine_over(q: f64, t: f64) -> f64 {
    if q * t < 1e-4 { t } else { (q * t).sin() / q }
}

/// `z I₁(cz)`, z = √(1 − t²).
fn shape(t: f64) -> f64 {
    polynomial(&shape_powers(), 1.0 - t * t)
}

/// In powers of z²: `(c/2)^(2m−1)/((m − 1)! m!)` from m = 1 on.
fn shape_powers() -> [f64; POWERS] {
    let half = 0.5 * CONCENTRATION;
    let mut term = half;
    std::array::from_fn(|m| {
        if m == 0 {
            return 0.0;
        }
        let own = term;
        term *= half * half / (m * (m + 1)) as f64;
        own
    })
}

fn polynomial(terms: &[f64], y: f64) -> f64 {
    terms.iter().rev().fold(0.0, |sum, term| sum * y + term)
}

/// From `t` to 1.
fn integral(t: f64, integrand: impl Fn(f64) -> f64) -> f64 {
    let length = 1.0 - t;
    gauss(NODES).into_iter().map(|(place, weight)| length * weight * integrand(t + length * place)).sum()
}

/// Coefficients of a function between 0 and 1, the first one halved.
fn chebyshev(f: impl Fn(f64) -> f64) -> [f64; TERMS] {
    let angle = |i: usize| PI * (i as f64 + 0.5) / TERMS as f64;
    let samples: [f64; TERMS] = std::array::from_fn(|i| f(0.5 + 0.5 * angle(i).cos()));
    std::array::from_fn(|n| {
        let sum: f64 = (0..TERMS).map(|i| samples[i] * (n as f64 * angle(i)).cos()).sum();
        sum * if n == 0 { 1.0 } else { 2.0 } / TERMS as f64
    })
}

/// A Chebyshev sum and its derivative by x.
fn clenshaw(terms: &[f64; TERMS], x: f64) -> [f64; 2] {
    let (mut b, mut d) = ([0.0; 2], [0.0; 2]);
    for &term in terms[1..].iter().rev() {
        d = [2.0 * (b[0] + x * d[0]) - d[1], d[0]];
        b = [term + 2.0 * x * b[0] - b[1], b[0]];
    }
    [terms[0] + x * b[0] - b[1], b[0] + x * d[0] - d[1]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_of_a_source_is_local_where_it_is_and_nothing_outside() {
        for k in [0.0, 1.0, 20.0, 40.0] {
            let split = Smeared::new(0.1, k);
            let [at_source, at_rim] = [0.0, 0.1].map(|r| split.local(r)[0]);
            assert!((at_source - 1.0).abs() < 1e-9, "{k}: {at_source}");
            assert!(at_rim.abs() < 1e-9, "{k}: {at_rim}");
            let last = |terms: &[f64; TERMS]| terms[TERMS - 2..].iter().all(|term| term.abs() < 1e-7);
            assert!(last(&split.local) && last(&split.cosine), "{:?} {:?}", split.local, split.cosine);
        }
    }

    /// `f″ + k² f = −4πr (∇² + k²) G_s` from `∇²(f/r) = f″/r`.
    #[test]
    fn the_smooth_part_obeys_the_wave_equation_with_its_density() {
        let split = Smeared::new(0.1, 30.0);
        let h = 1e-4;
        for r in [0.01, 0.03, 0.06, 0.09] {
            let [before, here, after] = [r - h, r, r + h].map(|r| split.local(r));
            let second = (after[1] - before[1]) / (2.0 * h);
            let expected = 4.0 * PI * r * split.density(r);
            let found = second + split.k * split.k * here[0];
            assert!(
                (found + expected).abs() < 1e-4 * split.density(0.0).abs() * r,
                "{r}: {found} {expected}"
            );
            assert!(((after[0] - before[0]) / (2.0 * h) - here[1]).abs() < 1e-4);
        }
    }

    #[test]
    fn slopes_are_derivatives() {
        let split = Smeared::new(0.1, 30.0);
        let h = 1e-5;
        for r in [0.02, 0.08, 0.15] {
            let [before, here, after] = [r - h, r, r + h].map(|r| split.smooth(r));
            let difference = (after[0] - before[0]) / (2.0 * h);
            assert!((difference + here[1] * r).norm() < 1e-6 * here[1].norm(), "{r}");
        }
    }

    /// Beyond `c/R` little is left of the density's spectrum.
    #[test]
    fn the_spectrum_is_concentrated() {
        let transform = |q: f64| integral(0.0, |t| shape(t) * t * sine_over(q, t));
        let whole = transform(0.0);
        for (q, limit) in [(9.0, 2e-2), (10.5, 1e-3), (12.0, 6e-4), (14.0, 3e-4), (20.0, 5e-5)] {
            assert!((transform(q) / whole).abs() < limit, "{q}: {}", transform(q) / whole);
        }
    }
}
