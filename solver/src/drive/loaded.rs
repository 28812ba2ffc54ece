//! The drive when something pushes back on the panel's modes: the air.
//!
//! What pushes back is linear in the panel's motion, so it enters as data: forces f on the modes [N kg^−½]. The panel with all that
//! is on it answers them with modal velocities
//!
//! ```text
//! q̇ = H f,    H = h + h φ̄ᵀ W φ̄ h
//! ```
//!
//! h the modes' own admittances, φ̄ their shapes at the ports, and W the forces that exciters, masses and hangs put up against a
//! velocity given to their ports, amplifiers silent: a few numbers, from the same system that gives the answers to the amplifiers.

use super::network::{self, Layout, Parts, UnitAnswers};
use super::receptance::ModalAdmittance;
use super::state::State;
use super::{Motion, PanelPorts, doubts, ports, solved};
use crate::motor::{Source, current_loops};
use crate::plate::Modes;
use crate::scene::Scene;
use nalgebra::DMatrix;
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Everything that drives a scene's panel, and what else sits on it.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    scene: &'a Scene,
    ports: PanelPorts,
    layout: Layout,
    sources: Vec<Source>,
}

/// [`Drive`] at one frequency.
pub struct DriveAt<'a> {
    omega: f64,
    ports: &'a PanelPorts,
    h: ModalAdmittance,
    parts: Parts,
    sources: Vec<Complex64>,
    resistances: Vec<f64>,
    /// Answers to each channel's volt, and to a velocity given to each port; nothing where there is no unique answer.
    answers: Option<(UnitAnswers<'a>, DMatrix<Complex64>)>,
}

/// Motion at one frequency with everything pushing back.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Modal velocities [kg^½ m/s RMS].
    pub modal_velocity: Vec<Complex64>,
    /// Forces that push back on the modes [N kg^−½].
    on_modes: Vec<Complex64>,
    state: State,
}

impl<'a> Drive<'a> {
    /// The drive of `scene`, whose panel has `modes`.
    pub fn new(scene: &'a Scene, modes: &Modes) -> Self {
        let ports = ports(scene, modes);
        let (exciters, channels) = (scene.exciters.len(), scene.channels.len());
        let layout = Layout::new(current_loops(&scene.channels), exciters, channels, ports.passive().len());
        let sources = scene.channels.iter().map(Source::new).collect();
        Self { scene, ports, layout, sources }
    }

    /// The drive at `frequency` > 0 [Hz].
    pub fn at(&self, frequency: f64) -> DriveAt<'_> {
        let omega = TAU * frequency;
        let parts = Parts::new(&self.scene.exciters, &self.ports, omega);
        let resistances: Vec<f64> = self.sources.iter().map(|source| source.resistance).collect();
        let h = self.ports.admittance(omega);
        let mobility = self.ports.mobility(omega, &h);
        DriveAt {
            omega,
            ports: &self.ports,
            answers: network::solve_giving_way(&self.layout, &parts, &mobility, &resistances),
            h,
            sources: self.sources.iter().map(|source| source.voltage(omega)).collect(),
            parts,
            resistances,
        }
    }

    /// Motion over all frequencies of the scene, from the settled state at each of them in order.
    pub fn motion(&self, settled: &[Settled]) -> Motion {
        let table = |of: fn(&Settled) -> &[Complex64]| {
            let rows = settled.iter().flat_map(of).copied().collect();
            Array2::from_shape_vec((settled.len(), self.ports.modes()), rows)
                .expect("one value per frequency and mode")
        };
        let states: Vec<State> = settled.iter().map(|s| s.state.clone()).collect();
        let velocity = table(|s| &s.modal_velocity);
        let mut motion = Motion::of_states(&self.scene.frequencies, velocity, &states);
        motion.air_force = Some(table(|s| &s.on_modes));
        motion.warnings = doubts::of(self.scene, &motion, self.ports.highest_mode());
        motion
    }
}

impl DriveAt<'_> {
    /// Open-circuit voltages of the channels [V].
    pub fn sources(&self) -> &[Complex64] {
        &self.sources
    }

    /// Modal velocities in a vacuum for one volt on `channel`, the other amplifiers silent.
    pub fn free(&self, channel: usize) -> Vec<Complex64> {
        self.answered(|answers| answers.forces_per_volt(&self.parts, channel), &[])
    }

    /// Modal velocities `H f` that forces `on_modes` [N kg^−½] cause, amplifiers silent.
    pub fn answer(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        self.answered(|_| self.resisting(on_modes), on_modes)
    }

    /// Answers h of the modes by themselves, and the local give `jωg/(1 + jη)` per static flexibility of the modes left out.
    pub(crate) fn alone(&self) -> (Vec<Complex64>, Complex64) {
        (self.h.values().collect(), self.ports.residual_admittance(self.omega))
    }

    /// Modal velocities under forces at the ports and `on_modes`; still where there is no unique answer.
    fn answered(
        &self,
        at_ports: impl FnOnce(&UnitAnswers) -> Vec<Complex64>,
        on_modes: &[Complex64],
    ) -> Vec<Complex64> {
        match &self.answers {
            Some((answers, _)) => self.ports.loaded_velocity(&self.h, on_modes, &at_ports(answers)),
            None => vec![Complex64::ZERO; self.ports.modes()],
        }
    }

    /// Velocities given to the ports by forces on the modes when no part pushes.
    fn given(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        self.ports.at_ports(&self.ports.loaded_velocity(&self.h, on_modes, &[]))
    }

    /// Forces of the parts on the panel while forces on its modes move it, amplifiers silent.
    fn resisting(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        let Some((answers, to_ports)) = &self.answers else { return vec![] };
        let column = to_ports * DMatrix::from_vec(self.ports.len(), 1, self.given(on_modes));
        answers.forces(&self.parts, column.as_slice())
    }

    /// The state under the scene's drive when, for one volt on each channel in turn, the forces `on_modes` [N kg^−½] push back.
    pub fn settle(self, on_modes: &[Vec<Complex64>]) -> Settled {
        let given: Vec<Complex64> = on_modes.iter().flat_map(|forces| self.given(forces)).collect();
        let given = DMatrix::from_vec(self.ports.len(), on_modes.len(), given);
        let mut total = superposed(on_modes, &self.sources);
        total.resize(self.ports.modes(), Complex64::ZERO);
        let Some((mut answers, to_ports)) = self.answers else {
            let none = Complex64::new(f64::NAN, f64::NAN);
            let parts = &self.parts;
            let state = State::undefined(parts.transducers.len(), self.sources.len(), parts.passive.len());
            return Settled { modal_velocity: vec![none; self.ports.modes()], on_modes: total, state };
        };
        answers.carry(&to_ports, &given);
        let mut state = solved(self.omega, &self.parts, &answers, &self.sources, &self.resistances);
        let forces = state.forces();
        let modal_velocity = self.ports.loaded_velocity(&self.h, &total, &forces);
        state.structure = self.ports.dissipated(self.omega, &modal_velocity, &forces);
        state.radiated = -total.iter().zip(&modal_velocity).map(|(f, q)| (f * q.conj()).re).sum::<f64>();
        Settled { modal_velocity, on_modes: total, state }
    }
}

/// `Σ factor · vector`.
fn superposed(vectors: &[Vec<Complex64>], factors: &[Complex64]) -> Vec<Complex64> {
    let mut sum = vec![Complex64::ZERO; vectors.first().map_or(0, Vec::len)];
    for (vector, factor) in vectors.iter().zip(factors) {
        sum.iter_mut().zip(vector).for_each(|(sum, v)| *sum += factor * v);
    }
    sum
}
