//! What a builder asks of panel and driver together.

use super::clicks::click;
use super::ensemble::{Ensemble, Surrounded, Voice};
use super::measured::MeasuredAt;
use super::measured_words;
use super::words::{doubts, summary};
use crate::Warning;
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::listening::*;
use crate::search::crossover::{Advice, Request, Shape, advise};
use crate::search::equaliser::{Equalisation, equalisation};
use crate::search::evenness::Evenness;
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use serde::Serialize;

/// Sample rate [Hz] of impulse responses.
pub const SAMPLE_RATE: f64 = 48_000.0;
/// Corners keep this many octaves away from the ends of the range.
const FROM_THE_ENDS: f64 = 0.5;
/// A corner so near to an end of the range, as a ratio, lies at it.
const AT_AN_END: f64 = 0.02;
/// Bounds of the driver's gain [dB]: an amplifier's level control.
const GAIN: [f64; 2] = [-24.0, 12.0];

/// Panel and one driver, with each of its surrounds.
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
    /// Name of the driver.
    pub driver: String,
    /// With every surround, in the case's order.
    pub surrounds: Vec<Blended>,
    /// The blur that angles are judged by.
    pub blur: Blur,
    /// What was measured, beside what it replaced.
    pub measured: Vec<MeasuredAt>,
}

/// Panel and driver with one surround.
#[derive(Clone, Debug, Serialize)]
pub struct Blended {
    /// Name of the surround.
    pub surround: String,
    /// At every seat, with the channels of the case; parts are the panel, then the driver.
    pub seats: Vec<BlendedAt>,
    /// What the sum gains at every seat in third octaves over the sum with the first surround; nothing for that one.
    pub gains: Vec<Vec<BandGain>>,
    /// Level of the sum [dB re 20 µPa] as at 1 m, far away, over the horizontal arc, (frequencies, angles).
    pub horizontal: Array2<f64>,
    /// The same over the vertical arc.
    pub vertical: Array2<f64>,
    /// Whether both sound as one, seat by seat.
    pub agreement: Vec<AgreementAt>,
    /// Unevenness [dB] of the energy averaged over the seats, with the channels of the case.
    pub unevenness: f64,
    /// Level [dB re 20 µPa] of that energy, smoothed to a sixth of an octave.
    pub averaged: Vec<f64>,
    /// What would be better; `None` where the range is too narrow to say.
    pub advice: Option<BlendAdvice>,
}

/// Advice and what it does.
#[derive(Clone, Debug, Serialize)]
pub struct BlendAdvice {
    /// The crossover, in place of the channels' filters, gains and delays; on top of the panel's where its channels differ.
    pub crossover: Advice,
    /// True when its corner lies at an end of what may be chosen: beyond it there may be a better one.
    pub at_an_end: bool,
    /// Level [dB re 20 µPa] of the averaged energy with it.
    pub averaged: Vec<f64>,
    /// Level [dB re 20 µPa] of the sum at every seat with it, (seats, frequencies).
    pub seats: Vec<Vec<f64>>,
    /// An equaliser before both channels.
    pub equaliser: Equalisation,
}

/// The findings of every driver of an ensemble. Seats count alike.
pub fn blend_findings(ensemble: &Ensemble) -> Vec<BlendFindings> {
    ensemble.drivers.iter().map(|voice| of_driver(ensemble, voice)).collect()
}

fn of_driver(ensemble: &Ensemble, voice: &Voice) -> BlendFindings {
    let mut surrounds: Vec<Blended> =
        voice.surrounds.iter().map(|surrounded| blended(ensemble, voice, surrounded)).collect();
    compare_sums(&ensemble.frequencies, &mut surrounds);
    BlendFindings {
        summary: [summary(&voice.driver.name, &surrounds), measured_words::told(&ensemble.measured)].concat(),
        warnings: doubts(ensemble, &voice.driver, &surrounds),
        frequencies: ensemble.frequencies.clone(),
        angles: ensemble.angles.clone(),
        driver: voice.driver.name.clone(),
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

fn blended(ensemble: &Ensemble, voice: &Voice, surrounded: &Surrounded) -> Blended {
    let f = &ensemble.frequencies;
    let parts = [&ensemble.panel, &surrounded.part];
    let chains = [&ensemble.panel_chain, &voice.chain];
    let through = [0, 1].map(|i| parts[i].pressure.through(chains[i], f));
    let evenness = Evenness::of(f, parts, &vec![1.0; ensemble.seats.len()]);
    let [h, g] = chains.map(|chain| responses(chain, f));
    let arc = |of: fn(&Pressure) -> &Array2<Complex64>| (of(&through[0]) + of(&through[1])).mapv(spl);
    let seat = |s: usize| {
        let heard = [through[0].seats[s].as_slice(), through[1].seats[s].as_slice()];
        let flight = parts[0].flight[s].min(parts[1].flight[s]);
        let in_time = match click(f, parts, chains, s, SAMPLE_RATE) {
            Ok(impulse) => InTime::of(impulse),
            Err(error) => InTime::Unknown(error.to_string()),
        };
        blended_at(&ensemble.seats[s].name, f, &heard, flight, in_time)
    };
    Blended {
        surround: surrounded.part.name.clone(),
        seats: (0..ensemble.seats.len()).into_par_iter().map(seat).collect(),
        gains: vec![],
        horizontal: arc(|p| &p.horizontal),
        vertical: arc(|p| &p.vertical),
        agreement: agreement(ensemble, voice, surrounded, &through),
        unevenness: evenness.unevenness(&h, &g),
        averaged: evenness.level(&h, &g),
        advice: advice(ensemble, parts, &evenness),
    }
}

fn responses(chain: &Chain, frequencies: &[f64]) -> Vec<Complex64> {
    frequencies.iter().map(|&f| chain.response(f)).collect()
}

fn agreement(
    ensemble: &Ensemble,
    voice: &Voice,
    surrounded: &Surrounded,
    through: &[Pressure; 2],
) -> Vec<AgreementAt> {
    let f = &ensemble.frequencies;
    let covered = |centred: &&Centred| band_weights(f, &centred.band).is_some();
    let centres: Vec<Centred> = surrounded.centres.iter().filter(covered).copied().collect();
    let at = |(s, seat): (usize, &crate::scene::Seat)| {
        let energy = |p: &Pressure| p.seats[s].iter().map(|p| p.norm_sqr()).collect::<Vec<f64>>();
        let [panel, driver] = [energy(&through[0]), energy(&through[1])];
        let leads = |centred: &Centred| {
            let mean = |energy: &[f64]| band_mean_square(f, energy, &centred.band).unwrap_or(0.0);
            pressure_level(mean(&panel)) - pressure_level(mean(&driver))
        };
        let leads: Vec<f64> = centres.iter().map(leads).collect();
        agreement_at(seat, &voice.driver.name, &centres, &leads, ensemble.air.sound_speed)
    };
    ensemble.seats.iter().enumerate().map(at).collect()
}

fn advice(ensemble: &Ensemble, parts: [&Part; 2], evenness: &Evenness) -> Option<BlendAdvice> {
    let f = &ensemble.frequencies;
    if ensemble.seats.is_empty() {
        return None;
    }
    let margin = 2f64.powf(FROM_THE_ENDS);
    let flights = parts[0].flight.iter().zip(&parts[1].flight).map(|(panel, driver)| panel - driver);
    let request = Request {
        corners: [f[0] * margin, f[f.len() - 1] / margin],
        expected_delay: flights.sum::<f64>() / ensemble.seats.len() as f64,
        gain_db: GAIN,
        shapes: Shape::usual(),
    };
    let crossover = advise(evenness, parts, &request)?;
    let chains = crossover.crossover.chains();
    let [h, g] = [0, 1].map(|i| responses(&chains[i], f));
    let through = [0, 1].map(|i| parts[i].pressure.through(&chains[i], f));
    let seat = |s: usize| {
        let pairs = through[0].seats[s].iter().zip(&through[1].seats[s]);
        pairs.map(|(a, b)| spl(a + b)).collect()
    };
    let at = |end: &f64| (crossover.crossover.corner / end).ln().abs() < AT_AN_END;
    Some(BlendAdvice {
        at_an_end: request.corners.iter().any(at),
        averaged: evenness.level(&h, &g),
        seats: (0..ensemble.seats.len()).map(seat).collect(),
        equaliser: equalisation(f, &evenness.energy(&h, &g)),
        crossover,
    })
}
