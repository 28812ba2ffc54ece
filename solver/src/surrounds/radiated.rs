//! Power that a surround radiates, over frequency from few solutions.
//!
//! In free space and before a plane it is what arrives far away, `W = ∫ |rp|² dΩ/(ρc)`; behind the plane nothing does. At low frequencies the power that
//! the diaphragm gives, `Re ∫ p v* dS`, is a small difference of what the air takes and gives back, which rounding spoils, and a lining keeps part of it.
//!
//! Before a board, whose far field has far more beams than the body's, it is the diaphragm's power without what the lining takes,
//! `β ∫ |p|² dS/(ρc)` for a real admittance β.
//!
//! All of these are squares of sums over motions and, by interpolation, over solved frequencies: for each frequency a small matrix H, so that the
//! motions q radiate `W = Re Σ q*_m H_mn q_n`.

use super::solution::{Sound, Sounding, Values};
use super::sweep::Swept;
use crate::boundary::{Directions, Mirrors};
use crate::driver::SURROUND;
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Values at directions or on the lining, each times the root of what it stands for, so that their squares sum to a power [W].
type Samples = Vec<Complex64>;

/// What is known of the radiated power in a band.
pub(super) struct Radiated<'s, 'a> {
    sounding: &'s Sounding<'a>,
    counted: Counted,
    /// Samples of every motion of unit amplitude, without the time of flight, by index in the band.
    solved: BTreeMap<usize, Vec<Samples>>,
}

/// Where power is counted.
enum Counted {
    /// Far away, in these directions.
    Far(Directions),
    /// On the surface.
    Here,
}

impl<'s, 'a> Radiated<'s, 'a> {
    /// Before anything is solved; `top` [rad/m] is the band's highest wavenumber, `plane` says that the body stands before an endless plane.
    pub fn new(sounding: &'s Sounding<'a>, top: f64, plane: bool) -> Self {
        let [x, y] = sounding.mirrored;
        let around = || Directions::all_round(top * sounding.body.radius()).folded(Mirrors([x, y, false]));
        let counted = match sounding.board {
            Some(_) => Counted::Here,
            None if plane => Counted::Far(around().before_plane()),
            None => Counted::Far(around()),
        };
        Self { sounding, counted, solved: BTreeMap::new() }
    }

    /// The same, counted on the surface whatever stands behind.
    #[cfg(test)]
    pub fn on_the_surface(sounding: &'s Sounding<'a>) -> Self {
        Self { sounding, counted: Counted::Here, solved: BTreeMap::new() }
    }

    /// Keeps what was solved at wavenumber `k` [rad/m].
    pub fn keep(&mut self, index: usize, sounds: &[Sound], k: f64) {
        let samples = sounds.iter().map(|sound| self.samples(sound, k)).collect();
        self.solved.insert(index, samples);
    }

    fn samples(&self, sound: &Sound, k: f64) -> Samples {
        let Sounding { places, air, lining, .. } = self.sounding;
        let weighted = |value: Complex64, weight: f64| value * (weight / air.impedance()).sqrt();
        match &self.counted {
            Counted::Far(Directions { towards, solid_angles }) => {
                let still = |towards: &Vector3<f64>| Complex64::cis(-k * towards.dot(&places.front));
                let far = sound.far(towards).into_iter().zip(towards).map(|(p, towards)| p * still(towards));
                far.zip(solid_angles).map(|(p, &angle)| weighted(p, angle)).collect()
            }
            Counted::Here if *lining > 0.0 => {
                let taken = lining * self.sounding.copies();
                sound
                    .surface()
                    .samples_on(SURROUND)
                    .into_iter()
                    .map(|(p, area)| weighted(p, taken * area))
                    .collect()
            }
            Counted::Here => vec![],
        }
    }

    /// The matrix H at every frequency of the band.
    pub fn powers(&self, swept: &Swept) -> Vec<Array2<Complex64>> {
        let at = |index: usize| {
            let squares = squares(&self.at(index, &swept.shares[index]));
            let values = Values { values: &swept.values[index], motions: squares.nrows() };
            match self.counted {
                Counted::Far(_) => squares,
                Counted::Here => values.reaction() - squares,
            }
        };
        (0..swept.values.len()).into_par_iter().map(at).collect()
    }

    /// Samples of every motion where it was solved, or interpolated.
    fn at(&self, index: usize, shares: &[(usize, Complex64)]) -> Vec<Samples> {
        if let Some(solved) = self.solved.get(&index) {
            return solved.clone();
        }
        let of = |motion: usize| {
            let count = self.solved[&shares[0].0][motion].len();
            let mut sum = vec![Complex64::ZERO; count];
            for (solved, share) in shares {
                sum.iter_mut()
                    .zip(&self.solved[solved][motion])
                    .for_each(|(sum, value)| *sum += share * value);
            }
            sum
        };
        (0..self.sounding.motions.count()).map(of).collect()
    }
}

/// `Σ a*_m a_n` over the samples of every two motions.
fn squares(samples: &[Samples]) -> Array2<Complex64> {
    Array2::from_shape_fn((samples.len(), samples.len()), |(m, n)| {
        samples[m].iter().zip(&samples[n]).map(|(a, b)| a.conj() * b).sum()
    })
}
