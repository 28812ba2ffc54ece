//! How the answers are spread over the variations of a panel.

use super::findings::{LevelBand, Quantiles, SeatFindings, Sensitivity, Stability};
use super::level::{pressure_level, ratio};
use super::seat::lower_limits;
use super::sensitivity::mean_level;
use super::smoothing::Smoother;
use ndarray::{Array2, ArrayView1, ArrayView2, Axis, Zip};

/// Fraction of an octave over which the correction of [`fitted`] is smoothed.
const FIT_FRACTION: u32 = 3;

/// How far the correction may leave the smoothed one: 6 dB either way.
const FIT_REACH: f64 = 4.0;

/// Spread of `values`; those that are not numbers do not count. `None` without any.
///
/// The tenth and the ninetieth percentile are interpolated linearly between the ordered values (definition 7 of R. J. Hyndman &
/// Y. Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996) 361).
pub fn quantiles(values: impl IntoIterator<Item = f64>) -> Option<Quantiles> {
    let mut sorted: Vec<f64> = values.into_iter().filter(|value| !value.is_nan()).collect();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    let at = |share: f64| {
        let place = share * last as f64;
        let (below, above) = (sorted[place.floor() as usize], sorted[place.ceil() as usize]);
        // Equal ends may be infinite.
        if below == above { below } else { below + place.fract() * (above - below) }
    };
    Some(Quantiles { lowest: sorted[0], tenth: at(0.1), ninetieth: at(0.9), highest: sorted[last] })
}

/// Band of the levels of mean squares [Pa²] (variations, frequencies).
fn level_band(mean_square: ArrayView2<f64>) -> LevelBand {
    let of_frequency = |values: ArrayView1<f64>| {
        let none = Quantiles { lowest: f64::NAN, tenth: f64::NAN, ninetieth: f64::NAN, highest: f64::NAN };
        quantiles(values.iter().map(|&value| pressure_level(value))).unwrap_or(none)
    };
    let all: Vec<Quantiles> = mean_square.columns().into_iter().map(of_frequency).collect();
    let curve = |part: fn(&Quantiles) -> f64| all.iter().map(part).collect();
    LevelBand {
        lowest: curve(|q| q.lowest),
        tenth: curve(|q| q.tenth),
        ninetieth: curve(|q| q.ninetieth),
        highest: curve(|q| q.highest),
    }
}

/// Mean squares (variations, frequencies) of a quick computation, lifted to the curve that is shown: each frequency by the ratio of `shown`,
/// the full computation for the nominal panel, to `nominal`, the quick one. In narrow dips the two may differ wildly: there the ratio is
/// held within a factor of [`FIT_REACH`] of that of the curves smoothed over a third of an octave. Where both agree nothing changes.
pub fn fitted(frequencies: &[f64], varied: &Array2<f64>, nominal: &[f64], shown: &[f64]) -> Array2<f64> {
    let smoother = Smoother::new(frequencies, FIT_FRACTION);
    let usable = |ratio: f64| if ratio.is_finite() { ratio } else { 1.0 };
    let smooth = smoother.of(shown).into_iter().zip(smoother.of(nominal));
    let ratios = smooth.zip(shown.iter().zip(nominal)).map(|((smooth, quick), (own, own_quick))| {
        let around = usable(smooth / quick);
        usable(own / own_quick).clamp(around / FIT_REACH, around * FIT_REACH)
    });
    varied * &ndarray::Array1::from_iter(ratios)
}

/// Puts the spread of the mean squares [Pa²] (variations, frequencies) at a seat beside each of its curves and limits.
pub fn spread_seat(seat: &mut SeatFindings, frequencies: &[f64], mean_square: &Array2<f64>) {
    seat.band = Some(level_band(mean_square.view()));
    for smoothed in &mut seat.smoothed {
        let smoother = Smoother::new(frequencies, smoothed.fraction);
        let mut curves = Array2::zeros(mean_square.dim());
        for (mut curve, raw) in curves.outer_iter_mut().zip(mean_square.outer_iter()) {
            curve.assign(&ndarray::Array1::from(smoother.of(&raw.to_vec())));
        }
        smoothed.band = Some(level_band(curves.view()));
    }
    let limits: Vec<Vec<Option<f64>>> =
        mean_square.outer_iter().map(|raw| lower_limits(frequencies, &raw.to_vec())).collect();
    for (index, usable) in seat.usable.iter_mut().enumerate() {
        usable.lower_spread = quantiles(limits.iter().filter_map(|of_variation| of_variation[index]));
    }
}

/// Puts the spread of the mean squares [Pa²] (variations, frequencies) on the axis beside the sensitivity; they are scaled as its level is.
pub fn spread_sensitivity(sensitivity: &mut Sensitivity, frequencies: &[f64], mean_square: &Array2<f64>) {
    let means = mean_square.outer_iter().map(|raw| mean_level(frequencies, &raw.to_vec()));
    sensitivity.mean_spread = quantiles(means);
}

/// In how many variations a dead spot is still there.
///
/// `around` (variations, places): energy at the spot's own places; `mean` (variations): the plane's mean energy; the spot is there when its
/// quietest place lies more than `threshold_db` [dB] under the mean.
pub fn stability(around: ArrayView2<f64>, mean: ArrayView1<f64>, threshold_db: f64) -> Stability {
    let limit = ratio(-threshold_db);
    let still_there = Zip::from(around.lanes(Axis(1)))
        .and(&mean)
        .fold(0, |count, places, &mean| count + usize::from(places.iter().any(|&e| e < limit * mean)));
    Stability { still_there, variations: mean.len() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use ndarray::array;

    #[test]
    fn percentiles_of_evenly_spread_values() {
        let q = quantiles((0..=100).rev().map(f64::from).chain([f64::NAN])).expect("there are values");
        assert_eq!([q.lowest, q.tenth, q.ninetieth, q.highest], [0.0, 10.0, 90.0, 100.0]);
        assert!(quantiles([f64::NAN]).is_none());
        let silent = quantiles([f64::NEG_INFINITY; 4]).expect("there are values");
        assert_eq!(silent.tenth, f64::NEG_INFINITY);
    }

    #[test]
    fn a_spot_is_there_when_one_of_its_places_is_quiet_enough() {
        let around = array![[1.0, 0.09], [0.5, 0.11], [0.009, 0.02]];
        let stability = stability(around.view(), array![1.0, 1.0, 0.1].view(), 10.0);
        assert_eq!((stability.still_there, stability.variations), (2, 3));
        assert_relative_eq!(stability.share(), 2.0 / 3.0);
    }

    #[test]
    fn a_quick_computation_that_is_off_by_a_factor_is_lifted_to_the_curve_shown() {
        let f: Vec<f64> = (0..200).map(|i| 50.0 * 1.03f64.powi(i)).collect();
        let nominal: Vec<f64> = f.iter().map(|f| 1.0 + (f / 30.0).sin().powi(2)).collect();
        let shown: Vec<f64> = nominal.iter().map(|value| 2.5 * value).collect();
        let varied = Array2::from_shape_fn((3, f.len()), |(v, i)| (1.0 + v as f64) * nominal[i]);
        let lifted = fitted(&f, &varied, &nominal, &shown);
        lifted.iter().zip(&varied).for_each(|(a, b)| assert_relative_eq!(*a, 2.5 * b, max_relative = 1e-12));
    }
}
