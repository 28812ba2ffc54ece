//! Several sources heard as one at a seat.

use super::beam::group_delay;
use super::level::spl;
use crate::filters::Impulse;
use num_complex::Complex64;
use serde::Serialize;
use std::f64::consts::TAU;

/// The sum of all parts at one seat.
#[derive(Clone, Debug, Serialize)]
pub struct BlendedAt {
    /// Name of the seat.
    pub seat: String,
    /// Complex pressure of the sum [Pa RMS], time of flight included.
    pub pressure: Vec<Complex64>,
    /// Its level [dB re 20 µPa].
    pub level: Vec<f64>,
    /// Its phase [rad], −π to π, without the time of flight `flight`.
    pub phase: Vec<f64>,
    /// Its group delay [s] beyond `flight`.
    pub group_delay: Vec<f64>,
    /// When the first sound arrives [s].
    pub flight: f64,
    /// The parts, in their order.
    pub parts: Vec<PartAt>,
    /// Index of the loudest part, over frequency.
    pub leader: Vec<usize>,
    /// Sound over time after a click, and why there is none.
    pub in_time: InTime,
}

/// One part at one seat.
#[derive(Clone, Debug, Serialize)]
pub struct PartAt {
    /// Level [dB re 20 µPa].
    pub level: Vec<f64>,
    /// Level minus that of the sum [dB]: above 0 where another part takes away from it.
    pub share: Vec<f64>,
    /// Phase [rad], −π to π, without the seat's time of flight.
    pub phase: Vec<f64>,
    /// Phase minus that of the first part [rad], −π to π.
    pub against_first: Vec<f64>,
}

/// What arrives when.
#[derive(Clone, Debug, Serialize)]
pub enum InTime {
    /// Impulse and step response.
    Heard {
        /// Sample rate [Hz].
        sample_rate: f64,
        /// Time of the first sample after the input [s].
        starts: f64,
        /// Share of the energy that comes long before the arrival or at the very end, where there should be none.
        misplaced: f64,
        /// Impulse response [Pa per sample].
        #[serde(skip)]
        impulse: Vec<f64>,
        /// Step response [Pa].
        #[serde(skip)]
        step: Vec<f64>,
    },
    /// There is none, and why.
    Unknown(String),
}

impl InTime {
    /// From a finished impulse response.
    pub fn of(impulse: Impulse) -> Self {
        let (starts, step) = (impulse.time(0), impulse.step());
        Self::Heard {
            sample_rate: impulse.sample_rate,
            starts,
            misplaced: impulse.early.max(impulse.late),
            step,
            impulse: impulse.samples,
        }
    }
}

/// What a seat hears of filtered `parts` [Pa RMS] (parts, frequencies) whose first sound arrives after `flight` [s].
pub fn blended_at(
    seat: &str,
    frequencies: &[f64],
    parts: &[&[Complex64]],
    flight: f64,
    in_time: InTime,
) -> BlendedAt {
    let pressure: Vec<Complex64> =
        (0..frequencies.len()).map(|i| parts.iter().map(|part| part[i]).sum()).collect();
    let slow = |p: &[Complex64]| -> Vec<Complex64> {
        p.iter().zip(frequencies).map(|(p, f)| p * Complex64::cis((TAU * f * flight) % TAU)).collect()
    };
    let part = |p: &&[Complex64]| PartAt {
        level: p.iter().map(|p| spl(*p)).collect(),
        share: p.iter().zip(&pressure).map(|(p, sum)| spl(*p) - spl(*sum)).collect(),
        phase: slow(p).iter().map(|p| p.arg()).collect(),
        against_first: p.iter().zip(parts[0]).map(|(p, first)| (p * first.conj()).arg()).collect(),
    };
    let loudest = |i: usize| {
        let louder = |a: &usize, b: &usize| parts[*a][i].norm().total_cmp(&parts[*b][i].norm());
        (0..parts.len()).max_by(louder).unwrap_or(0)
    };
    let late = slow(&pressure);
    BlendedAt {
        seat: seat.into(),
        level: pressure.iter().map(|p| spl(*p)).collect(),
        phase: late.iter().map(|p| p.arg()).collect(),
        group_delay: group_delay(frequencies, &late),
        flight,
        parts: parts.iter().map(part).collect(),
        leader: (0..frequencies.len()).map(loudest).collect(),
        pressure,
        in_time,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_leaders_and_phases_of_two_parts() {
        let f = [1000.0, 1100.0];
        let flight = 3e-3;
        let flown = |f: f64, amplitude: Complex64| amplitude * Complex64::cis(-TAU * f * flight);
        let first = [flown(f[0], Complex64::from(0.3)), flown(f[1], Complex64::from(0.1))];
        let second = [flown(f[0], Complex64::from(-0.1)), flown(f[1], Complex64::new(0.0, 0.2))];
        let heard = blended_at("sofa", &f, &[&first, &second], flight, InTime::Unknown(String::new()));
        assert_eq!(heard.leader, [0, 1]);
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        close(heard.parts[0].share[0], 20.0 * 1.5f64.log10());
        close(heard.parts[1].share[0], 20.0 * 0.5f64.log10());
        close(heard.parts[1].against_first[0].abs(), std::f64::consts::PI);
        close(heard.parts[1].against_first[1], std::f64::consts::FRAC_PI_2);
        close(heard.phase[0], 0.0);
        close(heard.phase[1], 2f64.atan());
        close(heard.group_delay[0], -2f64.atan() / (TAU * 100.0));
    }
}
