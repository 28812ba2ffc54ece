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
use super::solved::{Solved, shared};
use super::sweep::Swept;
use crate::boundary::{Body, Directions, Mirrors};
use crate::driver::SURROUND;
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Values at directions or on the lining, each times the root of what it stands for, so that their squares sum to a power [W].
pub(super) type Samples = Vec<Complex64>;

/// Where power is counted.
pub(super) enum Counted {
    /// Far away, in these directions.
    Far(Directions),
    /// On the surface.
    Here,
}

impl Counted {
    /// Far away, up to the wavenumber `top` [rad/m]; `plane` says that the body stands before an endless plane.
    pub fn far(body: &Body, [x, y]: [bool; 2], top: f64, plane: bool) -> Self {
        let around = Directions::all_round(top * body.radius()).folded(Mirrors([x, y, false]));
        Self::Far(if plane { around.before_plane() } else { around })
    }

    /// Samples of the sound of one motion of unit amplitude at wavenumber `k` [rad/m], without the time of flight.
    pub fn samples(&self, sounding: &Sounding, sound: &Sound, k: f64) -> Samples {
        let Sounding { places, air, lining, .. } = sounding;
        let weighted = |value: Complex64, weight: f64| value * (weight / air.impedance()).sqrt();
        match self {
            Self::Far(Directions { towards, solid_angles }) => {
                let still = |towards: &Vector3<f64>| Complex64::cis(-k * towards.dot(&places.front));
                let far = sound.far(towards).into_iter().zip(towards).map(|(p, towards)| p * still(towards));
                far.zip(solid_angles).map(|(p, &angle)| weighted(p, angle)).collect()
            }
            Self::Here if *lining > 0.0 => {
                let taken = lining * sounding.copies();
                let on_lining = sound.surface().samples_on(SURROUND).into_iter();
                on_lining.map(|(p, area)| weighted(p, taken * area)).collect()
            }
            Self::Here => vec![],
        }
    }
}

/// The matrix H at every frequency of a band; `here` says that the samples are those of the surface, and so of what is lost.
pub(super) fn powers(swept: &Swept, solved: &BTreeMap<usize, Solved>, here: bool) -> Vec<Array2<Complex64>> {
    let motions = solved.values().next().map_or(0, |one| one.radiated.len());
    let at = |index: usize| {
        let samples: Vec<Samples> = match solved.get(&index) {
            Some(one) => one.radiated.clone(),
            None => {
                (0..motions).map(|m| shared(&swept.shares[index], solved, |one| &one.radiated[m])).collect()
            }
        };
        let squares = squares(&samples);
        let values = Values { values: &swept.values[index], motions };
        if here { values.reaction() - squares } else { squares }
    };
    (0..swept.values.len()).into_par_iter().map(at).collect()
}

/// `Σ a*_m a_n` over the samples of every two motions.
fn squares(samples: &[Samples]) -> Array2<Complex64> {
    Array2::from_shape_fn((samples.len(), samples.len()), |(m, n)| {
        samples[m].iter().zip(&samples[n]).map(|(a, b)| a.conj() * b).sum()
    })
}
