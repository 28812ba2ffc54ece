//! A few bands of equaliser for the averaged sound, and what they cannot mend.

use super::evenness::deviation;
use crate::filters::Chain;
use crate::listening::{Turn, extrema, pressure_level, smooth};
use crate::scene::{BandShape, EqualiserBand, Filters};
use serde::Serialize;

/// Most bands.
const BANDS: usize = 4;
/// Deepest cut [dB].
const CUT: f64 = -8.0;
/// Highest boost [dB].
const BOOST: f64 = 4.0;
/// Deviations less than this are left alone [dB].
const WORTH: f64 = 1.5;
/// Widths of cuts.
const CUT_Q: [f64; 6] = [0.5, 0.7, 1.0, 1.4, 2.0, 2.8];
/// Widths of boosts: broad ones only.
const BOOST_Q: [f64; 3] = [0.5, 0.7, 1.0];
/// A dip that stands out so much after smoothing to a sixth of an octave is named [dB].
const DIP: f64 = 4.0;

/// What an equaliser before both channels could do.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Equalisation {
    /// Its bands, the most useful first.
    pub bands: Vec<EqualiserBand>,
    /// Unevenness [dB] of the averaged sound, smoothed to a third of an octave, without it.
    pub before: f64,
    /// The same with it.
    pub after: f64,
    /// Dips [Hz, dB below the mean of the tops beside them] that no equaliser fills.
    pub dips: Vec<(f64, f64)>,
}

/// Bands that flatten the averaged energy [Pa²] at geometric `frequencies` [Hz].
///
/// Peaks are cut as they are after smoothing to a third of an octave. Only what is missing over a whole octave is filled: a narrow dip is
/// sound that cancels at these places, and power put into it is lost there and too much elsewhere.
pub fn equalisation(frequencies: &[f64], energy: &[f64]) -> Equalisation {
    let level =
        |fraction| smooth(frequencies, energy, fraction).into_iter().map(pressure_level).collect::<Vec<_>>();
    let (third, octave) = (level(3), level(1));
    let mean = third.iter().sum::<f64>() / third.len().max(1) as f64;
    let want = |(third, octave): (&f64, &f64)| {
        let (narrow, broad) = (mean - third, mean - octave);
        if narrow < 0.0 { narrow.max(CUT) } else { narrow.min(broad).clamp(0.0, BOOST) }
    };
    let mut left: Vec<f64> = third.iter().zip(&octave).map(want).collect();
    let mut corrected = third.clone();
    let mut bands = vec![];
    while bands.len() < BANDS {
        let Some(band) = next(frequencies, &left) else { break };
        let response = response(&band, frequencies);
        left.iter_mut().zip(&response).for_each(|(left, gain)| *left -= gain);
        corrected.iter_mut().zip(&response).for_each(|(level, gain)| *level += gain);
        bands.push(band);
    }
    let dips = extrema(frequencies, &level(6), DIP).into_iter().filter(|turn| turn.turn == Turn::Dip);
    Equalisation {
        bands,
        before: deviation(&third),
        after: deviation(&corrected),
        dips: dips.map(|dip| (dip.frequency, dip.prominence)).collect(),
    }
}

/// The bell at the largest wish whose width leaves the least; none when nothing is worth it.
fn next(frequencies: &[f64], wish: &[f64]) -> Option<EqualiserBand> {
    let larger = |a: &usize, b: &usize| wish[*a].abs().total_cmp(&wish[*b].abs());
    let at = (0..wish.len()).max_by(larger).filter(|&at| wish[at].abs() >= WORTH)?;
    let gain_db = wish[at].clamp(CUT, BOOST);
    let widths: &[f64] = if gain_db > 0.0 { &BOOST_Q } else { &CUT_Q };
    let bell =
        |&q: &f64| EqualiserBand { frequency: frequencies[at], shape: BandShape::Peaking { gain_db, q } };
    let remains = |band: &EqualiserBand| -> f64 {
        response(band, frequencies).iter().zip(wish).map(|(gain, wish)| (wish - gain).powi(2)).sum()
    };
    let before: f64 = wish.iter().map(|wish| wish * wish).sum();
    let best = widths.iter().map(bell).min_by(|a, b| remains(a).total_cmp(&remains(b)))?;
    (remains(&best) < before).then_some(best)
}

/// What a band does to the level [dB].
fn response(band: &EqualiserBand, frequencies: &[f64]) -> Vec<f64> {
    let chain = Chain::new(&Filters { equaliser: vec![*band], ..Filters::default() });
    frequencies.iter().map(|&f| 20.0 * chain.response(f).norm().log10()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frequencies() -> Vec<f64> {
        (0..240).map(|i| 100.0 * 100f64.powf(f64::from(i) / 239.0)).collect()
    }

    /// Energy of levels [dB re 1 Pa].
    fn energy(level: impl Fn(f64) -> f64) -> Vec<f64> {
        frequencies().iter().map(|&f| 10f64.powf(0.1 * level(f))).collect()
    }

    fn gain(band: &EqualiserBand) -> f64 {
        match band.shape {
            BandShape::Peaking { gain_db, .. } => gain_db,
            _ => f64::NAN,
        }
    }

    #[test]
    fn a_broad_peak_is_cut() {
        let bump = |f: f64| 6.0 * (-(f / 1000.0).log2().powi(2)).exp();
        let found = equalisation(&frequencies(), &energy(bump));
        assert!(found.after < 0.5 * found.before, "{found:?}");
        assert!(gain(&found.bands[0]) < -2.0 && (found.bands[0].frequency / 1000.0).log2().abs() < 0.2);
        assert!(found.dips.is_empty());
    }

    #[test]
    fn a_narrow_dip_is_named_and_not_filled() {
        let dip = |f: f64| -20.0 * (-(8.0 * (f / 1000.0).log2()).powi(2)).exp();
        let found = equalisation(&frequencies(), &energy(dip));
        let raised =
            found.bands.iter().find(|band| gain(band) > 0.0 && (band.frequency / 1000.0).log2().abs() < 0.5);
        assert!(raised.is_none(), "{found:?}");
        assert!(found.dips.len() == 1 && (found.dips[0].0 / 1000.0 - 1.0).abs() < 0.05, "{found:?}");
    }

    #[test]
    fn a_missing_octave_is_filled_within_bounds_and_a_flat_sound_left_alone() {
        let shelf = |f: f64| if (800.0..3200.0).contains(&f) { -9.0 } else { 0.0 };
        let found = equalisation(&frequencies(), &energy(shelf));
        assert!(found.bands.iter().all(|band| gain(band) <= BOOST && gain(band) >= CUT));
        assert!(found.bands.iter().any(|band| gain(band) > 2.0) && found.after < found.before, "{found:?}");
        assert!(equalisation(&frequencies(), &energy(|_| 3.0)).bands.is_empty());
    }
}
