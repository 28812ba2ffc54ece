//! Sensitivity.

use super::bands::{band_mean_square, fractional_octaves};
use super::findings::{BandLevel, Sensitivity};
use super::level::{pressure_level, spl};
use num_complex::Complex64;

/// Nominal frequencies of the first and last third octave of the reference level [Hz]; common practice, no source.
pub(crate) const REFERENCE_RANGE: (f64, f64) = (200.0, 4000.0);

/// Sensitivity from the pressure [Pa RMS] on the panel's axis at 1 m while the channel with the highest voltage gives 2.83 V before filters (1 W into a nominal
/// 8 Ω; the characteristic sensitivity of IEC 60268-5:2003, § 20.3, from memory). One pressure per frequency.
pub fn sensitivity(frequencies: &[f64], pressure_on_axis_1m: &[Complex64]) -> Sensitivity {
    let mean_square: Vec<f64> = pressure_on_axis_1m.iter().map(|p| p.norm_sqr()).collect();
    Sensitivity {
        level: pressure_on_axis_1m.iter().map(|&p| spl(p)).collect(),
        mean: mean_level(frequencies, &mean_square),
        mean_spread: None,
    }
}

/// The one number of a curve of mean squares [Pa²]: mean of the third-octave levels from 200 Hz to 4 kHz [dB].
pub(super) fn mean_level(frequencies: &[f64], mean_square: &[f64]) -> f64 {
    let levels = mean_square.iter().map(|&value| pressure_level(value));
    reference_level(&third_octave_levels(frequencies, mean_square))
        .or_else(|| mean_of(levels))
        .unwrap_or(f64::NEG_INFINITY)
}

/// Levels of all third octaves that the samples cover.
pub(super) fn third_octave_levels(frequencies: &[f64], mean_square: &[f64]) -> Vec<BandLevel> {
    let (Some(&from), Some(&to)) = (frequencies.first(), frequencies.last()) else { return vec![] };
    fractional_octaves(3, from, to)
        .into_iter()
        .filter_map(|band| {
            let level = pressure_level(band_mean_square(frequencies, mean_square, &band)?);
            Some(BandLevel { band, level })
        })
        .collect()
}

/// Mean of the third-octave levels from 200 Hz to 4 kHz [dB]; of those that exist if some are missing, of all others if none
/// lies there, `None` if there is none at all. Silent bands do not count.
pub(super) fn reference_level(bands: &[BandLevel]) -> Option<f64> {
    let (from, to) = REFERENCE_RANGE;
    let inside = bands.iter().filter(|b| b.band.nominal >= from && b.band.nominal <= to).map(|b| b.level);
    mean_of(inside).or_else(|| mean_of(bands.iter().map(|b| b.level)))
}

/// Arithmetic mean of the finite values.
fn mean_of(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.filter(|v| v.is_finite()).fold((0.0, 0usize), |(sum, n), v| (sum + v, n + 1));
    (count > 0).then(|| sum / count as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(from: f64, to: f64) -> Vec<f64> {
        (0..400).map(|i| from * (to / from).powf(i as f64 / 399.0)).collect()
    }

    #[test]
    fn a_flat_pascal_has_the_level_of_a_pascal() {
        let f = grid(50.0, 16e3);
        let found = sensitivity(&f, &vec![Complex64::new(0.0, 1.0); f.len()]);
        assert!((found.mean - 93.9794).abs() < 1e-4);
        assert!(found.level.iter().all(|l| (l - found.mean).abs() < 1e-9));
    }

    #[test]
    fn only_the_reference_range_counts() {
        let f = grid(50.0, 16e3);
        let p: Vec<Complex64> = f
            .iter()
            .map(|&f| Complex64::from(if (170.0..4600.0).contains(&f) { 1.0 } else { 10.0 }))
            .collect();
        assert!((sensitivity(&f, &p).mean - 93.9794).abs() < 1e-4);
    }

    #[test]
    fn a_range_elsewhere_still_has_a_mean() {
        for (from, to) in [(20.0, 100.0), (8e3, 16e3), (990.0, 1010.0)] {
            let f = grid(from, to);
            assert!((sensitivity(&f, &vec![Complex64::ONE; f.len()]).mean - 93.9794).abs() < 1e-4);
        }
        assert_eq!(sensitivity(&[], &[]).mean, f64::NEG_INFINITY);
    }
}
