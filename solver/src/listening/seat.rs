//! What arrives at a seat.

use super::bands::LogMean;
use super::findings::{SeatFindings, SmoothedLevel, UsableBand};
use super::level::{pressure_level, ratio, spl};
use super::sensitivity::{REFERENCE_RANGE, reference_level, third_octave_levels};
use super::smoothing::smooth;
use super::weighting::a_weighting;
use crate::scene::Seat;
use num_complex::Complex64;
use std::ops::RangeInclusive;

/// Octave fractions of the smoothed curves, finest first.
const SMOOTHING: [u32; 5] = [24, 12, 6, 3, 1];

/// Octave fraction of the curve that usable bands are read from.
const LIMIT_FRACTION: u32 = 3;

/// Drops of the usable bands [dB].
const DROPS: [f64; 2] = [6.0, 10.0];

/// Findings at a seat from its pressure [Pa RMS] over `frequencies` [Hz], which ascend strictly.
pub fn seat_findings(seat: &Seat, frequencies: &[f64], pressure: Vec<Complex64>) -> SeatFindings {
    let mean_square: Vec<f64> = pressure.iter().map(|p| p.norm_sqr()).collect();
    let third_octaves = third_octave_levels(frequencies, &mean_square);
    let broad = pink_level(frequencies, &mean_square, |_| 0.0);
    let reference = reference_level(&third_octaves).unwrap_or(broad);
    let curve = levels(smooth(frequencies, &mean_square, LIMIT_FRACTION));
    SeatFindings {
        band: None,
        name: seat.name.clone(),
        position: seat.position,
        level: pressure.iter().map(|&p| spl(p)).collect(),
        smoothed: SMOOTHING
            .into_iter()
            .map(|fraction| SmoothedLevel {
                fraction,
                level: levels(smooth(frequencies, &mean_square, fraction)),
                band: None,
            })
            .collect(),
        usable: DROPS.into_iter().map(|drop| usable_band(frequencies, &curve, reference, drop)).collect(),
        a_weighted: pink_level(frequencies, &mean_square, a_weighting),
        third_octaves,
        pressure,
    }
}

/// Lower limits [Hz] of the usable bands of [`SeatFindings`], in their order, for mean squares [Pa²].
pub(super) fn lower_limits(frequencies: &[f64], mean_square: &[f64]) -> Vec<Option<f64>> {
    let broad = || pink_level(frequencies, mean_square, |_| 0.0);
    let reference = reference_level(&third_octave_levels(frequencies, mean_square)).unwrap_or_else(broad);
    let curve = levels(smooth(frequencies, mean_square, LIMIT_FRACTION));
    DROPS.into_iter().map(|drop| usable_band(frequencies, &curve, reference, drop).lower).collect()
}

/// Lower limit [Hz] of the usable band at `drop` [dB] of mean squares [Pa²].
pub(crate) fn lower_limit_of(frequencies: &[f64], mean_square: &[f64], drop: f64) -> Option<f64> {
    let broad = || pink_level(frequencies, mean_square, |_| 0.0);
    let reference = reference_level(&third_octave_levels(frequencies, mean_square)).unwrap_or_else(broad);
    let curve = levels(smooth(frequencies, mean_square, LIMIT_FRACTION));
    lower_limit(frequencies, &curve, reference, drop)
}

/// Lower limit [Hz] of the usable band of a smoothed `curve` [dB]: where it comes to stay at or above `reference − drop`.
pub(crate) fn lower_limit(frequencies: &[f64], curve: &[f64], reference: f64, drop: f64) -> Option<f64> {
    usable_band(frequencies, curve, reference, drop).lower
}

fn levels(mean_square: Vec<f64>) -> Vec<f64> {
    mean_square.into_iter().map(pressure_level).collect()
}

/// Level [dB] of pink noise over the whole computed range that carries the drive voltage in total, weighted [dB] by frequency:
/// `10 lg [ 1/ln(f₂/f₁) ∫ p² 10^(W/10) d(ln f) / (20 µPa)² ]`. −∞ without samples.
fn pink_level(frequencies: &[f64], mean_square: &[f64], weighting: impl Fn(f64) -> f64) -> f64 {
    let weighted: Vec<f64> =
        frequencies.iter().zip(mean_square).map(|(&f, p2)| p2 * ratio(weighting(f))).collect();
    LogMean::over_all(frequencies).map_or(f64::NEG_INFINITY, |mean| pressure_level(mean.of(&weighted)))
}

/// The stretch on which `curve` [dB] stays at or above `reference − drop`. Of several, the one that holds most octaves of the
/// range 200 Hz to 4 kHz (of the whole computed range if that lies elsewhere). Crossings are interpolated over log f.
fn usable_band(frequencies: &[f64], curve: &[f64], reference: f64, drop: f64) -> UsableBand {
    let floor = reference - drop;
    let none = UsableBand {
        drop,
        reference,
        lower: None,
        upper: None,
        lower_open: false,
        upper_open: false,
        lower_spread: None,
    };
    let Some(stretch) = best_stretch(frequencies, curve, floor) else { return none };
    let (start, end) = (*stretch.start(), *stretch.end());
    let last = frequencies.len() - 1;
    let edge = |inside: usize, outside: usize| {
        let share = (curve[inside] - floor) / (curve[inside] - curve[outside]);
        frequencies[inside] * (frequencies[outside] / frequencies[inside]).powf(share)
    };
    UsableBand {
        lower: Some(if start == 0 { frequencies[0] } else { edge(start, start - 1) }),
        upper: Some(if end == last { frequencies[last] } else { edge(end, end + 1) }),
        lower_open: start == 0,
        upper_open: end == last,
        ..none
    }
}

/// Samples of the best stretch at or above `floor`; the first of equals.
fn best_stretch(frequencies: &[f64], curve: &[f64], floor: f64) -> Option<RangeInclusive<usize>> {
    let (first, last) = (*frequencies.first()?, *frequencies.last()?);
    let (from, to) = REFERENCE_RANGE;
    let (from, to) = if from.max(first) < to.min(last) { (from, to) } else { (first, last) };
    let octaves = |s: &RangeInclusive<usize>| {
        (frequencies[*s.end()].min(to) / frequencies[*s.start()].max(from)).log2()
    };
    let mut best: Option<RangeInclusive<usize>> = None;
    for stretch in stretches(curve, floor) {
        if octaves(&stretch) >= 0.0 && best.as_ref().is_none_or(|b| octaves(&stretch) > octaves(b)) {
            best = Some(stretch);
        }
    }
    best
}

/// All runs of consecutive samples at or above `floor`.
fn stretches(curve: &[f64], floor: f64) -> Vec<RangeInclusive<usize>> {
    let mut runs = vec![];
    let mut start = None;
    for (i, &level) in curve.iter().enumerate() {
        match (level >= floor, start) {
            (true, None) => start = Some(i),
            (false, Some(s)) => {
                runs.push(s..=i - 1);
                start = None;
            }
            _ => {}
        }
    }
    runs.extend(start.map(|s| s..=curve.len() - 1));
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seat() -> Seat {
        Seat { name: "by the window".into(), position: [1.0, 0.2, 2.0] }
    }

    fn grid(from: f64, to: f64, count: usize) -> Vec<f64> {
        (0..count).map(|i| from * (to / from).powf(i as f64 / (count - 1) as f64)).collect()
    }

    /// Pressure whose level falls by `slope` dB per octave outside `from`…`to`.
    fn band_pass(frequencies: &[f64], from: f64, to: f64, slope: f64) -> Vec<Complex64> {
        frequencies
            .iter()
            .map(|&f| {
                let octaves = (from / f).log2().max((f / to).log2()).max(0.0);
                Complex64::from(ratio(-slope * octaves).sqrt())
            })
            .collect()
    }

    #[test]
    fn usable_bands_end_where_the_slope_crosses_the_drop() {
        let f = grid(20.0, 20e3, 2000);
        let found = seat_findings(&seat(), &f, band_pass(&f, 100.0, 8e3, 12.0));
        for usable in &found.usable {
            // Far from the corner a slope s is raised by 1/3-octave smoothing by the mean of 10^(s x/10) over ±1/6 octave.
            let raised = {
                let a = 12.0 * 10f64.ln() / 10.0 / 6.0;
                10.0 * (a.sinh() / a).log10()
            };
            let octaves = (usable.drop + raised) / 12.0;
            assert!((usable.lower.unwrap() / (100.0 * 2f64.powf(-octaves)) - 1.0).abs() < 1e-3, "{usable:?}");
            assert!((usable.upper.unwrap() / (8e3 * 2f64.powf(octaves)) - 1.0).abs() < 1e-3, "{usable:?}");
            assert!(!usable.lower_open && !usable.upper_open);
            assert!((usable.reference - 93.9794).abs() < 1e-3);
        }
    }

    #[test]
    fn a_flat_curve_is_usable_to_both_open_ends() {
        let f = grid(100.0, 10e3, 500);
        let found = seat_findings(&seat(), &f, vec![Complex64::ONE; f.len()]);
        let usable = found.usable[0];
        assert_eq!((usable.lower, usable.upper), (Some(100.0), Some(f[499])));
        assert!(usable.lower_open && usable.upper_open);
    }

    #[test]
    fn silence_has_no_usable_band_and_does_not_panic() {
        let f = grid(100.0, 10e3, 50);
        let found = seat_findings(&seat(), &f, vec![Complex64::ZERO; f.len()]);
        assert!(found.level.iter().all(|l| *l == f64::NEG_INFINITY));
        let empty = seat_findings(&seat(), &[], vec![]);
        assert_eq!(empty.usable[0].lower, None);
    }

    #[test]
    fn the_stretch_with_more_of_the_reference_range_wins() {
        let f = grid(50.0, 16e3, 300);
        let hole = |f: f64| if (600.0..700.0).contains(&f) { -20.0 } else { 0.0 };
        let curve: Vec<f64> = f.iter().map(|&f| hole(f)).collect();
        let usable = usable_band(&f, &curve, 0.0, 6.0);
        assert!((600.0..710.0).contains(&usable.lower.unwrap()) && usable.upper_open, "{usable:?}");
    }

    #[test]
    fn a_weighting_of_a_single_tone_is_the_weighting() {
        let f = grid(99.9, 100.1, 11);
        let found = seat_findings(&seat(), &f, vec![Complex64::ONE; f.len()]);
        assert!((found.a_weighted - 93.9794 - a_weighting(100.0)).abs() < 1e-3);
    }

    #[test]
    fn smoothed_curves_keep_the_order_of_their_fractions() {
        let f = grid(50.0, 5e3, 200);
        let found = seat_findings(&seat(), &f, band_pass(&f, 200.0, 2e3, 6.0));
        let fractions: Vec<u32> = found.smoothed.iter().map(|s| s.fraction).collect();
        assert_eq!(fractions, [24, 12, 6, 3, 1]);
        assert!(found.smoothed.iter().all(|s| s.level.len() == f.len()));
    }
}
