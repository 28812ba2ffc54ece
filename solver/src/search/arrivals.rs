//! By how much the upper part must be delayed to arrive together with the lower one.
//!
//! A panel answers later than its distance says: bending waves must run from the exciter before it is loud. What counts is when the sound of both
//! arrives in the octave about the corner, so that the delay is that of the largest envelope of the cross-correlation in this octave,
//! `|Σ w(f) γ(f) exp(−jωτ)|` over τ, γ the averaged cross-spectrum made to a coherence (C. H. Knapp & G. C. Carter, IEEE Trans. Acoust. Speech
//! Signal Process. 24 (1976) 320, the smoothed coherence transform; from memory). The envelope knows nothing of phase and polarity, which are left
//! to the search.

use num_complex::Complex64;
use std::f64::consts::TAU;

/// Delays that are tried on either side of that of the ways [periods of the corner].
const REACH: f64 = 3.0;
/// Delays that are tried in a period.
const STEPS: f64 = 16.0;
/// Width of the weight about the corner [octaves], its standard deviation.
const WIDTH: f64 = 0.5;
/// Random phases have an envelope of `√Σ(w |γ|)²` in the mean square, and beyond so many times that at some of the delays in one case of twenty-five
/// (from `exp(−x²)` at about eight delays that differ): under it parts agree on no delay, and their ways decide.
const BY_CHANCE: f64 = 2.3;

/// When two parts arrive.
pub struct Arrivals<'a> {
    frequencies: &'a [f64],
    coherence: Vec<Complex64>,
    ways: f64,
}

impl<'a> Arrivals<'a> {
    /// The cross-spectrum of the lower part and the upper one as coherences, what is not a number counting nothing, and the delay that makes up for
    /// their ways [s].
    pub fn new(frequencies: &'a [f64], coherence: impl Iterator<Item = Complex64>, ways: f64) -> Self {
        let coherence = coherence.map(|c| if c.is_finite() { c } else { Complex64::ZERO }).collect();
        Self { frequencies, coherence, ways }
    }

    /// Delay of the upper part [s] with which both arrive together in the octave about `corner` [Hz].
    pub fn together(&self, corner: f64) -> f64 {
        let weighted: Vec<(f64, Complex64)> = self.weighted(corner).collect();
        let by_chance = BY_CHANCE * weighted.iter().map(|(_, c)| c.norm_sqr()).sum::<f64>().sqrt();
        let envelope = |delay: f64| {
            weighted.iter().map(|(f, c)| c * Complex64::cis(-TAU * f * delay)).sum::<Complex64>().norm()
        };
        let count = (REACH * STEPS) as i32;
        let mut tried: Vec<i32> = (-count..=count).collect();
        // Of delays that do as well the nearest counts.
        tried.sort_by_key(|n| n.abs());
        let delays = tried.iter().map(|n| self.ways + f64::from(*n) / (STEPS * corner));
        let (delay, found) = delays
            .map(|delay| (delay, envelope(delay)))
            .fold((self.ways, 0.0), |best, one| if one.1 > best.1 + 1e-9 { one } else { best });
        if found > by_chance { delay } else { self.ways }
    }

    /// What lies near the corner.
    fn weighted(&self, corner: f64) -> impl Iterator<Item = (f64, Complex64)> {
        let pairs = self.frequencies.iter().zip(&self.coherence);
        pairs.map(move |(f, c)| (*f, c * weight(*f, corner))).filter(|(_, c)| c.norm_sqr() > 1e-8)
    }
}

fn weight(frequency: f64, corner: f64) -> f64 {
    let octaves = (frequency / corner).log2() / WIDTH;
    (-0.5 * octaves * octaves).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frequencies() -> Vec<f64> {
        (0..120).map(|i| 200.0 * 80f64.powf(f64::from(i) / 119.0)).collect()
    }

    /// An upper part that comes `early` [s], turned by some phase.
    fn shifted(early: f64, phase: f64) -> impl Fn(f64) -> Complex64 {
        move |f| Complex64::cis(TAU * f * early + phase)
    }

    #[test]
    fn what_comes_early_is_delayed_whatever_its_phase() {
        let f = frequencies();
        for early in [-1.3e-3, 0.0, 2e-4, 1.1e-3] {
            for phase in [0.0, 1.0, std::f64::consts::PI] {
                let arrivals = Arrivals::new(&f, f.iter().map(|f| shifted(early, phase)(*f)), 1e-4);
                for corner in [700.0, 1500.0] {
                    let delay = arrivals.together(corner);
                    assert!(
                        (delay - early).abs() < 0.6 / (STEPS * corner),
                        "{early} {phase} {corner}: {delay}"
                    );
                }
            }
        }
    }

    #[test]
    fn parts_that_agree_on_nothing_are_left_to_their_ways() {
        for per_octave in [12, 24, 48] {
            let f: Vec<f64> = (0..6 * per_octave)
                .map(|i| 200.0 * 2f64.powf(f64::from(i) / f64::from(per_octave)))
                .collect();
            let of_seed = |seed: u64| {
                // Fractions of multiples of a power of the golden ratio's kin: phases without order.
                let phase =
                    |i: usize| TAU * (((i as u64 + 7 * seed).pow(3) as f64) * 0.618_033_988_75).fract();
                let random = (0..f.len()).map(|i| Complex64::cis(phase(i)));
                Arrivals::new(&f, random, 1e-4).together(900.0) == 1e-4
            };
            let left = (0..40).filter(|seed| of_seed(*seed)).count();
            assert!(left >= 34, "{per_octave} per octave: {left} of 40");
        }
        let f = frequencies();
        let silent = f.iter().map(|_| Complex64::new(f64::NAN, 0.0));
        assert_eq!(Arrivals::new(&f, silent, 1e-4).together(900.0), 1e-4);
    }
}
