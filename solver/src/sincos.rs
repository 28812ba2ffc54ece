//! Cosine and sine of a phase given in turns, without branches and on whole vectors, in double and single precision.
//!
//! The phase t is reduced by rounding to the nearest whole turn, so |t| ≤ ½; then, with m = √2 sin πt and n = √2 cos πt from
//! polynomials in t², `cos 2πt = 1 − m²` and `sin 2πt = m n`. The polynomials interpolate at Chebyshev nodes in t² (computed
//! with 40 digits). Rounding is done by adding and subtracting 1.5 · 2^(mantissa bits): valid up to 2^50 (2^21) turns.
//!
//! `FMA` says whether the processor fuses multiply and add; only the callers' `#[multiversion]` dispatch knows.

/// `√2 sin(πt)/t` in powers of t²; largest error of the sine 3e-16.
const SINE: [f64; 8] = [
    4.442_882_938_158_366,
    -7.308_249_499_995_178,
    3.606_476_571_448_815_6,
    -0.847_488_024_113_754_3,
    0.116_171_815_915_082_92,
    -0.010_423_269_190_210_157,
    0.000_659_005_155_764_026_6,
    -2.988_746_242_341_231_6e-5,
];

/// `√2 cos πt` in powers of t²; largest error 6e-18.
const COSINE: [f64; 9] = [
    std::f64::consts::SQRT_2,
    -6.978_864_199_638_876,
    5.739_885_734_946_354,
    -1.888_346_717_030_253_7,
    0.332_807_768_770_991_9,
    -0.036_496_452_054_521_99,
    0.002_728_804_649_905_714,
    -0.000_147_879_437_971_949_6,
    5.868_370_187_285_554e-6,
];

/// As [`SINE`], minimax, largest error 8e-7.
const SINE_SINGLE: [f32; 4] = [4.442_867_9, -7.307_443_4, 3.594_788, -0.784_374];

/// As [`COSINE`], largest error 7e-8.
const COSINE_SINGLE: [f32; 5] = [std::f32::consts::SQRT_2, -6.978_851, 5.739_461_2, -1.883_563, 0.310_698_2];

macro_rules! cosine_and_sine {
    ($name:ident, $float:ty, $rounder:expr, $sine:ident, $cosine:ident) => {
        /// `[cos 2πt, sin 2πt]` of every lane.
        #[inline(always)]
        pub(crate) fn $name<const FMA: bool, const LANES: usize>(t: [$float; LANES]) -> [[$float; LANES]; 2] {
            const ROUNDER: $float = $rounder;
            let fused = |a: $float, b: $float, c: $float| if FMA { a.mul_add(b, c) } else { a * b + c };
            let (mut cosine, mut sine) = ([0.0; LANES], [0.0; LANES]);
            for lane in 0..LANES {
                let reduced = t[lane] - ((t[lane] + ROUNDER) - ROUNDER);
                let square = reduced * reduced;
                let powers = |table: &[$float]| {
                    let (last, rest) = table.split_last().unwrap_or((&0.0, &[]));
                    rest.iter().rev().fold(*last, |sum, &term| fused(sum, square, term))
                };
                let m = reduced * powers(&$sine);
                let n = powers(&$cosine);
                cosine[lane] = fused(-m, m, 1.0);
                sine[lane] = m * n;
            }
            [cosine, sine]
        }
    };
}

cosine_and_sine!(cosine_sine, f64, 6_755_399_441_055_744.0, SINE, COSINE);
cosine_and_sine!(cosine_sine_single, f32, 12_582_912.0, SINE_SINGLE, COSINE_SINGLE);

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Largest deviation from the standard library over ±`turns`, both functions, with exactly reduced phases.
    fn worst(turns: f64, function: impl Fn(f64) -> [f64; 2], reduce: impl Fn(f64) -> f64) -> f64 {
        let deviation = |i: i32| {
            let t = turns * f64::from(i) / 20_011.0;
            let [c, s] = function(t);
            let exact = reduce(t) - reduce(t).round();
            (c - (TAU * exact).cos()).abs().max((s - (TAU * exact).sin()).abs())
        };
        (-20_011..=20_011).map(deviation).fold(0.0, f64::max)
    }

    #[test]
    fn double_precision_is_exact_to_rounding() {
        let both = |t| cosine_sine::<false, 1>([t]).map(|v| v[0]);
        // Squaring m doubles its rounding error: up to 2e-15 near half a turn.
        assert!(worst(0.5, both, |t| t) < 2.5e-15, "{:e}", worst(0.5, both, |t| t));
        assert!(worst(1234.5, both, |t| t) < 2.5e-15);
    }

    #[test]
    fn single_precision_is_good_to_3e_6() {
        let both = |t: f64| cosine_sine_single::<false, 1>([t as f32]).map(|v| f64::from(v[0]));
        let stored = |t: f64| f64::from(t as f32);
        assert!(worst(64.0, both, stored) < 3e-6, "{:e}", worst(64.0, both, stored));
    }
}
