//! Fractional-octave bands and band means.

use super::findings::Band;
use std::ops::Range;

/// Mid-band frequency of the band system [Hz] (IEC 61260-1:2014, § 5.3).
const REFERENCE_FREQUENCY: f64 = 1000.0;

/// Mantissas of the nominal third-octave frequencies, one decade (ISO 266:1997, table 1).
const NOMINAL_MANTISSAS: [f64; 10] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];

/// Bands of width 1/`fraction` octave whose mid-band frequency, exact or nominal, lies in `from`…`to` [Hz], ascending.
///
/// Base ten (IEC 61260-1:2014, eq. (1)–(5)): with the octave ratio `G = 10^(3/10)` and b = `fraction`, mid-bands are
/// `1000 G^(x/b)` for odd b and `1000 G^((2x+1)/(2b))` for even b, edges `G^(∓1/(2b))` away. Edges of neighbours are the
/// same number to the last bit. Empty if `fraction` is 0 or the range is empty or not positive.
pub fn fractional_octaves(fraction: u32, from: f64, to: f64) -> Vec<Band> {
    if fraction == 0 || !(from > 0.0 && to >= from && to.is_finite()) {
        return vec![];
    }
    // Nominal and exact mid-bands differ by at most 5 %, so one band more on each side is enough.
    let first = half_steps(fraction, from).floor() as i64 - 3;
    let last = half_steps(fraction, to).ceil() as i64 + 3;
    let parity = i64::from(fraction.is_multiple_of(2));
    (first..=last)
        .filter(|half_step| half_step.rem_euclid(2) == parity)
        .map(|half_step| band(fraction, half_step))
        .filter(|band| band.centre.max(band.nominal) >= from && band.centre.min(band.nominal) <= to)
        .collect()
}

/// Distance of `frequency` from 1 kHz in half bands.
fn half_steps(fraction: u32, frequency: f64) -> f64 {
    (frequency / REFERENCE_FREQUENCY).log10() * 20.0 * f64::from(fraction) / 3.0
}

/// Frequency `half_step` half bands from 1 kHz: `1000 G^(half_step / 2b)`.
fn at_half_step(fraction: u32, half_step: i64) -> f64 {
    REFERENCE_FREQUENCY * 10f64.powf(3.0 * half_step as f64 / (20.0 * f64::from(fraction)))
}

fn band(fraction: u32, half_step: i64) -> Band {
    Band {
        centre: at_half_step(fraction, half_step),
        lower: at_half_step(fraction, half_step - 1),
        upper: at_half_step(fraction, half_step + 1),
        nominal: nominal(fraction, half_step),
    }
}

/// Nominal frequency: ISO 266:1997 for octaves and third octaves; otherwise the exact one rounded to three significant
/// digits when the first digit is 1…4 and to two when it is 5…9 (IEC 61260-1:2014, annex E, from memory). Bands narrower
/// than 1/24 octave keep one digit more, so that labels stay distinct (our own rule).
fn nominal(fraction: u32, half_step: i64) -> f64 {
    match fraction {
        1 => nominal_third(3 * half_step / 2),
        3 => nominal_third(half_step / 2),
        _ => {
            let exact = at_half_step(fraction, half_step);
            let decade = exact.log10().floor();
            let wide = exact / 10f64.powf(decade) >= 5.0;
            let digits = 2 - i32::from(wide) + i32::from(fraction > 24);
            let quantum_exponent = decade as i32 - digits;
            scale_by_ten((exact / 10f64.powi(quantum_exponent)).round(), quantum_exponent)
        }
    }
}

/// Nominal third-octave frequency `index` bands from 1 kHz.
fn nominal_third(index: i64) -> f64 {
    let mantissa = NOMINAL_MANTISSAS[index.rem_euclid(10) as usize];
    // Mantissas have two decimals: scaling the integer keeps 31.5 and 12 500 exact.
    scale_by_ten((100.0 * mantissa).round(), index.div_euclid(10) as i32 + 1)
}

/// `integer · 10^exponent`, correctly rounded for the small exponents in use.
fn scale_by_ten(integer: f64, exponent: i32) -> f64 {
    if exponent >= 0 { integer * 10f64.powi(exponent) } else { integer / 10f64.powi(-exponent) }
}

/// Mean of `mean_square` over `band` with equal weight per logarithmic frequency: the response to pink noise.
///
/// `1/ln(f₂/f₁) ∫ p² d(ln f)`; between samples p² is taken as linear in frequency and the integral is exact, band edges
/// included. `frequencies` [Hz] ascend strictly and are as many as the values. `None` unless the samples reach both edges.
pub fn band_mean_square(frequencies: &[f64], mean_square: &[f64], band: &Band) -> Option<f64> {
    Some(LogMean::over_band(frequencies, band)?.of(mean_square))
}

/// Index and weight of every sample that counts in [`band_mean_square`].
pub fn band_weights(frequencies: &[f64], band: &Band) -> Option<Vec<(usize, f64)>> {
    Some(LogMean::over_band(frequencies, band)?.terms().collect())
}

/// Indices of the samples inside a band, lower edge included, upper edge not: the bands of a set share no sample.
pub fn indices_in_band(frequencies: &[f64], band: &Band) -> Range<usize> {
    let below = |edge: f64| frequencies.partition_point(|&f| f < edge);
    below(band.lower)..below(band.upper)
}

/// Weights of samples in a mean over logarithmic frequency; they sum to one.
#[derive(Clone, Debug)]
pub(super) struct LogMean {
    first: usize,
    weights: Vec<f64>,
}

impl LogMean {
    /// Mean over a band; `None` unless the samples reach both edges (to one part in 10⁹).
    pub(super) fn over_band(frequencies: &[f64], band: &Band) -> Option<Self> {
        let (&start, &end) = (frequencies.first()?, frequencies.last()?);
        let covered = start <= band.lower * (1.0 + 1e-9) && end >= band.upper * (1.0 - 1e-9);
        covered.then(|| Self::between(frequencies, band.lower, band.upper))
    }

    /// Mean over everything that was sampled; `None` without samples.
    pub(super) fn over_all(frequencies: &[f64]) -> Option<Self> {
        Some(Self::between(frequencies, *frequencies.first()?, *frequencies.last()?))
    }

    /// Mean from `lower` to `upper` [Hz], both cut to the sampled range. A stretch of no width is an interpolation.
    pub(super) fn between(frequencies: &[f64], lower: f64, upper: f64) -> Self {
        let count = frequencies.len();
        let (start, end) = (frequencies[0], frequencies[count - 1]);
        let (lower, upper) = (lower.clamp(start, end), upper.clamp(start, end));
        if upper <= lower || count == 1 {
            return Self::interpolation(frequencies, lower);
        }
        let first = frequencies.partition_point(|&f| f <= lower).saturating_sub(1).min(count - 2);
        let beyond = (frequencies.partition_point(|&f| f < upper) + 1).clamp(first + 2, count);
        let mut weights = vec![0.0; beyond - first];
        for (i, pair) in frequencies[first..beyond].windows(2).enumerate() {
            let (left, right) = segment_weights(pair[0], pair[1], pair[0].max(lower), pair[1].min(upper));
            weights[i] += left;
            weights[i + 1] += right;
        }
        let total: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= total);
        Self { first, weights }
    }

    fn interpolation(frequencies: &[f64], at: f64) -> Self {
        let upper = frequencies.partition_point(|&f| f < at).min(frequencies.len() - 1);
        if upper == 0 || frequencies[upper] == at {
            return Self { first: upper, weights: vec![1.0] };
        }
        let share = (at - frequencies[upper - 1]) / (frequencies[upper] - frequencies[upper - 1]);
        Self { first: upper - 1, weights: vec![1.0 - share, share] }
    }

    /// The mean of `values`, as many as there were frequencies.
    pub(super) fn of(&self, values: &[f64]) -> f64 {
        self.terms().map(|(i, w)| w * values[i]).sum()
    }

    /// Index and weight of every sample that counts.
    pub(super) fn terms(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.weights.iter().enumerate().map(|(i, &w)| (self.first + i, w))
    }
}

/// `∫ d(ln f)` from `a` to `b` of the two hat functions of the segment `f1`…`f2`, which holds `a` and `b`.
fn segment_weights(f1: f64, f2: f64, a: f64, b: f64) -> (f64, f64) {
    let width = b - a;
    let log_width = (width / a).ln_1p();
    ((f2 * log_width - width) / (f2 - f1), (width - f1 * log_width) / (f2 - f1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    pub(crate) fn geometric(from: f64, to: f64, count: usize) -> Vec<f64> {
        (0..count).map(|i| from * (to / from).powf(i as f64 / (count - 1) as f64)).collect()
    }

    #[test]
    fn third_octaves_carry_the_preferred_numbers() {
        let nominal: Vec<f64> = fractional_octaves(3, 25.0, 20e3).iter().map(|b| b.nominal).collect();
        let expected = [
            25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0,
            630.0, 800.0, 1e3, 1250.0, 1600.0, 2e3, 2500.0, 3150.0, 4e3, 5e3, 6300.0, 8e3, 10e3, 12.5e3,
            16e3, 20e3,
        ];
        assert_eq!(nominal, expected);
        let octaves: Vec<f64> = fractional_octaves(1, 31.5, 16e3).iter().map(|b| b.nominal).collect();
        assert_eq!(octaves, [31.5, 63.0, 125.0, 250.0, 500.0, 1e3, 2e3, 4e3, 8e3, 16e3]);
    }

    #[test]
    fn narrow_bands_are_rounded_by_the_leading_digit() {
        let nominal: Vec<f64> = fractional_octaves(6, 800.0, 1300.0).iter().map(|b| b.nominal).collect();
        assert_eq!(nominal, [840.0, 940.0, 1060.0, 1190.0]);
    }

    #[test]
    fn impossible_requests_give_no_bands() {
        assert!(fractional_octaves(0, 10.0, 100.0).is_empty());
        assert!(fractional_octaves(3, -1.0, 100.0).is_empty());
        assert!(fractional_octaves(3, 100.0, 10.0).is_empty());
        assert!(fractional_octaves(3, f64::NAN, 10.0).is_empty());
    }

    #[test]
    fn a_band_is_missing_unless_both_edges_are_sampled() {
        let band = fractional_octaves(3, 1e3, 1e3)[0];
        let values = vec![1.0; 50];
        assert!(band_mean_square(&geometric(900.0, 5e3, 50), &values, &band).is_none());
        assert!(band_mean_square(&geometric(100.0, 1100.0, 50), &values, &band).is_none());
        assert!(band_mean_square(&geometric(band.lower, band.upper, 50), &values, &band).is_some());
        assert!(band_mean_square(&[], &[], &band).is_none());
    }

    #[test]
    fn a_line_is_integrated_exactly_however_the_samples_fall() {
        let band = fractional_octaves(3, 1e3, 1e3)[0];
        let expected = (band.upper - band.lower) / (band.upper / band.lower).ln();
        for count in [3, 7, 40] {
            let f = geometric(500.0, 1900.0, count);
            assert_relative_eq!(band_mean_square(&f, &f, &band).unwrap(), expected, max_relative = 1e-12);
        }
    }

    proptest! {
        #[test]
        fn bands_tile_without_gap_or_overlap(fraction in 1u32..49, from in 5.0..500.0f64) {
            let bands = fractional_octaves(fraction, from, 40.0 * from);
            prop_assert!(bands.len() >= 5 * fraction as usize);
            for pair in bands.windows(2) {
                prop_assert_eq!(pair[0].upper, pair[1].lower);
                prop_assert!(pair[0].nominal < pair[1].nominal);
            }
            for band in &bands {
                prop_assert!((band.lower * band.upper / band.centre.powi(2) - 1.0).abs() < 1e-12);
                let octaves = (band.upper / band.lower).log10() / 0.3;
                prop_assert!((octaves * f64::from(fraction) - 1.0).abs() < 1e-9);
            }
        }

        #[test]
        fn every_sample_belongs_to_one_band(f in 100.0..10e3f64) {
            let holding = fractional_octaves(3, 50.0, 20e3).iter().filter(|b| !indices_in_band(&[f], b).is_empty()).count();
            prop_assert_eq!(holding, 1);
        }

        #[test]
        fn means_of_thirds_average_to_the_octaves(seed in prop::collection::vec(0.0..1.0f64, 60)) {
            let f = geometric(400.0, 2500.0, seed.len());
            let octave = fractional_octaves(1, 1e3, 1e3)[0];
            let thirds: Vec<f64> = fractional_octaves(3, 800.0, 1250.0)
                .iter()
                .map(|b| band_mean_square(&f, &seed, b).unwrap())
                .collect();
            prop_assert_eq!(thirds.len(), 3);
            let mean = thirds.iter().sum::<f64>() / 3.0;
            prop_assert!((band_mean_square(&f, &seed, &octave).unwrap() - mean).abs() < 1e-12);
        }
    }
}
