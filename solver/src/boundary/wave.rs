//! Wavenumber, coupling, and the kernels in double precision, on whole vectors.

use crate::sincos::cosine_sine;
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

pub(super) const LANES: usize = 8;
pub(super) type Lanes = [f64; LANES];

/// One frequency.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wave {
    /// Wavenumber k [rad/m].
    pub k: f64,
    /// κ [m], the coupling parameter is `α = −jκ`.
    pub coupling: f64,
}

/// Which kernel g(r).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kernel {
    /// `G = exp(−jkr)/(4πr)`; nothing at r = 0, as in the plain sum.
    Whole,
    /// `R = [exp(−jkr) − 1 + (kr)²/2]/(4πr)`, G without `1/(4πr) − k²r/(8π)`: finite at r = 0.
    Remainder,
}

/// A kernel g and `−(dg/dr)/r`, real and imaginary parts.
pub(super) struct KernelLanes {
    pub value: [Lanes; 2],
    pub slope: [Lanes; 2],
}

impl Wave {
    pub fn alpha(&self) -> Complex64 {
        Complex64::new(0.0, -self.coupling)
    }

    /// The kernel at distances r, the slope being zero at r = 0. Cancellation leaves the remainder an error of the rounding of `1/r`, the
    /// singular part that it is added to.
    #[inline(always)]
    pub fn kernels<const FMA: bool>(&self, kernel: Kernel, r: &Lanes) -> KernelLanes {
        let k = self.k;
        let [cosine, sine] = cosine_sine::<FMA, LANES>(r.map(|r| r * k / TAU));
        let mut lanes = KernelLanes { value: [[0.0; LANES]; 2], slope: [[0.0; LANES]; 2] };
        for lane in 0..LANES {
            let inverse = if r[lane] > 0.0 { 1.0 / r[lane] } else { 0.0 };
            let (t, scale) = (k * r[lane], 0.25 / PI * inverse);
            let (mut re, mut im) = (cosine[lane], -sine[lane]);
            // −r² d/dr (e/r) = e + jkr e for e = exp(−jkr).
            let (mut slope_re, mut slope_im) = (re - t * im, im + t * re);
            if kernel == Kernel::Remainder {
                re += 0.5 * t * t - 1.0;
                // −r² d/dr of −1/r + k²r/2.
                slope_re -= 1.0 + 0.5 * t * t;
                if r[lane] == 0.0 {
                    im = -k;
                }
            }
            let value_scale = if r[lane] > 0.0 { scale } else { 0.25 / PI };
            let at_nothing = kernel == Kernel::Whole && r[lane] == 0.0;
            lanes.value[0][lane] = if at_nothing { 0.0 } else { re * value_scale };
            lanes.value[1][lane] = if at_nothing { 0.0 } else { im * value_scale };
            slope_re *= scale * inverse * inverse;
            slope_im *= scale * inverse * inverse;
            lanes.slope[0][lane] = slope_re;
            lanes.slope[1][lane] = slope_im;
        }
        lanes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(wave: &Wave, kernel: Kernel, r: f64) -> [Complex64; 2] {
        let lanes = wave.kernels::<false>(kernel, &[r; LANES]);
        [lanes.value, lanes.slope].map(|[re, im]| Complex64::new(re[3], im[3]))
    }

    #[test]
    fn the_whole_kernel_and_its_slope() {
        let wave = Wave { k: 3.0, coupling: 0.0 };
        for r in [0.1, 0.7, 2.0] {
            let green = |r: f64| Complex64::cis(-3.0 * r) / (4.0 * PI * r);
            let [g, slope] = at(&wave, Kernel::Whole, r);
            let difference = (green(r + 1e-5) - green(r - 1e-5)) / 2e-5;
            assert!((g - green(r)).norm() < 1e-14);
            assert!((slope + difference / r).norm() < 1e-7 / r.powi(3));
        }
        assert_eq!(at(&wave, Kernel::Whole, 0.0), [Complex64::ZERO; 2]);
    }

    #[test]
    fn the_remainder_is_the_kernel_less_its_singular_part() {
        let wave = Wave { k: 3.0, coupling: 0.0 };
        for r in [1e-4, 0.1, 0.33, 1.0, 2.0] {
            let singular = 1.0 / (4.0 * PI * r) - 9.0 * r / (8.0 * PI);
            let slope = 1.0 / (4.0 * PI * r * r) + 9.0 / (8.0 * PI);
            let ([g, dg], [rest, drest]) = (at(&wave, Kernel::Whole, r), at(&wave, Kernel::Remainder, r));
            assert!((g - singular - rest).norm() < 1e-15 / r, "{r}");
            assert!((dg - slope / r - drest).norm() < 1e-14 / r.powi(3), "{r}");
        }
        let [rest, slope] = at(&wave, Kernel::Remainder, 0.0);
        assert!((rest - Complex64::new(0.0, -3.0 / (4.0 * PI))).norm() < 1e-15 && slope == Complex64::ZERO);
    }
}
