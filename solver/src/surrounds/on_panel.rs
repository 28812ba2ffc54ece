//! Forces of the panel's sound on the blocked diaphragm, from what the diaphragm does to the still panel.

use super::solution::{Sound, Sounding};
use crate::coupling::panel_on_driver::{Face, blocked_force};
use crate::plate::SampledModes;
use crate::predict::PanelSound;
use crate::scene::{Behind, DriverScene, Scene};
use ndarray::Array2;
use num_complex::Complex64;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A panel that is driven while the driver is not.
pub(super) struct DrivenPanel<'a> {
    /// The panel.
    pub scene: &'a Scene,
    /// Its motion and sound at the lowest frequencies of the comparison, as far as the panel's own scene reaches.
    pub sound: PanelSound,
}

/// The still panel under the sound of every motion, at the solved frequencies of a band.
pub(super) struct OnPanel<'a> {
    panel: &'a DrivenPanel<'a>,
    face: Face,
    /// Distances [m] of the face's points from the driver's front.
    distances: Array2<f64>,
    /// Jump times area [N RMS] per motion of unit amplitude, without the time of flight, by index in the band.
    solved: BTreeMap<usize, Vec<Array2<Complex64>>>,
}

/// Forces on the motions at the frequencies of a band, as far as the panel is known.
#[derive(Default)]
pub(super) struct Forces {
    /// (frequencies, motions) [N RMS].
    pub values: Vec<Vec<Complex64>>,
    /// Largest error at solved frequencies that the interpolation was not fitted to, of the largest force in the band.
    pub error: f64,
}

impl Forces {
    /// Goes on with the next band.
    pub fn extend(&mut self, next: Self) {
        self.values.extend(next.values);
        self.error = self.error.max(next.error);
    }
}

impl<'a> OnPanel<'a> {
    /// Before anything is solved; nothing when no panel stands behind the driver. `top` [Hz] is the band's highest frequency.
    pub fn new(panel: &'a DrivenPanel, scene: &DriverScene, sounding: &Sounding, top: f64) -> Option<Self> {
        let [x, y, _] = scene.driver.place;
        let wavelength = scene.air.sound_speed / top;
        let face = match (&scene.behind, sounding.board) {
            (Behind::Board(_), Some(board)) => Face::of_board(board, [x, y]),
            (Behind::Plane, _) => {
                Face::in_plane(&panel.scene.panel.outline, [x, y], sounding.body, wavelength)
            }
            _ => return None,
        };
        let distances = face.places().map(|place| (place - sounding.places.front).norm()).collect();
        let distances = Array2::from_shape_vec(face.lattice.shape(), distances).expect("one per point");
        Some(Self { panel, face, distances, solved: BTreeMap::new() })
    }

    /// Keeps what was solved at wavenumber `k` [rad/m].
    pub fn keep(&mut self, index: usize, sounds: &[Sound], sounding: &Sounding, k: f64) {
        let still = |sound: &Sound| {
            let mut strengths = match sound {
                Sound::Free(field) => self.face.strengths(field, sounding.body),
                Sound::Boarded(field) => field.strengths.clone(),
            };
            strengths.zip_mut_with(&self.distances, |strength, r| *strength *= Complex64::cis(k * r));
            strengths
        };
        self.solved.insert(index, sounds.iter().map(still).collect());
    }

    /// Forces at the frequencies of a band that begins at the index `start`; `shares` are the interpolation's between solved ones, `k` their
    /// wavenumbers [rad/m].
    pub fn forces(&self, start: usize, shares: &[Vec<(usize, Complex64)>], k: &[f64]) -> Forces {
        let known = self.panel.sound.motion.frequencies.len().saturating_sub(start).min(shares.len());
        let modes = self.panel.sound.modes.sampled(&self.face.lattice);
        let force = |index: usize| {
            let velocity = self.arriving(&modes, start + index, k[index]);
            let interpolated = self.force(&shares[index], &velocity);
            let solved = self.solved.contains_key(&index);
            let exact = solved.then(|| self.force(&[(index, Complex64::ONE)], &velocity));
            (interpolated, exact)
        };
        let found: Vec<_> = (0..known).into_par_iter().map(force).collect();
        Forces {
            error: worst(&found),
            values: found.into_iter().map(|(interpolated, exact)| exact.unwrap_or(interpolated)).collect(),
        }
    }

    /// The panel's velocity with the time of flight to the driver's front.
    fn arriving(&self, modes: &SampledModes, index: usize, k: f64) -> Array2<Complex64> {
        let row = self.panel.sound.motion.modal_velocity.row(index).to_vec();
        let mut velocity = modes.superpose(&row);
        velocity.zip_mut_with(&self.distances, |v, r| *v *= Complex64::cis(-k * r));
        velocity
    }

    fn force(&self, shares: &[(usize, Complex64)], velocity: &Array2<Complex64>) -> Vec<Complex64> {
        let motions = self.solved.values().next().map_or(0, Vec::len);
        let of = |motion: usize| {
            let part = |(index, share): &(usize, Complex64)| {
                share * blocked_force(&self.solved[index][motion], velocity)
            };
            shares.iter().map(part).sum()
        };
        (0..motions).map(of).collect()
    }
}

/// Largest difference between interpolated and solved forces, over the largest force of the same motion.
fn worst(found: &[(Vec<Complex64>, Option<Vec<Complex64>>)]) -> f64 {
    let motions = found.first().map_or(0, |(forces, _)| forces.len());
    let of = |motion: usize| {
        let largest = found.iter().map(|(forces, _)| forces[motion].norm()).fold(0.0, f64::max);
        let off = |(forces, exact): &(Vec<Complex64>, Option<Vec<Complex64>>)| {
            Some((forces[motion] - exact.as_ref()?[motion]).norm() / largest.max(f64::MIN_POSITIVE))
        };
        found.iter().filter_map(off).fold(0.0, f64::max)
    };
    (0..motions).map(of).fold(0.0, f64::max)
}
