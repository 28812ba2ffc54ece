//! What surrounds do to a small driver: everything a report shows.

use super::balloon::Balloon;
use super::bands::{band_mean_square, fractional_octaves};
use super::disturbed::DisturbedDriver;
use super::extrema::{Extremum, Shift, extrema, shifts};
use super::findings::{Band, Polar};
use super::level::{pressure_level, spl};
use crate::Warning;
use num_complex::Complex64;
use serde::Serialize;

/// Dips and peaks that stand out less are ripples [dB].
const RIPPLE: f64 = 1.0;

/// All surrounds of a driver.
#[derive(Clone, Debug, Serialize)]
pub struct SurroundFindings {
    /// Plain sentences, most important first.
    pub summary: Vec<String>,
    /// Doubts, to be shown beside what they concern.
    pub warnings: Vec<Warning>,
    /// Frequencies [Hz] of every curve.
    pub frequencies: Vec<f64>,
    /// Voltage of every level [V RMS].
    pub voltage: f64,
    /// Index of the surround that the others are compared with.
    pub reference: usize,
    /// What the wall or panel behind is expected to do at every place, from the lengths of the ways alone; nothing in free space.
    pub reflections: Vec<Reflection>,
    /// The surrounds in the case's order.
    pub surrounds: Vec<OneSurround>,
}

/// The comb of a reflection at one place, of the bare diaphragm's middle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reflection {
    /// Name of the place.
    pub place: String,
    /// How much longer the way by the reflection is [m].
    pub difference_of_paths: f64,
    /// Frequencies [Hz] at which both cancel, within the range.
    pub nulls: Vec<f64>,
    /// Frequencies [Hz] at which both add up, within the range.
    pub peaks: Vec<f64>,
}

/// A driver with one surround.
#[derive(Clone, Debug, Serialize)]
pub struct OneSurround {
    /// Name of the surround.
    pub name: String,
    /// At the near microphone, then at every seat.
    pub places: Vec<HeardAt>,
    /// Polar patterns in third octaves, levels at the near microphone's distance.
    pub polar: Polar,
    /// Levels all round in third octaves, at the near microphone's distance.
    pub balloon: Balloon,
    /// Width of the beam [rad] at −6 dB over frequency, horizontal; `None` where it does not fall so far.
    pub beamwidth_horizontal: Vec<Option<f64>>,
    /// The same, vertical.
    pub beamwidth_vertical: Vec<Option<f64>>,
    /// Directivity index on the axis [dB].
    pub directivity_index: Vec<f64>,
    /// Sound power level re 1 pW [dB].
    pub power_level: Vec<f64>,
    /// Magnitude of the electrical impedance [Ω].
    pub impedance: Vec<f64>,
    /// Peak excursion of the coil [m].
    pub excursion: Vec<f64>,
    /// What the driven panel does to the driver, if there is one behind it.
    pub disturbed: Option<DisturbedDriver>,
    /// How it was computed, band by band.
    pub computed: Vec<ComputedBand>,
}

/// A driver with one surround at one place.
#[derive(Clone, Debug, Serialize)]
pub struct HeardAt {
    /// Name of the place.
    pub place: String,
    /// Distance from the middle of the driver's front [m].
    pub distance: f64,
    /// Level [dB re 20 µPa].
    pub level: Vec<f64>,
    /// Group delay [s] beyond the time of flight from the driver's front.
    pub group_delay: Vec<f64>,
    /// Level minus that of the reference [dB].
    pub difference: Vec<f64>,
    /// The same in third octaves, energy means.
    pub bands: Vec<BandGain>,
    /// Dips and peaks that stand out by 1 dB.
    pub turns: Vec<Extremum>,
    /// What became of the reference's dips and peaks.
    pub shifts: Vec<Shift>,
}

/// What a surround adds in one band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BandGain {
    /// The band.
    pub band: Band,
    /// Level minus that of the reference [dB].
    pub gain: f64,
}

/// How a band of frequencies was computed by boundary elements.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ComputedBand {
    /// Lowest and highest frequency [Hz].
    pub range: [f64; 2],
    /// Wanted length of the elements' sides [m].
    pub length: f64,
    /// Elements, of the part that symmetry leaves.
    pub elements: usize,
    /// Unknowns, of the same part.
    pub unknowns: usize,
    /// How the operator was held at the highest frequency: as a full matrix or by a grid.
    pub held: String,
    /// Memory of the operator there [bytes].
    pub bytes: usize,
    /// Frequencies in the band.
    pub frequencies: usize,
    /// Of these, solved; the rest is interpolated.
    pub solved: usize,
    /// Largest error at solved frequencies that the interpolation was not fitted to, of the largest value in the band.
    pub interpolation_error: f64,
    /// Most steps of the iteration.
    pub steps: usize,
    /// Most exchanges of sound with the board behind; 0 without one.
    pub exchanges: usize,
    /// Largest relative residual.
    pub residual: f64,
}

/// Pressures [Pa RMS] at a place with a surround and with the reference, without their time of flight, become findings.
pub fn heard_at(
    place: &str,
    distance: f64,
    frequencies: &[f64],
    pressure: &[Complex64],
    reference: &[Complex64],
) -> HeardAt {
    let level: Vec<f64> = pressure.iter().map(|p| spl(*p)).collect();
    let before: Vec<f64> = reference.iter().map(|p| spl(*p)).collect();
    let turns = extrema(frequencies, &level, RIPPLE);
    HeardAt {
        place: place.into(),
        distance,
        group_delay: super::beam::group_delay(frequencies, pressure),
        difference: level.iter().zip(&before).map(|(a, b)| a - b).collect(),
        bands: gains(frequencies, pressure, reference),
        shifts: shifts(&extrema(frequencies, &before, RIPPLE), &turns),
        level,
        turns,
    }
}

/// Third-octave energy means of a pressure [Pa RMS] over those of a reference.
pub fn gains(frequencies: &[f64], pressure: &[Complex64], reference: &[Complex64]) -> Vec<BandGain> {
    let (Some(&from), Some(&to)) = (frequencies.first(), frequencies.last()) else { return vec![] };
    let square = |p: &[Complex64]| p.iter().map(|p| p.norm_sqr()).collect::<Vec<f64>>();
    let (with, without) = (square(pressure), square(reference));
    let gain = |band: Band| {
        let level = |curve: &[f64]| Some(pressure_level(band_mean_square(frequencies, curve, &band)?));
        Some(BandGain { band, gain: level(&with)? - level(&without)? })
    };
    fractional_octaves(3, from, to).into_iter().filter_map(gain).collect()
}
