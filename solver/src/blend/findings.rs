//! What a builder asks of panel and drivers together.

use super::advice::{BlendAdvice, advice, responses};
use super::clicks::click;
use super::ensemble::Ensemble;
use super::measured::MeasuredAt;
use super::measured_words;
use super::together::{Together, sets};
use super::words::{doubts, summary};
use crate::Warning;
use crate::coupling::blend::Pressure;
use crate::listening::*;
use crate::search::averages::Averages;
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;

/// Sample rate [Hz] of impulse responses.
pub const SAMPLE_RATE: f64 = 48_000.0;

/// The panel and all drivers, with their surrounds one after the other.
#[derive(Clone, Debug, Serialize)]
pub struct BlendFindings {
    /// Plain sentences, most important first.
    pub summary: Vec<String>,
    /// Doubts.
    pub warnings: Vec<Warning>,
    /// Frequencies [Hz] of every curve.
    pub frequencies: Vec<f64>,
    /// Angles [rad] of the arcs.
    pub angles: Vec<f64>,
    /// Names of the parts: the panel, then the drivers in the case's order.
    pub parts: Vec<String>,
    /// With every surround: all drivers with their first ones, then those of one driver after the other, the other drivers with their first.
    pub surrounds: Vec<Blended>,
    /// The blur that angles are judged by.
    pub blur: Blur,
    /// What was measured, beside what it replaced.
    pub measured: Vec<MeasuredAt>,
}

/// Panel and drivers with one set of surrounds.
#[derive(Clone, Debug, Serialize)]
pub struct Blended {
    /// Name of the surround; of several drivers with that of the driver, for those that have a choice.
    pub surround: String,
    /// Index of the surround of every driver.
    pub around: Vec<usize>,
    /// At every seat, with the channels of the case; parts are the panel, then the drivers.
    pub seats: Vec<BlendedAt>,
    /// What the sum gains at every seat in third octaves over the sum with the first surrounds; nothing for those.
    pub gains: Vec<Vec<BandGain>>,
    /// Level of the sum [dB re 20 µPa] as at 1 m, far away, over the horizontal arc, (frequencies, angles).
    pub horizontal: Array2<f64>,
    /// The same over the vertical arc.
    pub vertical: Array2<f64>,
    /// The same in third octaves.
    pub polar: Polar,
    /// Whether panel and driver sound as one: every driver, at all seats.
    pub agreement: Vec<AgreementAt>,
    /// Unevenness [dB] of the energy averaged over the seats, with the channels of the case.
    pub unevenness: f64,
    /// Level [dB re 20 µPa] of that energy, smoothed to a sixth of an octave.
    pub averaged: Vec<f64>,
    /// Where every part (the panel, then the drivers) leads with the channels of the case, see [`Averages::leads`].
    pub leads: Vec<Option<[f64; 2]>>,
    /// What would be better, if anything.
    pub advice: Option<BlendAdvice>,
    /// Why there is no advice.
    pub unadvised: Option<String>,
}

/// The findings of an ensemble. Seats count alike.
pub fn blend_findings(ensemble: &Ensemble) -> BlendFindings {
    let sets = sets(ensemble);
    let mut surrounds: Vec<Blended> = sets.iter().map(|set| blended(ensemble, set)).collect();
    compare_sums(&ensemble.frequencies, &mut surrounds);
    let drivers = ensemble.drivers.iter().map(|voice| voice.driver.name.clone());
    let parts: Vec<String> = std::iter::once("panel".to_owned()).chain(drivers).collect();
    BlendFindings {
        summary: [summary(&parts, &surrounds), measured_words::told(&ensemble.measured)].concat(),
        warnings: doubts(ensemble, &surrounds),
        frequencies: ensemble.frequencies.clone(),
        angles: ensemble.angles.clone(),
        parts,
        surrounds,
        blur: localisation_blur(),
        measured: ensemble.measured.clone(),
    }
}

fn compare_sums(frequencies: &[f64], surrounds: &mut [Blended]) {
    let Some((first, others)) = surrounds.split_first_mut() else { return };
    for other in others {
        let pairs = other.seats.iter().zip(&first.seats);
        other.gains =
            pairs.map(|(with, without)| gains(frequencies, &with.pressure, &without.pressure)).collect();
    }
}

fn blended(ensemble: &Ensemble, set: &Together) -> Blended {
    let f = &ensemble.frequencies;
    let (parts, chains) = (set.parts(), set.chains());
    let through: Vec<Pressure> =
        parts.iter().zip(&chains).map(|(part, chain)| part.pressure.through(chain, f)).collect();
    let averages = Averages::of(f, &parts, &vec![1.0; ensemble.seats.len()]);
    let channels: Vec<Vec<Complex64>> = chains.iter().map(|chain| responses(chain, f)).collect();
    let arc = |of: fn(&Pressure) -> &Array2<Complex64>| {
        let none = Array2::zeros((f.len(), ensemble.angles.len()));
        through.iter().fold(none, |sum, part| sum + of(part))
    };
    let (horizontal, vertical) = (arc(|p| &p.horizontal), arc(|p| &p.vertical));
    let energy = |far: &Array2<Complex64>| far.mapv(|p| p.norm_sqr());
    let bands = fractional_octaves(3, f[0], f[f.len() - 1]);
    let (across, upright) = (energy(&horizontal), energy(&vertical));
    let seat = |s: usize| {
        let heard: Vec<&[Complex64]> = through.iter().map(|part| part.seats[s].as_slice()).collect();
        let flight = set.flight(s);
        let in_time = match click(f, (&parts, &chains), (s, flight), SAMPLE_RATE) {
            Ok(impulse) => InTime::of(impulse),
            Err(error) => InTime::Unknown(error.to_string()),
        };
        blended_at(&ensemble.seats[s].name, f, &heard, flight, in_time)
    };
    let (advice, unadvised) = match advice(ensemble, set) {
        Ok(advice) => (Some(advice), None),
        Err(why) => (None, Some(why)),
    };
    Blended {
        surround: set.name.clone(),
        around: set.around.clone(),
        seats: (0..ensemble.seats.len()).into_par_iter().map(seat).collect(),
        gains: vec![],
        horizontal: horizontal.mapv(spl),
        vertical: vertical.mapv(spl),
        polar: polar(f, &ensemble.angles, across.view(), upright.view(), &bands, 1.0),
        agreement: set.agreement(&through, &set.drivers().map(|(voice, _)| voice.later).collect::<Vec<_>>()),
        unevenness: averages.unevenness(&channels),
        averaged: averages.level(&channels),
        leads: averages.leads(&channels),
        advice,
        unadvised,
    }
}
