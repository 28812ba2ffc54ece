//! How even the sound of two filtered parts is, averaged over the seats.

use super::arrivals::Arrivals;
use crate::coupling::blend::Part;
use crate::listening::Smoother;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Smoothing of the averaged energy [1/octaves] before its level is judged.
pub const SMOOTHING: u32 = 6;

/// Averaged energy of two parts, whatever their filters.
///
/// With A and B the parts' pressures and seats of the weights w, `Σ w = 1`,
///
/// ```text
/// E(f) = Σ w |H A + G B|² = |H|² ⟨|A|²⟩ + |G|² ⟨|B|²⟩ + 2 Re(H* G ⟨A* B⟩)
/// ```
///
/// Three averages per frequency hold everything that filters need to know of any number of seats. Unevenness is the standard deviation over
/// logarithmic frequency of the level of E, smoothed to a sixth of an octave (our own measure).
pub struct Evenness {
    frequencies: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
    cross: Vec<Complex64>,
    smoother: Smoother,
}

impl Evenness {
    /// Of two parts at geometric `frequencies` [Hz], with a weight for every seat.
    pub fn of(frequencies: &[f64], [a, b]: [&Part; 2], weights: &[f64]) -> Self {
        let all: f64 = weights.iter().sum();
        let (a, b) = (&a.pressure.seats, &b.pressure.seats);
        let mean = |value: &dyn Fn(usize) -> f64| {
            weights.iter().enumerate().map(|(s, w)| w * value(s)).sum::<f64>() / all
        };
        let square = |seats: &[Vec<Complex64>]| -> Vec<f64> {
            (0..frequencies.len()).map(|i| mean(&|s| seats[s][i].norm_sqr())).collect()
        };
        let product = |i: usize| {
            let terms = weights.iter().enumerate().map(|(s, w)| a[s][i].conj() * b[s][i] * *w);
            terms.sum::<Complex64>() / all
        };
        Self {
            first: square(a),
            second: square(b),
            cross: (0..frequencies.len()).map(product).collect(),
            smoother: Smoother::new(frequencies, SMOOTHING),
            frequencies: frequencies.to_vec(),
        }
    }

    /// Frequencies [Hz].
    pub fn frequencies(&self) -> &[f64] {
        &self.frequencies
    }

    /// Averaged energies [Pa²] of the parts alone, without filters.
    pub fn alone(&self) -> [&[f64]; 2] {
        [&self.first, &self.second]
    }

    /// Averaged energy [Pa²] of the sum through responses h and g.
    pub fn energy(&self, h: &[Complex64], g: &[Complex64]) -> Vec<f64> {
        let at = |i: usize| {
            let both = 2.0 * (h[i].conj() * g[i] * self.cross[i]).re;
            // Rounding may leave a little less than nothing where both cancel.
            (h[i].norm_sqr() * self.first[i] + g[i].norm_sqr() * self.second[i] + both).max(0.0)
        };
        (0..self.frequencies.len()).map(at).collect()
    }

    /// Its smoothed level [dB re 20 µPa].
    pub fn level(&self, h: &[Complex64], g: &[Complex64]) -> Vec<f64> {
        self.smoother.of(&self.energy(h, g)).into_iter().map(crate::listening::pressure_level).collect()
    }

    /// Its unevenness [dB].
    pub fn unevenness(&self, h: &[Complex64], g: &[Complex64]) -> f64 {
        deviation(&self.level(h, g))
    }
}

/// The same through a pair of filters, for any gain, delay and polarity of the second part: smoothing is linear, so that the parts' own
/// energies are smoothed once, and what beats between them once per delay.
pub(super) struct Filtered<'e> {
    frequencies: &'e [f64],
    smoother: &'e Smoother,
    first: Vec<f64>,
    second: Vec<f64>,
    cross: Vec<Complex64>,
}

impl Evenness {
    /// Through responses h and g.
    pub(super) fn through(&self, h: &[Complex64], g: &[Complex64]) -> Filtered<'_> {
        let alone = |response: &[Complex64], energy: &[f64]| -> Vec<f64> {
            response.iter().zip(energy).map(|(r, e)| r.norm_sqr() * e).collect()
        };
        let crossed = |((h, g), cross): ((&Complex64, &Complex64), &Complex64)| h.conj() * g * cross;
        let cross = h.iter().zip(g).zip(&self.cross).map(crossed).collect();
        let energies = [alone(h, &self.first), alone(g, &self.second)];
        Filtered::of(&self.frequencies, &self.smoother, energies.each_ref(), cross)
    }

    /// When both arrive through responses h and g; the delay `ways` [s] of the second makes up for their ways.
    pub(super) fn arrivals(&self, h: &[Complex64], g: &[Complex64], ways: f64) -> Arrivals<'_> {
        let coherence = |i: usize| {
            let energies = h[i].norm_sqr() * self.first[i] * g[i].norm_sqr() * self.second[i];
            h[i].conj() * g[i] * self.cross[i] / energies.sqrt()
        };
        Arrivals::new(&self.frequencies, (0..self.cross.len()).map(coherence), ways)
    }
}

impl<'e> Filtered<'e> {
    /// From the averaged energies [Pa²] of two sides and the average of the first's conjugate times the second, filtered.
    pub fn of(
        frequencies: &'e [f64],
        smoother: &'e Smoother,
        [first, second]: [&Vec<f64>; 2],
        cross: Vec<Complex64>,
    ) -> Self {
        Self { frequencies, smoother, first: smoother.of(first), second: smoother.of(second), cross }
    }

    /// What beats between the parts when the second is `delay` [s] later.
    pub fn beating(&self, delay: f64) -> Vec<f64> {
        let late = |(cross, f): (&Complex64, &f64)| 2.0 * (cross * Complex64::cis(-TAU * f * delay)).re;
        let beat: Vec<f64> = self.cross.iter().zip(self.frequencies).map(late).collect();
        self.smoother.of(&beat)
    }

    /// Unevenness [dB] with this beating and this gain of the second part, negative when reversed.
    pub fn unevenness(&self, beating: &[f64], gain: f64) -> f64 {
        let energy = |i: usize| self.first[i] + gain * gain * self.second[i] + gain * beating[i];
        let level = |i| crate::listening::pressure_level(energy(i).max(0.0));
        deviation(&(0..beating.len()).map(level).collect::<Vec<_>>())
    }
}

/// Standard deviation.
pub(crate) fn deviation(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count).sqrt()
}
