//! Curves → numbers: the measures that panel, driver and sum share.

use super::Range;
use crate::listening::{
    Band, Smoother, band_mean_square, beamwidth, fractional_octaves, lower_limit_of, pressure_level,
};
use crate::search::evenness::{SMOOTHING, deviation};
use num_complex::Complex64;

/// A number, or why there is none.
pub(super) type Value = Result<f64, String>;

/// Smoothing of the curve that ripple is seen on, and of the one that it is seen against [1/octaves].
const FINE: u32 = 24;
const BROAD: u32 = 1;

/// Mean squares [Pa²] of pressures [Pa RMS].
pub(super) fn squares(pressure: &[Complex64]) -> Vec<f64> {
    pressure.iter().map(|p| p.norm_sqr()).collect()
}

/// Mean of curves, value by value.
pub(super) fn averaged(curves: &[Vec<f64>]) -> Vec<f64> {
    let count = curves.first().map_or(0, Vec::len);
    (0..count).map(|i| curves.iter().map(|curve| curve[i]).sum::<f64>() / curves.len() as f64).collect()
}

/// Standard deviation [dB] over the `band` of the level of `mean_square` [Pa²], smoothed to a sixth of an octave. The frequencies [Hz] are
/// geometric, so it is one over logarithmic frequency.
pub(super) fn unevenness(frequencies: &[f64], mean_square: &[f64], band: &Range) -> Value {
    let smooth = Smoother::new(frequencies, SMOOTHING).of(mean_square);
    within(frequencies, band, smooth.into_iter().map(pressure_level))
}

/// [`unevenness`] of the energy averaged over seats, or of the worst seat, from the mean squares [Pa²] at every seat.
pub(super) fn unevenness_at(
    frequencies: &[f64],
    seats: &[Vec<f64>],
    band: &Range,
    over: super::Over,
) -> Value {
    if seats.is_empty() {
        return Err("the case has no seat".into());
    }
    match over {
        super::Over::Average => unevenness(frequencies, &averaged(seats), band),
        super::Over::WorstSeat => {
            let each = seats.iter().map(|seat| unevenness(frequencies, seat, band));
            each.collect::<Result<Vec<f64>, _>>().map(largest)
        }
    }
}

/// Standard deviation [dB] over the `band` of a level smoothed finely from the same smoothed broadly.
pub(super) fn ripple(frequencies: &[f64], mean_square: &[f64], band: &Range) -> Value {
    let [fine, broad] = [FINE, BROAD].map(|fraction| Smoother::new(frequencies, fraction).of(mean_square));
    let departs =
        fine.into_iter().zip(broad).map(|(fine, broad)| pressure_level(fine) - pressure_level(broad));
    within(frequencies, band, departs)
}

fn within(frequencies: &[f64], band: &Range, levels: impl Iterator<Item = f64>) -> Value {
    let inside: Vec<f64> =
        frequencies.iter().zip(levels).filter(|(f, _)| band.holds(**f)).map(|(_, level)| level).collect();
    if inside.len() < 2 {
        return Err("fewer than two frequencies lie in the band".into());
    }
    let found = deviation(&inside);
    if found.is_finite() { Ok(found) } else { Err("there is silence in the band".into()) }
}

/// Lower limit [Hz] of the usable band at `drop` [dB] of the seat that has the highest.
pub(super) fn low_end(frequencies: &[f64], seats: &[Vec<f64>], drop: f64) -> Value {
    let limit = |seat: &Vec<f64>| lower_limit_of(frequencies, seat, drop);
    match seats.iter().map(limit).collect::<Option<Vec<f64>>>() {
        Some(limits) if !limits.is_empty() => Ok(largest(limits)),
        Some(_) => Err("the case has no seat".into()),
        None => Err("the curve at a seat never rises into the usable band".into()),
    }
}

/// Drop [dB] at which a driver's range ends, and smoothing [1/octaves] of the curve that it is read from.
const DROP: f64 = 6.0;
const THIRD: u32 = 3;

/// Upper limit [Hz] of the seat that has the lowest: from there on the curve smoothed to a third of an octave stays more than 6 dB below the mean of its third octaves in the
/// `band`.
pub(super) fn top_end(frequencies: &[f64], seats: &[Vec<f64>], band: &Range) -> Value {
    let limit = |seat: &Vec<f64>| {
        let floor = mean_level(frequencies, seat, band)? - DROP;
        let curve: Vec<f64> =
            Smoother::new(frequencies, THIRD).of(seat).into_iter().map(pressure_level).collect();
        stays_below(frequencies, &curve, floor)
            .ok_or_else(|| "the curve lies below its own mean everywhere".into())
    };
    let limits = seats.iter().map(limit).collect::<Result<Vec<f64>, String>>()?;
    limits.into_iter().min_by(f64::total_cmp).ok_or_else(|| "the case has no seat".into())
}

/// Frequency [Hz] from which on a curve [dB] stays below `floor`, straight over log f; the last one where it does not.
fn stays_below(frequencies: &[f64], curve: &[f64], floor: f64) -> Option<f64> {
    let last = curve.iter().rposition(|level| *level >= floor)?;
    let Some((next, after)) = frequencies.get(last + 1).zip(curve.get(last + 1)) else {
        return frequencies.last().copied();
    };
    let share = (curve[last] - floor) / (curve[last] - after);
    Some(frequencies[last] * (next / frequencies[last]).powf(share))
}

/// Third octaves that frequencies cover and whose nominal frequency lies in the range.
pub(super) fn third_octaves(frequencies: &[f64], range: &Range) -> Vec<Band> {
    let (Some(&from), Some(&to)) = (frequencies.first(), frequencies.last()) else { return vec![] };
    fractional_octaves(3, from, to).into_iter().filter(|band| range.holds(band.nominal)).collect()
}

/// Mean of the third-octave levels [dB] of the range.
pub(super) fn mean_level(frequencies: &[f64], mean_square: &[f64], range: &Range) -> Value {
    let level = |band: Band| band_mean_square(frequencies, mean_square, &band).map(pressure_level);
    let levels = third_octaves(frequencies, range).into_iter().filter_map(level);
    mean(levels.filter(|level| level.is_finite()))
}

/// Mean; none of nothing.
pub(super) fn mean(values: impl Iterator<Item = f64>) -> Value {
    let (sum, count) = values.fold((0.0, 0usize), |(sum, count), value| (sum + value, count + 1));
    if count > 0 { Ok(sum / count as f64) } else { Err(NO_BAND.into()) }
}

/// Why there is no number over third octaves.
pub(super) const NO_BAND: &str = "the frequencies cover no third octave of the band";

/// Widths of the beam [°] in each of some third octaves, from their levels (dB) over `angles` [rad].
pub(super) fn widths<'a>(angles: &[f64], levels: impl Iterator<Item = Vec<f64>> + 'a) -> Vec<f64> {
    let width = |levels: Vec<f64>| {
        let amplitudes: Vec<Complex64> = levels.iter().map(|level| 10f64.powf(level / 20.0).into()).collect();
        beamwidth(angles, &amplitudes).map_or(180.0, f64::to_degrees)
    };
    levels.map(width).collect()
}

/// Largest minus smallest.
pub(super) fn change(values: &[f64]) -> Value {
    let (low, high) =
        values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &v| (low.min(v), high.max(v)));
    if values.is_empty() { Err(NO_BAND.into()) } else { Ok(high - low) }
}

pub(super) fn largest(values: impl IntoIterator<Item = f64>) -> f64 {
    values.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A level curve that falls by 18 dB per octave from a corner [Hz] on.
    fn falling(frequencies: &[f64], corner: f64) -> Vec<f64> {
        frequencies.iter().map(|f| 1e-2 * (f / corner).max(1.0).powi(-6)).collect()
    }

    #[test]
    fn the_top_end_is_where_the_curve_has_fallen_by_six_decibels_for_good() {
        let f: Vec<f64> = (0..=240).map(|i| 1000.0 * 2f64.powf(f64::from(i) / 48.0)).collect();
        let band = Range { from: 1500.0, to: 4000.0 };
        let mut seats = vec![falling(&f, 8000.0), falling(&f, 12_000.0)];
        // A dip on the way is not the end.
        let dip = f.iter().position(|f| *f > 5000.0).expect("is in the range");
        seats[0][dip..dip + 30].iter_mut().for_each(|square| *square *= 1e-2);
        let found = top_end(&f, &seats, &band).expect("there is one");
        let exact = 8000.0 * 2f64.powf(6.0 / 18.0);
        assert!((found / exact - 1.0).abs() < 0.02, "{found} {exact}");
        let alone = top_end(&f, &seats[1..], &band).expect("there is one");
        assert!((alone / exact * 8.0 / 12.0 - 1.0).abs() < 0.02, "{alone}");
        assert_eq!(top_end(&f, &[vec![1e-2; f.len()]], &band), Ok(f[240]));
        assert!(top_end(&f, &[], &band).is_err());
    }
}
