//! Wavenumber, coupling, and the kernels in double precision.

use num_complex::Complex64;
use std::f64::consts::PI;

/// One frequency.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wave {
    /// Wavenumber k [rad/m].
    pub k: f64,
    /// κ [m], the coupling parameter is `α = −jκ`.
    pub coupling: f64,
}

/// Below this kr the remainder is summed from its series.
const SERIES_BELOW: f64 = 1.0;
const SERIES_TERMS: usize = 18;

impl Wave {
    pub fn alpha(&self) -> Complex64 {
        Complex64::new(0.0, -self.coupling)
    }

    /// `G = exp(−jkr)/(4πr)` and `−(dG/dr)/r`; nothing at r = 0, as in the plain sum.
    pub fn green(&self, r: f64) -> [Complex64; 2] {
        if r == 0.0 {
            return [Complex64::ZERO; 2];
        }
        let g = Complex64::cis(-self.k * r) / (4.0 * PI * r);
        [g, g * Complex64::new(1.0 / r, self.k) / r]
    }

    /// `R = [exp(−jkr) − 1 + (kr)²/2]/(4πr)` and `−(dR/dr)/r`: what is left of G without `1/(4πr) − k²r/(8π)`. Finite at r = 0.
    pub fn remainder(&self, r: f64) -> [Complex64; 2] {
        let t = self.k * r;
        let [value, slope] = if t < SERIES_BELOW { series(t) } else { closed(t) };
        [value * (self.k / (4.0 * PI)), slope * (self.k.powi(3) / (4.0 * PI))]
    }
}

/// `f = (exp(−jt) − 1 + t²/2)/t` and `−f′/t`.
fn closed(t: f64) -> [Complex64; 2] {
    let wave = Complex64::cis(-t);
    let f = (wave - 1.0 + 0.5 * t * t) / t;
    let slope = (-Complex64::i() * wave + t - f) / t;
    [f, -slope / t]
}

/// Both as `Σ (−j)^n t^(n−1)/n!` without n = 0 and 2.
fn series(t: f64) -> [Complex64; 2] {
    let mut value = -Complex64::i();
    let mut slope = Complex64::ZERO;
    // (−j)^n/n! t^(n−3), from n = 3.
    let mut term = Complex64::i() / 6.0;
    for n in 3..SERIES_TERMS {
        value += term * t * t;
        slope -= term * (n - 1) as f64;
        term *= Complex64::new(0.0, -t / (n + 1) as f64);
    }
    [value, slope]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_remainder_is_the_kernel_less_its_singular_part() {
        let wave = Wave { k: 3.0, coupling: 0.0 };
        for r in [0.1, 0.2, 0.33, 0.34, 1.0, 2.0] {
            let singular = 1.0 / (4.0 * PI * r) - 9.0 * r / (8.0 * PI);
            let slope = 1.0 / (4.0 * PI * r * r) + 9.0 / (8.0 * PI);
            let ([g, dg], [rest, drest]) = (wave.green(r), wave.remainder(r));
            assert!((g - singular - rest).norm() < 1e-13, "{r}");
            assert!((dg - slope / r - drest).norm() < 1e-12 / (r * r), "{r}");
        }
    }

    #[test]
    fn series_and_closed_form_meet() {
        for (a, b) in series(SERIES_BELOW).into_iter().zip(closed(SERIES_BELOW)) {
            assert!((a - b).norm() < 1e-11, "{a} {b}");
        }
    }
}
