//! What seats hear of a click.

use super::advice::BlendAdvice;
use super::ensemble::Ensemble;
use super::findings::BlendFindings;
use super::together::{Together, sets};
use crate::coupling::blend::Part;
use crate::filters::{Chain, Impulse, ImpulseError, ImpulseRequest, Sampled, impulse_response};
use crate::search::crossover::Feed;
use num_complex::Complex64;

/// Time before the arrival, in periods of the lowest frequency: the fade below it, an octave wide, rings ahead.
const LEAD: f64 = 8.0;
/// Largest share of the energy long before the arrival and at the end; more than a tenth of it is told. Resonances narrower than the step of
/// the frequencies cause it: between samples they are not known.
const FLOOR: f64 = 1e-2;
/// Longest impulse response [s].
const LONGEST: f64 = 5.0;

/// Panel and drivers at a seat, one way of feeding them.
#[derive(Clone, Debug)]
pub struct Click {
    /// Name of the surround.
    pub surround: String,
    /// Name of the seat.
    pub seat: String,
    /// True with the advised crossover, false with the channels of the case.
    pub advised: bool,
    /// Impulse response [Pa/V per sample], or why there is none.
    pub impulse: Result<Impulse, ImpulseError>,
}

/// Impulse responses at every seat with every surround that `findings` are of, as in the case and with the advised crossovers, at a sample
/// rate [Hz].
pub fn clicks(ensemble: &Ensemble, findings: &BlendFindings, sample_rate: f64) -> Vec<Click> {
    let sets = sets(ensemble);
    let pairs = sets.iter().zip(&findings.surrounds);
    pairs.flat_map(|(set, blended)| of_set(ensemble, set, blended.advice.as_ref(), sample_rate)).collect()
}

fn of_set(ensemble: &Ensemble, set: &Together, advice: Option<&BlendAdvice>, sample_rate: f64) -> Vec<Click> {
    let parts = set.parts();
    let mut ways: Vec<(bool, Vec<Chain>)> = vec![(false, set.chains().into_iter().cloned().collect())];
    ways.extend(advice.map(|advice| (true, advice.feeds().iter().map(Feed::chain).collect())));
    let mut clicks = vec![];
    for (seat, place) in ensemble.seats.iter().enumerate() {
        for (advised, chains) in &ways {
            let chains: Vec<&Chain> = chains.iter().collect();
            let at = (seat, set.flight(seat));
            clicks.push(Click {
                surround: set.name.clone(),
                seat: place.name.clone(),
                advised: *advised,
                impulse: click(&ensemble.frequencies, (&parts, &chains), at, sample_rate),
            });
        }
    }
    clicks
}

/// Impulse response at a seat whose first sound arrives after `flight` [s]: every part between its samples, its channel exact at every
/// frequency.
pub(super) fn click(
    frequencies: &[f64],
    (parts, chains): (&[&Part], &[&Chain]),
    (seat, flight): (usize, f64),
    sample_rate: f64,
) -> Result<Impulse, ImpulseError> {
    let sampled: Vec<Sampled> = (parts.iter())
        .map(|part| Sampled::new(frequencies, &part.pressure.seats[seat], part.flight[seat]))
        .collect();
    let transfer = |f: f64| -> Complex64 {
        sampled.iter().zip(chains).map(|(part, chain)| part.response(f) * chain.response(f)).sum()
    };
    let request = ImpulseRequest {
        sample_rate,
        flight,
        lead: (LEAD * sample_rate / frequencies[0]).ceil() as usize,
        floor: FLOOR,
        longest: ((LONGEST * sample_rate) as usize).next_power_of_two(),
    };
    impulse_response(transfer, &request)
}
