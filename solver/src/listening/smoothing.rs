//! Smoothing of curves.

use super::bands::LogMean;
use std::f64::consts::LN_2;

/// Smooths mean squares over 1/`fraction` octave: at every frequency f the mean over logarithmic frequency from
/// `f 2^(−1/2N)` to `f 2^(+1/2N)`, N = `fraction` (rectangular window on energy).
///
/// A convention, not a standard: J. G. Tylka, B. B. Boren & E. Y. Choueiri, J. Audio Eng. Soc. 65 (2017) 239;
/// P. D. Hatziantoniou & J. N. Mourjopoulos, J. Audio Eng. Soc. 48 (2000) 259. Where the window would reach beyond the
/// samples it shrinks on both sides alike, so that a slope is not bent; the first and the last value stay as they are.
/// `frequencies` [Hz] ascend strictly. A `fraction` of 0 leaves the curve as it is.
pub fn smooth(frequencies: &[f64], mean_square: &[f64], fraction: u32) -> Vec<f64> {
    Smoother::new(frequencies, fraction).of(mean_square)
}

/// Index and weight of every sample in each value of [`smooth`].
pub(crate) fn smoothing_weights(frequencies: &[f64], fraction: u32) -> Vec<Vec<(usize, f64)>> {
    match Smoother::new(frequencies, fraction).windows {
        Some(windows) => windows.iter().map(|window| window.terms().collect()).collect(),
        None => (0..frequencies.len()).map(|index| vec![(index, 1.0)]).collect(),
    }
}

/// [`smooth`] for many curves over the same frequencies.
pub(crate) struct Smoother {
    /// Window of each frequency; `None` leaves curves as they are.
    windows: Option<Vec<LogMean>>,
}

impl Smoother {
    /// See [`smooth`].
    pub(crate) fn new(frequencies: &[f64], fraction: u32) -> Self {
        let (Some(&start), Some(&end)) = (frequencies.first(), frequencies.last()) else {
            return Self { windows: Some(vec![]) };
        };
        let full = LN_2 / (2.0 * f64::from(fraction));
        let window = |&f: &f64| {
            let half = full.min((f / start).ln()).min((end / f).ln()).exp();
            LogMean::between(frequencies, f / half, f * half)
        };
        Self { windows: (fraction > 0).then(|| frequencies.iter().map(window).collect()) }
    }

    /// The smoothed curve.
    pub(crate) fn of(&self, mean_square: &[f64]) -> Vec<f64> {
        match &self.windows {
            Some(windows) => windows.iter().map(|window| window.of(mean_square)).collect(),
            None => mean_square.to_vec(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn grid(count: usize) -> Vec<f64> {
        (0..count).map(|i| 50.0 * 400f64.powf(i as f64 / (count - 1) as f64)).collect()
    }

    #[test]
    fn the_window_reaches_as_far_as_it_says() {
        // One sample of a fine grid stands out: every point within 1/2N octave hears of it, no point further away.
        let f = grid(1001);
        let mut spike = vec![0.0; f.len()];
        spike[500] = 1.0;
        let step = 400f64.ln() / 1000.0;
        for (i, value) in smooth(&f, &spike, 3).into_iter().enumerate() {
            let away = (i as f64 - 500.0).abs() * step - LN_2 / 6.0;
            assert!(if away < 0.0 { value > 0.0 } else { away < step || value == 0.0 }, "{i}: {value}");
        }
    }

    proptest! {
        #[test]
        fn a_constant_stays_constant(value in 1e-12..1e6f64, fraction in 1u32..48, count in 2usize..300) {
            let f = grid(count);
            for smoothed in smooth(&f, &vec![value; count], fraction) {
                prop_assert!((smoothed / value - 1.0).abs() < 1e-12);
            }
        }

        #[test]
        fn smoothing_stays_between_the_extremes_and_scales(values in prop::collection::vec(1e-6..1.0f64, 80), fraction in 1u32..25) {
            let f = grid(80);
            let (low, high) = values.iter().fold((f64::MAX, 0.0f64), |(l, h), &v| (l.min(v), h.max(v)));
            let doubled: Vec<f64> = values.iter().map(|v| 2.0 * v).collect();
            for (once, twice) in smooth(&f, &values, fraction).into_iter().zip(smooth(&f, &doubled, fraction)) {
                prop_assert!(once >= low * (1.0 - 1e-12) && once <= high * (1.0 + 1e-12));
                prop_assert!((twice / once - 2.0).abs() < 1e-12);
            }
        }
    }
}
