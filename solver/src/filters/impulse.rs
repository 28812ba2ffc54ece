//! From a transfer function to what arrives when, and back.
//!
//! ```text
//! H(f) = Σ h[n] exp(−j 2π f (n + first) / f_s),   0 ≤ f ≤ f_s/2
//! ```
//!
//! h by an inverse discrete Fourier transform of H on N + 1 even steps from 0 to f_s/2. The transform is circular: what rings longer than
//! its period comes round to the start. It is therefore made longer until its end is silent, and the time of flight is taken out in whole
//! samples before it, so that the arrival lies near the start whatever the distance. The fraction of a sample that remains stays in the
//! samples' values.
//!
//! At 0 and f_s/2 only the real part of H counts: samples are real. A transfer function that is cut off at f_s/2 rings there, before the
//! arrival, too; [`Sampled`](super::Sampled) fades it out instead.

use num_complex::Complex64;
use rayon::prelude::*;
use rustfft::FftPlanner;
use std::f64::consts::TAU;
use thiserror::Error;

/// Shortest transform.
const SHORTEST: usize = 256;
/// The last part of the transform that must be silent: one eighth.
const END: usize = 8;

/// What is wanted of [`impulse_response`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImpulseRequest {
    /// Sample rate [Hz].
    pub sample_rate: f64,
    /// When the first sound arrives [s].
    pub flight: f64,
    /// Whole samples kept before the arrival, for what a limited band makes ring ahead of it.
    pub lead: usize,
    /// Largest share of the energy in the first half of the lead, and in the last eighth of the transform.
    pub floor: f64,
    /// Longest transform [samples].
    pub longest: usize,
}

/// An impulse response.
#[derive(Clone, Debug, PartialEq)]
pub struct Impulse {
    /// Sample rate [Hz].
    pub sample_rate: f64,
    /// When the first of `samples` is, in whole samples after the input.
    pub first: i64,
    /// What of the time of flight is no whole sample, 0 to below 1 [samples]; it is in the samples' values.
    pub fraction: f64,
    /// Values in the unit of the transfer function; times the sample rate they are its density in time.
    pub samples: Vec<f64>,
    /// Share of the energy in the first half of the lead.
    pub early: f64,
    /// Share of the energy in the last eighth.
    pub late: f64,
}

/// Why there is no impulse response.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum ImpulseError {
    /// It does not start from silence.
    #[error(
        "{share:.1e} of the energy comes long before the arrival, allowed are {floor:.1e}: check the time of flight, leave a longer lead, or \
         fade the response out below half the sample rate"
    )]
    Early {
        /// Share of the energy in the first half of the lead.
        share: f64,
        /// Allowed.
        floor: f64,
    },
    /// It rings too long.
    #[error(
        "{share:.1e} of the energy comes in the last eighth of {length} samples, allowed are {floor:.1e}: allow a longer response"
    )]
    Late {
        /// Share of the energy in the last eighth.
        share: f64,
        /// Allowed.
        floor: f64,
        /// Samples of the longest transform.
        length: usize,
    },
    /// The transfer function has no finite value somewhere, or vanishes.
    #[error("the transfer function is not finite everywhere from 0 to half the sample rate, or vanishes")]
    NoNumber,
}

/// The impulse response of `transfer`, a function of frequency [Hz] from 0 to half the sample rate, long enough that its end is silent.
///
/// # Errors
/// When energy before the arrival or at the end exceeds the floor, or the transfer function is not finite or vanishes.
pub fn impulse_response(
    transfer: impl Fn(f64) -> Complex64 + Sync,
    request: &ImpulseRequest,
) -> Result<Impulse, ImpulseError> {
    let mut length = SHORTEST.max((4 * request.lead).next_power_of_two());
    loop {
        let impulse = of_length(&transfer, request, length);
        let (share, floor) = (impulse.late, request.floor);
        if !(impulse.late.is_finite() && impulse.early.is_finite()) {
            return Err(ImpulseError::NoNumber);
        }
        // What comes round from a ringing end also lies before the arrival: that is judged when the end is silent.
        if share <= floor {
            return match impulse.early <= floor {
                true => Ok(impulse),
                false => Err(ImpulseError::Early { share: impulse.early, floor }),
            };
        }
        if 2 * length > request.longest {
            return Err(ImpulseError::Late { share, floor, length });
        }
        length *= 2;
    }
}

fn of_length(
    transfer: &(impl Fn(f64) -> Complex64 + Sync),
    request: &ImpulseRequest,
    length: usize,
) -> Impulse {
    let flight = request.flight * request.sample_rate;
    let first = flight.floor() as i64 - request.lead as i64;
    let bin = |k: usize| {
        // The turn k · first / N is reduced in whole numbers: exact however far the sound has travelled.
        let turns = (k as i128 * i128::from(first)).rem_euclid(length as i128) as f64 / length as f64;
        transfer(request.sample_rate * k as f64 / length as f64) * Complex64::from_polar(1.0, TAU * turns)
    };
    let half: Vec<Complex64> = (0..=length / 2).into_par_iter().map(bin).collect();
    let samples = inverse(&half);
    let energy = |range: &[f64]| range.iter().map(|x| x * x).sum::<f64>();
    let all = energy(&samples);
    Impulse {
        sample_rate: request.sample_rate,
        first,
        fraction: flight - flight.floor(),
        early: energy(&samples[..request.lead / 2]) / all,
        late: energy(&samples[length - length / END..]) / all,
        samples,
    }
}

/// Real samples of the spectrum whose first half, 0 to f_s/2, is given.
fn inverse(half: &[Complex64]) -> Vec<f64> {
    let length = 2 * (half.len() - 1);
    let mirrored = half[1..half.len() - 1].iter().rev().map(Complex64::conj);
    let mut values: Vec<Complex64> = half.iter().copied().chain(mirrored).collect();
    values[0].im = 0.0;
    values[length / 2].im = 0.0;
    FftPlanner::new().plan_fft_inverse(length).process(&mut values);
    values.iter().map(|value| value.re / length as f64).collect()
}

impl Impulse {
    /// The transfer function at any `frequency` [Hz] up to half the sample rate, time of flight included.
    pub fn response(&self, frequency: f64) -> Complex64 {
        let step = frequency / self.sample_rate;
        let turned = |(n, &value): (usize, &f64)| {
            let turns = (n as f64 + self.first as f64) * step;
            Complex64::from_polar(value, -TAU * turns.fract())
        };
        self.samples.iter().enumerate().map(turned).sum()
    }

    /// The transfer function at all frequencies k f_s / N from 0 to half the sample rate at once, N the number of samples, time of flight
    /// included.
    pub fn spectrum(&self) -> Vec<Complex64> {
        let length = self.samples.len();
        let mut values: Vec<Complex64> = self.samples.iter().map(|&x| Complex64::from(x)).collect();
        FftPlanner::new().plan_fft_forward(length).process(&mut values);
        let late = |(k, value): (usize, Complex64)| {
            let turns =
                (k as i128 * i128::from(self.first)).rem_euclid(length as i128) as f64 / length as f64;
            value * Complex64::from_polar(1.0, -TAU * turns)
        };
        values.into_iter().take(length / 2 + 1).enumerate().map(late).collect()
    }

    /// The response to a step of the input at time 0, at the same times as the samples.
    pub fn step(&self) -> Vec<f64> {
        let so_far = |sum: &mut f64, value: &f64| {
            *sum += value;
            Some(*sum)
        };
        self.samples.iter().scan(0.0, so_far).collect()
    }

    /// When sample `n` is [s after the input].
    pub fn time(&self, n: usize) -> f64 {
        (n as f64 + self.first as f64) / self.sample_rate
    }
}
