//! The air that each mode carries, for the variations.
//!
//! In the full prediction the air couples all modes. Near its own resonance a mode moves most, and most of what the air does to it
//! comes from its own motion: there the force f of the air over the modal velocity q̇ is the mode's own air impedance,
//!
//! ```text
//! z = −f/q̇ = r + jωμ  (or  r + κ/jω  where the air is a spring, as in a closed back)
//! ```
//!
//! Variations take it along as added mass μ, stiffness κ and loss r ω / ω_n². Neighbouring modes that move at the same time blur z: the
//! median over a few neighbours stands for a mode. Beyond the highest frequency the last value holds.

use crate::drive::Motion;
use crate::plate::Modes;
use std::f64::consts::TAU;

/// Neighbours on either side that the median runs over.
const NEIGHBOURS: usize = 4;
/// In air a resonance lies between this share of its frequency without air and [`HIGHEST`] of it.
const LOWEST: f64 = 0.6;
const HIGHEST: f64 = 1.05;

/// What the air adds to one mode, the mode's own mass being 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Carried {
    /// Added mass μ.
    pub mass: f64,
    /// Added stiffness κ over ω_n²; 0 for a rigid mode.
    pub stiffness: f64,
    /// Added loss factor, of the stiffness ω_n².
    pub loss: f64,
}

/// What the air adds to every mode; nothing where the `motion` is one in a vacuum.
pub(super) fn carried(modes: &Modes, motion: &Motion) -> Vec<Carried> {
    let Some(force) = &motion.air_force else { return vec![Carried::default(); modes.len()] };
    let own = |n: usize| {
        let index = resonance(motion, n, modes.frequencies[n])?;
        let q = motion.modal_velocity[(index, n)];
        let z = -force[(index, n)] / q;
        let omega = TAU * motion.frequencies[index];
        z.is_finite().then(|| of_impedance(z.re, z.im, omega, TAU * modes.frequencies[n]))
    };
    let mut raw: Vec<Carried> = Vec::with_capacity(modes.len());
    for n in 0..modes.len() {
        let last = raw.last().copied().unwrap_or_default();
        raw.push(own(n).unwrap_or(last));
    }
    (0..raw.len()).map(|n| median_around(&raw, n)).collect()
}

/// Index of the frequency at which mode `n` of natural frequency `natural` [Hz] moves most; `None` beyond the range.
fn resonance(motion: &Motion, n: usize, natural: f64) -> Option<usize> {
    if natural == 0.0 {
        return (!motion.frequencies.is_empty()).then_some(0);
    }
    let near = |f: f64| LOWEST * natural <= f && f <= HIGHEST * natural;
    let moves = |i: &usize| motion.modal_velocity[(*i, n)].norm_sqr();
    let candidates = (0..motion.frequencies.len()).filter(|&i| near(motion.frequencies[i]));
    let reached = motion.frequencies.last().is_some_and(|&top| natural <= top);
    candidates.filter(|_| reached).max_by(|a, b| moves(a).total_cmp(&moves(b)))
}

fn of_impedance(re: f64, im: f64, omega: f64, natural: f64) -> Carried {
    let mass = (im / omega).max(0.0);
    if natural == 0.0 {
        return Carried { mass, stiffness: 0.0, loss: 0.0 };
    }
    let square = natural * natural;
    Carried { mass, stiffness: (-im * omega).max(0.0) / square, loss: (re * omega).max(0.0) / square }
}

/// Medians over the neighbours of mode `n`: as many on either side, fewer at the ends. The lowest modes stand alone.
fn median_around(raw: &[Carried], n: usize) -> Carried {
    let reach = NEIGHBOURS.min(n).min(raw.len() - 1 - n);
    let around = &raw[n - reach..=n + reach];
    let median = |of: fn(&Carried) -> f64| {
        let mut values: Vec<f64> = around.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    Carried { mass: median(|c| c.mass), stiffness: median(|c| c.stiffness), loss: median(|c| c.loss) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_impedance_is_mass_or_spring_and_loss() {
        let (omega, natural) = (100.0, 110.0);
        let mass = of_impedance(3.0, 20.0, omega, natural);
        assert_eq!(mass, Carried { mass: 0.2, stiffness: 0.0, loss: 300.0 / 12100.0 });
        let spring = of_impedance(0.0, -50.0, omega, natural);
        assert_eq!(spring, Carried { mass: 0.0, stiffness: 5000.0 / 12100.0, loss: 0.0 });
    }

    #[test]
    fn one_wild_value_among_many_does_not_count() {
        let mut raw = vec![Carried { mass: 0.1, ..Carried::default() }; 30];
        raw[12].mass = 40.0;
        assert_eq!(median_around(&raw, 12).mass, 0.1);
        raw[0].mass = 0.7;
        assert_eq!(median_around(&raw, 0).mass, 0.7);
    }
}
