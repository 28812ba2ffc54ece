//! What filters need to know of any number of parts and seats.

use super::evenness::{SMOOTHING, deviation};
use crate::coupling::blend::Part;
use crate::listening::{Smoother, pressure_level};
use num_complex::Complex64;

/// Averaged products of the pressures of all parts.
///
/// With pᵢ the parts' pressures, Hᵢ the responses of their channels and seats of the weights w, `Σ w = 1`,
///
/// ```text
/// E(f) = Σ w |Σᵢ Hᵢ pᵢ|² = Σᵢⱼ Hᵢ* Hⱼ ⟨pᵢ* pⱼ⟩
/// ```
///
/// For two parts this is [`Evenness`](super::Evenness), and unevenness is defined there.
pub struct Averages {
    pub(super) frequencies: Vec<f64>,
    pub(super) smoother: Smoother,
    parts: usize,
    /// ⟨pᵢ* pⱼ⟩ [Pa²], (frequencies, i, j).
    products: Vec<Complex64>,
}

impl Averages {
    /// Of parts at geometric `frequencies` [Hz], with a weight for every seat.
    pub fn of(frequencies: &[f64], parts: &[&Part], weights: &[f64]) -> Self {
        let all: f64 = weights.iter().sum();
        let product = |f: usize, i: usize, j: usize| -> Complex64 {
            let seats = |p: usize| &parts[p].pressure.seats;
            let terms = weights.iter().enumerate().map(|(s, w)| seats(i)[s][f].conj() * seats(j)[s][f] * *w);
            terms.sum::<Complex64>() / all
        };
        let count = parts.len();
        let of_frequency = |f| (0..count * count).map(move |n| (f, n / count, n % count));
        let places = (0..frequencies.len()).flat_map(of_frequency);
        Self {
            frequencies: frequencies.to_vec(),
            smoother: Smoother::new(frequencies, SMOOTHING),
            parts: count,
            products: places.map(|(f, i, j)| product(f, i, j)).collect(),
        }
    }

    /// ⟨pᵢ* pⱼ⟩ [Pa²] at the frequency of index `f`.
    pub(super) fn product(&self, f: usize, i: usize, j: usize) -> Complex64 {
        self.products[(f * self.parts + i) * self.parts + j]
    }

    /// Lowest and highest frequency [Hz] at which every part is the loudest through its response of `responses`, (parts, frequencies), energies averaged
    /// over the seats and smoothed as for unevenness; `None` for one that never is.
    pub fn leads(&self, responses: &[Vec<Complex64>]) -> Vec<Option<[f64; 2]>> {
        let count = self.frequencies.len();
        let alone = |k: usize| -> Vec<f64> {
            let at = |f: usize| responses[k][f].norm_sqr() * self.product(f, k, k).re;
            self.smoother.of(&(0..count).map(at).collect::<Vec<_>>())
        };
        let energies: Vec<Vec<f64>> = (0..self.parts).map(alone).collect();
        let loudest = |f: usize| (0..self.parts).max_by(|&a, &b| energies[a][f].total_cmp(&energies[b][f]));
        let leader: Vec<Option<usize>> = (0..count).map(loudest).collect();
        let range = |k: usize| {
            let is_it = |leader: &Option<usize>| *leader == Some(k);
            let (first, last) = (leader.iter().position(is_it)?, leader.iter().rposition(is_it)?);
            Some([self.frequencies[first], self.frequencies[last]])
        };
        (0..self.parts).map(range).collect()
    }

    /// Averaged energy [Pa²] of the sum through the parts' `responses`, (parts, frequencies).
    pub fn energy(&self, responses: &[Vec<Complex64>]) -> Vec<f64> {
        let at = |f: usize| {
            let column = |j: usize| -> Complex64 {
                (0..self.parts).map(|i| responses[i][f].conj() * self.product(f, i, j)).sum()
            };
            let energy: Complex64 = (0..self.parts).map(|j| column(j) * responses[j][f]).sum();
            // Rounding may leave a little less than nothing where all cancel.
            energy.re.max(0.0)
        };
        (0..self.frequencies.len()).map(at).collect()
    }

    /// Its smoothed level [dB re 20 µPa].
    pub fn level(&self, responses: &[Vec<Complex64>]) -> Vec<f64> {
        self.smoother.of(&self.energy(responses)).into_iter().map(pressure_level).collect()
    }

    /// Its unevenness [dB].
    pub fn unevenness(&self, responses: &[Vec<Complex64>]) -> f64 {
        deviation(&self.level(responses))
    }
}
