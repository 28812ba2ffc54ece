//! What a place is judged by.

use super::handover::Handover;
use super::matched::{Matched, Span, matched};
use crate::coupling::blend::{Part, Pressure};
use crate::listening::{
    AgreementAt, Band, BandAgreement, Centred, Heard, Loudness, agreement_at, band_mean_square, band_weights,
    localisation_blur, pressure_level,
};
use crate::scene::Seat;
use crate::search::evenness::{Evenness, deviation};
use ndarray::Array2;
use num_complex::Complex64;
use serde::Serialize;

/// A part counts where its channel lets pass no less than this below the most [dB].
const PASSED: f64 = -10.0;
/// Ratio of neighbouring frequencies at which the shadow is judged, a sixth of an octave but for rounding.
const SHADOW_STEP: f64 = 1.122;

/// What the scores count against each other, in decibels of evenness: our own balance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriverWeights {
    /// A decibel of unevenness.
    pub unevenness: f64,
    /// An angle between the centres as large as the blur of hearing, beyond the first such.
    pub apart: f64,
    /// A decibel of ripple in the driver's own response.
    pub comb: f64,
    /// A decibel by which the housing changes the panel's sound.
    pub shadow: f64,
}

impl Default for DriverWeights {
    /// Evenness of the sum leads; its causes, comb and shadow, count a little by themselves, as they come back at places that no seat stands for.
    fn default() -> Self {
        Self { unevenness: 1.0, apart: 0.5, comb: 0.1, shadow: 0.5 }
    }
}

/// Scores of a place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriverScores {
    /// Unevenness [dB] of the sound averaged over the seats with the channels as the case has them.
    pub as_set: f64,
    /// The same with delay, gain and polarity best matched to the place.
    pub matched: Matched,
    /// Angle between the centres of panel and driver from the seats, over the blur of hearing: root mean square over seats and those third octaves in which
    /// neither leads. 1 is as large as the blur. `None` where one leads everywhere, so that nothing is compared.
    pub apart: Option<f64>,
    /// Share of these bands in which the two are heard apart.
    pub heard_apart: Option<f64>,
    /// Standard deviation [dB] over frequency of what the panel behind does to the level of the driver, at the seats together, where its channel lets it pass.
    pub comb: f64,
    /// The deepest of it: frequency [Hz] and level [dB].
    pub dip: [f64; 2],
    /// Root mean square [dB] over frequency of what the housing changes in the level of the panel, at the seats together, where its channel lets it pass.
    pub shadow: f64,
    /// What it changes in all [dB]: negative where it takes away.
    pub shaded: f64,
    /// All together [dB], less is better.
    pub cost: f64,
}

/// Everything that does not depend on the place.
pub(super) struct Judge<'a> {
    pub frequencies: &'a [f64],
    pub seats: &'a [Seat],
    /// The panel.
    pub panel: &'a Part,
    /// All that stays, through its channels.
    pub rest: &'a Part,
    /// Responses of the panel's and the driver's channel.
    pub responses: [Vec<Complex64>; 2],
    pub driver: &'a str,
    /// The panel's centres; the driver's own count from the middle of its front.
    pub centres: Vec<Centred>,
    /// Pure delays [s] of the channels of the panel, of the part that the driver hands over to, and of the driver.
    pub delays: [f64; 3],
    /// Where it hands over.
    pub handover: &'a Handover,
    pub sound_speed: f64,
    pub weights: DriverWeights,
}

/// What is known of a place.
pub(super) struct Found {
    /// Middle of the driver's front there [m].
    pub front: [f64; 3],
    /// Pressures [Pa RMS] at the seats, (seats, frequencies): before the board, and with nothing behind.
    pub boarded: Vec<Vec<Complex64>>,
    pub free: Vec<Vec<Complex64>>,
    /// Energy of the panel with the housing there over that without, at the frequencies of [`Judge::shadowed`].
    pub shadow: Vec<f64>,
}

impl Judge<'_> {
    pub fn scores(&self, found: &Found) -> DriverScores {
        let part = self.part(found);
        let evenness = Evenness::of(self.frequencies, [self.rest, &part], &vec![1.0; self.seats.len()]);
        let (h, g) = (&vec![Complex64::ONE; self.frequencies.len()][..], &self.responses[1][..]);
        let as_set = evenness.unevenness(h, g);
        let matched = matched(&evenness, [h, g], self.span(&part));
        let (apart, heard_apart) = self.apart(found, &part, &matched).unzip();
        let (comb, dip) = self.comb(found);
        let (shadow, shaded) = shadow(&found.shadow);
        let weights = &self.weights;
        let cost = weights.unevenness * matched.unevenness
            + weights.apart * (apart.unwrap_or(0.0) - 1.0).max(0.0)
            + weights.comb * comb
            + weights.shadow * shadow;
        DriverScores { as_set, matched, apart, heard_apart, comb, dip, shadow, shaded, cost }
    }

    fn part(&self, found: &Found) -> Part {
        let flight = |seat: &Seat| distance(seat.position, found.front) / self.sound_speed;
        Part {
            name: self.driver.into(),
            pressure: Pressure {
                seats: found.boarded.clone(),
                horizontal: Array2::zeros((0, 0)),
                vertical: Array2::zeros((0, 0)),
            },
            flight: self.seats.iter().map(flight).collect(),
            strain: vec![],
        }
    }

    /// Where delays are looked for: about the one that makes up for the ways.
    fn span(&self, part: &Part) -> Span {
        let pairs = self.rest.flight.iter().zip(&part.flight);
        let earlier = pairs.map(|(rest, driver)| rest - driver).sum::<f64>() / self.seats.len() as f64;
        let [_, rest, driver] = self.delays;
        let ways = earlier + rest - driver;
        let periods = self.handover.ends().map(|corner| 1.0 / corner);
        Span { ways, periods, plays: self.handover.plays }
    }

    fn apart(&self, found: &Found, part: &Part, matched: &Matched) -> Option<(f64, f64)> {
        let [panel, _, driver] = self.delays;
        let later = driver - panel + matched.delay;
        let there = |own: [f64; 3]| [0, 1, 2].map(|c| found.front[c] + own[c]);
        let centres: Vec<Centred> = self
            .centres
            .iter()
            .map(|centre| Centred { driver: there(centre.driver), later, ..*centre })
            .collect();
        let at = |s: usize| {
            let energy = |part: &Part, response: &[Complex64]| -> Vec<f64> {
                part.pressure.seats[s].iter().zip(response).map(|(p, h)| (p * h).norm_sqr()).collect()
            };
            let [panel, driver] = [energy(self.panel, &self.responses[0]), energy(part, &self.responses[1])];
            let rest: Vec<f64> = self.rest.pressure.seats[s].iter().map(|p| p.norm_sqr()).collect();
            let loud = |centre: &Centred| {
                let level = |energy: &[f64]| self.level(energy, &centre.band);
                Loudness::of(level(&panel), level(&driver) + matched.gain_db, level(&rest))
            };
            let loud: Vec<Loudness> = centres.iter().map(loud).collect();
            agreement_at(&self.seats[s], self.driver, &centres, &loud, self.sound_speed)
        };
        let all: Vec<AgreementAt> = (0..self.seats.len()).map(at).collect();
        let both: Vec<&BandAgreement> =
            all.iter().flat_map(|seat| &seat.bands).filter(|band| band.heard != Heard::OneLeads).collect();
        if both.is_empty() {
            return None;
        }
        let count = both.len() as f64;
        let square = both.iter().map(|band| blurs(band).powi(2)).sum::<f64>() / count;
        let beyond = both.iter().filter(|band| band.heard == Heard::Apart).count() as f64;
        Some((square.sqrt(), beyond / count))
    }

    fn level(&self, energy: &[f64], band: &Band) -> f64 {
        pressure_level(band_mean_square(self.frequencies, energy, band).unwrap_or(0.0))
    }

    fn comb(&self, found: &Found) -> (f64, [f64; 2]) {
        let sum = |seats: &[Vec<Complex64>], i: usize| seats.iter().map(|p| p[i].norm_sqr()).sum::<f64>();
        let ratio = |i: usize| 10.0 * (sum(&found.boarded, i) / sum(&found.free, i)).log10();
        let passed = passed(&self.responses[1]);
        let levels: Vec<f64> = passed.iter().map(|&i| ratio(i)).collect();
        let deepest = (0..levels.len()).min_by(|a, b| levels[*a].total_cmp(&levels[*b]));
        let dip = deepest.map_or([f64::NAN; 2], |n| [self.frequencies[passed[n]], levels[n]]);
        (deviation(&levels), dip)
    }

    /// Indices of the frequencies at which the housing's shadow is judged: where the panel's channel lets it pass, a sixth of an octave apart at least.
    pub fn shadowed(&self) -> Vec<usize> {
        let mut chosen: Vec<usize> = vec![];
        for i in passed(&self.responses[0]) {
            let apart = |last: &usize| self.frequencies[i] >= self.frequencies[*last] * SHADOW_STEP;
            if chosen.last().is_none_or(apart) {
                chosen.push(i);
            }
        }
        chosen
    }

    /// The centres of bands that the frequencies cover.
    pub fn covered(frequencies: &[f64], centres: impl Iterator<Item = Centred>) -> Vec<Centred> {
        centres.filter(|centre| band_weights(frequencies, &centre.band).is_some()).collect()
    }
}

/// Root mean square over frequency, and level of the mean, of ratios of energy [dB].
fn shadow(ratios: &[f64]) -> (f64, f64) {
    let count = ratios.len() as f64;
    let square: f64 = ratios.iter().map(|ratio| (10.0 * ratio.log10()).powi(2)).sum();
    ((square / count).sqrt(), 10.0 * (ratios.iter().sum::<f64>() / count).log10())
}

/// Where a channel lets pass what is near its most.
fn passed(response: &[Complex64]) -> Vec<usize> {
    let level = |h: &Complex64| 20.0 * h.norm().log10();
    let most = response.iter().map(level).fold(f64::NEG_INFINITY, f64::max);
    (0..response.len()).filter(|&i| level(&response[i]) >= most + PASSED).collect()
}

/// Angle over the blur, sideways and, for steady noise, upwards.
fn blurs(band: &BandAgreement) -> f64 {
    let blur = localisation_blur();
    band.from_wave_front
        .or(band.from_intensity)
        .map_or(0.0, |apart| (apart.horizontal / blur.horizontal).hypot(apart.vertical / blur.vertical_noise))
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    let [x, y, z] = [0, 1, 2].map(|c| a[c] - b[c]);
    x.hypot(y).hypot(z)
}
