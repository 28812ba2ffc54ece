//! What seats hear of a click.

use super::ensemble::{Ensemble, Voice};
use super::findings::BlendFindings;
use crate::coupling::blend::Part;
use crate::filters::{Chain, Impulse, ImpulseError, ImpulseRequest, Sampled, impulse_response};
use num_complex::Complex64;

/// Time before the arrival, in periods of the lowest frequency: the fade below it, an octave wide, rings ahead.
const LEAD: f64 = 8.0;
/// Largest share of the energy long before the arrival and at the end; more than a tenth of it is told. Resonances narrower than the step of
/// the frequencies cause it: between samples they are not known.
const FLOOR: f64 = 1e-2;
/// Longest impulse response [s].
const LONGEST: f64 = 5.0;

/// Panel and driver at a seat, one way of feeding them.
#[derive(Clone, Debug)]
pub struct Click {
    /// Name of the driver's surround.
    pub surround: String,
    /// Name of the seat.
    pub seat: String,
    /// True with the advised crossover, false with the channels of the case.
    pub advised: bool,
    /// Impulse response [Pa/V per sample], or why there is none.
    pub impulse: Result<Impulse, ImpulseError>,
}

/// Impulse responses at every seat with every surround of the driver that `findings` are of, as in the case and with the advised crossover, at a
/// sample rate [Hz].
pub fn clicks(ensemble: &Ensemble, findings: &BlendFindings, sample_rate: f64) -> Vec<Click> {
    let voice = ensemble.drivers.iter().find(|voice| voice.driver.name == findings.driver);
    voice.map_or_else(Vec::new, |voice| of_voice(ensemble, voice, findings, sample_rate))
}

fn of_voice(ensemble: &Ensemble, voice: &Voice, findings: &BlendFindings, sample_rate: f64) -> Vec<Click> {
    let mut clicks = vec![];
    for (surrounded, blended) in voice.surrounds.iter().zip(&findings.surrounds) {
        let parts = [&ensemble.panel, &surrounded.part];
        let mut ways = vec![(false, [ensemble.panel_chain.clone(), voice.chain.clone()])];
        ways.extend(blended.advice.as_ref().map(|advice| (true, advice.crossover.crossover.chains())));
        for (seat, place) in ensemble.seats.iter().enumerate() {
            for (advised, chains) in &ways {
                clicks.push(Click {
                    surround: blended.surround.clone(),
                    seat: place.name.clone(),
                    advised: *advised,
                    impulse: click(&ensemble.frequencies, parts, chains.each_ref(), seat, sample_rate),
                });
            }
        }
    }
    clicks
}

/// Impulse response at a seat: every part between its samples, its channel exact at every frequency.
pub(super) fn click(
    frequencies: &[f64],
    parts: [&Part; 2],
    chains: [&Chain; 2],
    seat: usize,
    sample_rate: f64,
) -> Result<Impulse, ImpulseError> {
    let sampled = parts.map(|part| Sampled::new(frequencies, &part.pressure.seats[seat], part.flight[seat]));
    let transfer = |f: f64| -> Complex64 {
        sampled.iter().zip(chains).map(|(part, chain)| part.response(f) * chain.response(f)).sum()
    };
    let request = ImpulseRequest {
        sample_rate,
        flight: parts[0].flight[seat].min(parts[1].flight[seat]),
        lead: (LEAD * sample_rate / frequencies[0]).ceil() as usize,
        floor: FLOOR,
        longest: ((LONGEST * sample_rate) as usize).next_power_of_two(),
    };
    impulse_response(transfer, &request)
}
