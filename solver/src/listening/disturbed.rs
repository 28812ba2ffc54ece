//! What a driven panel does to a silent driver before it.

use super::level::spl;
use super::surrounds::{BandGain, gains};
use crate::words::{decibels, hertz, trimmed};
use num_complex::Complex64;
use serde::Serialize;

/// Below this, relative to the panel's own sound, what the driver re-radiates is no matter [dB]. Common practice, no source.
const NO_MATTER: f64 = -20.0;
/// Above this it colours the sound [dB]. Common practice, no source.
const COLOURS: f64 = -10.0;
/// Open leads are worth a word when they make it louder by this [dB].
const LOUDER: f64 = 1.0;

/// A driver without a signal of its own before the driven panel, in free space but for the panel: no floor.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DisturbedDriver {
    /// Frequencies [Hz]: those of the comparison, as far as the panel's own scene reaches.
    pub frequencies: Vec<f64>,
    /// Level of the mean pressure on the blocked diaphragm [dB re 20 µPa].
    pub blocked: Vec<f64>,
    /// Peak excursion of the coil [m] with the leads at a silent amplifier.
    pub excursion_held: Vec<f64>,
    /// The same with the leads open.
    pub excursion_open: Vec<f64>,
    /// At the near microphone, then at every seat.
    pub places: Vec<DisturbedAt>,
    /// Largest error of the forces where the interpolation could be checked, of the largest force in a band.
    pub interpolation_error: f64,
}

/// What the pushed diaphragm radiates to one place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DisturbedAt {
    /// Name of the place.
    pub place: String,
    /// Level [dB re 20 µPa] with the leads at a silent amplifier.
    pub held: Vec<f64>,
    /// The same with the leads open.
    pub open: Vec<f64>,
    /// Level of the panel's own sound [dB re 20 µPa].
    pub panel: Vec<f64>,
    /// `held` relative to the panel's own sound in third octaves, energy means.
    pub held_bands: Vec<BandGain>,
    /// The same of `open`.
    pub open_bands: Vec<BandGain>,
}

/// Pressures [Pa RMS] at a place become findings.
pub fn disturbed_at(place: &str, frequencies: &[f64], [held, open, panel]: [&[Complex64]; 3]) -> DisturbedAt {
    let levels = |pressure: &[Complex64]| pressure.iter().map(|p| spl(*p)).collect();
    DisturbedAt {
        place: place.into(),
        held: levels(held),
        open: levels(open),
        panel: levels(panel),
        held_bands: gains(frequencies, held, panel),
        open_bands: gains(frequencies, open, panel),
    }
}

/// One sentence: how far the driver named `driver` in this surround is moved, and how loud that is at the seat where it is loudest relative to the panel, or
/// at the near microphone when there is no seat.
pub fn disturbed_words(driver: &str, surround: &str, found: &DisturbedDriver) -> Option<String> {
    let heard = if found.places.len() > 1 { &found.places[1..] } else { &found.places[..] };
    let (place, worst) = loudest(heard, |place| &place.held_bands)?;
    let open = loudest(heard, |place| &place.open_bands).map_or(worst.gain, |(_, band)| band.gain);
    let excursion = found.excursion_held.iter().copied().fold(0.0, f64::max);
    let if_open = if open - worst.gain >= LOUDER {
        format!("; with its leads open, {}", beside(open))
    } else {
        String::new()
    };
    Some(format!(
        "The panel's sound moves “{driver}” in “{surround}” by at most {}; what it re-radiates is {} the panel's own sound at {} (worst band {}){if_open}: \
         the panel {}.",
        micrometres(excursion),
        beside(worst.gain),
        place.place,
        hertz(worst.band.nominal),
        verdict(worst.gain.max(open)),
    ))
}

/// The place and band with the largest gain.
fn loudest(
    places: &[DisturbedAt],
    bands: impl Fn(&DisturbedAt) -> &Vec<BandGain>,
) -> Option<(&DisturbedAt, BandGain)> {
    let all = places.iter().flat_map(|place| bands(place).iter().map(move |band| (place, *band)));
    all.filter(|(_, band)| band.gain.is_finite()).max_by(|a, b| a.1.gain.total_cmp(&b.1.gain))
}

fn beside(gain: f64) -> String {
    let way = if gain > 0.0 { "above" } else { "below" };
    format!("{} {way}", decibels(gain.abs()))
}

fn verdict(gain: f64) -> &'static str {
    match gain {
        gain if gain < NO_MATTER => "does not disturb it",
        gain if gain < COLOURS => "disturbs it slightly",
        _ => "makes it colour the sound",
    }
}

/// `"0.83 µm"`, two digits below 10 µm.
fn micrometres(length: f64) -> String {
    let micrometres = 1e6 * length;
    let decimals = if micrometres < 0.0995 {
        3
    } else if micrometres < 0.995 {
        2
    } else {
        1
    };
    format!("{} µm", trimmed(micrometres, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(held: [f64; 2], open: [f64; 2]) -> DisturbedDriver {
        let f: Vec<f64> = (0..48).map(|i| 1000.0 * 2f64.powf(f64::from(i) / 24.0)).collect();
        let level = |[low, high]: [f64; 2]| -> Vec<Complex64> {
            f.iter().map(|&f| 10f64.powf(if f < 1412.0 { low } else { high } / 20.0).into()).collect()
        };
        let panel = level([0.0; 2]);
        let at = |place: &str, held| disturbed_at(place, &f, [&level(held), &level(open), &panel]);
        DisturbedDriver {
            blocked: vec![80.0; f.len()],
            excursion_held: f.iter().map(|f| 8e-4 / f).collect(),
            excursion_open: vec![1e-6; f.len()],
            places: vec![at("the near microphone", [0.0; 2]), at("sofa", [-60.0; 2]), at("window", held)],
            interpolation_error: 0.0,
            frequencies: f,
        }
    }

    #[test]
    fn the_worst_seat_and_band_are_told_and_judged() {
        let told = |held, open| disturbed_words("treble", "wings", &found(held, open)).expect("bands");
        assert_eq!(
            told([-38.0, -41.0], [-38.0, -41.0]),
            "The panel's sound moves “treble” in “wings” by at most 0.8 µm; what it re-radiates is 38 dB below the panel's own sound at window \
             (worst band 1.25 kHz): the panel does not disturb it."
        );
        let slightly = told([-30.0, -15.0], [-12.0, -15.0]);
        assert!(slightly.contains("15 dB below the panel's own sound at window (worst band"), "{slightly}");
        assert!(slightly.ends_with("; with its leads open, 12 dB below: the panel disturbs it slightly."));
        assert!(told([3.0, -15.0], [3.0, 3.0]).ends_with("the panel makes it colour the sound."));
    }

    #[test]
    fn a_silent_panel_has_no_words() {
        let mut silent = found([-38.0; 2], [-38.0; 2]);
        for place in &mut silent.places {
            place.held_bands.iter_mut().chain(&mut place.open_bands).for_each(|band| band.gain = f64::NAN);
        }
        assert_eq!(disturbed_words("treble", "wings", &silent), None);
    }
}
