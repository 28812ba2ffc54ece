//! Forces of the panel's sound on the blocked diaphragm, from what the diaphragm does to the still panel.

use super::solution::Sound;
use super::sweep::Shares;
use crate::boundary::Body;
use crate::coupling::board_behind::Board;
use crate::coupling::panel_on_driver::{Face, blocked_force};
use crate::plate::SampledModes;
use crate::predict::PanelSound;
use crate::scene::{Behind, DriverScene, Scene};
use nalgebra::Vector3;
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

/// The still panel in a band of frequencies.
pub(super) struct OnPanel<'a> {
    panel: &'a DrivenPanel<'a>,
    face: Face,
    /// Distances [m] of the face's points from the driver's front.
    distances: Array2<f64>,
}

/// What the sound of every motion does to the still panel: jump times area [N RMS] per motion of unit amplitude, without the time of flight.
pub(super) type Strengths = Vec<Array2<Complex64>>;

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
    /// With cells of `step` [m]; nothing when no panel stands behind the driver. `front` is the middle of the driver's front.
    pub fn new(panel: &'a DrivenPanel, scene: &DriverScene, front: Vector3<f64>, step: f64) -> Option<Self> {
        let [x, y, _] = scene.driver.place;
        let face = match &scene.behind {
            Behind::Board(outline) => Face::of_board(&Board::new(outline, [x, y], step), [x, y]),
            Behind::Plane => Face::in_plane(&panel.scene.panel.outline, [x, y], step),
            Behind::Nothing => return None,
        };
        let distances = face.places().map(|place| (place - front).norm()).collect();
        let distances = Array2::from_shape_vec(face.lattice.shape(), distances).expect("one per point");
        Some(Self { panel, face, distances })
    }

    /// What was solved at wavenumber `k` [rad/m], on the panel.
    pub fn strengths(&self, sounds: &[Sound], body: &Body, k: f64) -> Strengths {
        let still = |sound: &Sound| {
            let mut strengths = match sound {
                Sound::Free(field) => self.face.strengths(field, body),
                Sound::Boarded(field) => field.strengths.clone(),
            };
            strengths.zip_mut_with(&self.distances, |strength, r| *strength *= Complex64::cis(k * r));
            strengths
        };
        sounds.iter().map(still).collect()
    }

    /// Forces at the frequencies of a band that begins at the index `start`; `solved` are the strengths by index in the band, `shares` the
    /// interpolation's between them, `k` the wavenumbers [rad/m].
    pub fn forces(
        &self,
        start: usize,
        solved: &BTreeMap<usize, &Strengths>,
        (shares, k): (&[Shares], &[f64]),
    ) -> Forces {
        let known = self.panel.sound.motion.frequencies.len().saturating_sub(start).min(shares.len());
        let modes = self.panel.sound.modes.sampled(&self.face.lattice);
        let found_at = |index: usize| {
            let velocity = self.arriving(&modes, start + index, k[index]);
            let interpolated = force(solved, &shares[index], &velocity);
            let exact = solved.contains_key(&index);
            (interpolated, exact.then(|| force(solved, &[(index, Complex64::ONE)], &velocity)))
        };
        let found: Vec<_> = (0..known).into_par_iter().map(found_at).collect();
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
}

/// Forces of the panel's velocity on all motions, from shares of solved strengths.
fn force(
    solved: &BTreeMap<usize, &Strengths>,
    shares: &[(usize, Complex64)],
    velocity: &Array2<Complex64>,
) -> Vec<Complex64> {
    let motions = solved.values().next().map_or(0, |strengths| strengths.len());
    let of = |motion: usize| {
        let part =
            |(index, share): &(usize, Complex64)| share * blocked_force(&solved[index][motion], velocity);
        shares.iter().map(part).sum()
    };
    (0..motions).map(of).collect()
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
