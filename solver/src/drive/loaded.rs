//! The drive when something pushes back on the panel's modes: the air.
//!
//! What pushes back is linear in the panel's motion, so it enters as data: forces f on the modes [N kg^−½]. The panel with all its
//! exciters answers them with modal velocities
//!
//! ```text
//! q̇ = H f,    H = h + h φ̄ᵀ W φ̄ h
//! ```
//!
//! h the modes' own admittances, φ̄ their shapes at the feet, and W the forces the exciters put up against a velocity given to their
//! feet, amplifiers silent: a few numbers, from the same system that gives the answers to the amplifiers.

use super::network::{self, Layout, UnitAnswers};
use super::receptance::ModalAdmittance;
use super::state::{ChannelState, ExciterState, State};
use super::{Motion, PanelPorts, doubts, highest_loss};
use crate::motor::{Transducer, current_loops, source_voltage};
use crate::plate::Modes;
use crate::scene::Scene;
use nalgebra::DMatrix;
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Everything that drives a scene's panel.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    scene: &'a Scene,
    ports: PanelPorts,
    layout: Layout,
}

/// [`Drive`] at one frequency.
pub struct DriveAt<'a> {
    omega: f64,
    ports: &'a PanelPorts,
    h: ModalAdmittance,
    transducers: Vec<Transducer>,
    sources: Vec<Complex64>,
    resistances: Vec<f64>,
    /// Answers to each channel's volt, and to a velocity given to each foot; nothing where there is no unique answer.
    answers: Option<(UnitAnswers<'a>, DMatrix<Complex64>)>,
}

/// Motion at one frequency with everything pushing back.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Modal velocities [kg^½ m/s RMS].
    pub modal_velocity: Vec<Complex64>,
    state: State,
}

impl<'a> Drive<'a> {
    /// The drive of `scene`, whose panel has `modes`.
    pub fn new(scene: &'a Scene, modes: &Modes) -> Self {
        let ports = PanelPorts::under(&scene.exciters, modes, highest_loss(scene, modes));
        let layout = Layout::new(current_loops(&scene.channels), scene.exciters.len(), scene.channels.len());
        Self { scene, ports, layout }
    }

    /// The drive at `frequency` > 0 [Hz].
    pub fn at(&self, frequency: f64) -> DriveAt<'_> {
        let omega = TAU * frequency;
        let (exciters, channels) = (&self.scene.exciters, &self.scene.channels);
        let transducers: Vec<Transducer> = exciters.iter().map(|e| Transducer::new(e, omega)).collect();
        let resistances: Vec<f64> = channels.iter().map(|c| c.source_resistance).collect();
        let h = self.ports.admittance(omega);
        let mobility = self.ports.mobility(omega, &h);
        DriveAt {
            omega,
            ports: &self.ports,
            answers: network::solve_giving_way(&self.layout, &transducers, &mobility, &resistances),
            h,
            sources: channels.iter().map(|c| source_voltage(c, omega)).collect(),
            transducers,
            resistances,
        }
    }

    /// Motion over all frequencies of the scene, from the settled state at each of them in order.
    pub fn motion(&self, settled: &[Settled]) -> Motion {
        let rows = settled.iter().flat_map(|s| s.modal_velocity.iter().copied());
        let velocity = Array2::from_shape_vec((settled.len(), self.ports.modes()), rows.collect())
            .expect("one velocity per frequency and mode");
        let states: Vec<State> = settled.iter().map(|s| s.state.clone()).collect();
        let mut motion = Motion::of_states(&self.scene.frequencies, velocity, &states);
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
        let force = |answers: &UnitAnswers, e: usize| {
            let [current, foot, magnet] = answers.per_volt(e, channel);
            self.transducers[e].force(current, foot, magnet)
        };
        self.answered(|answers| (0..self.transducers.len()).map(|e| force(answers, e)).collect(), &[])
    }

    /// Modal velocities `H f` that forces `on_modes` [N kg^−½] cause, amplifiers silent.
    pub fn answer(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        self.answered(|_| self.resisting(on_modes), on_modes)
    }

    /// Modal velocities under forces at the feet and `on_modes`; still where there is no unique answer.
    fn answered(
        &self,
        at_feet: impl FnOnce(&UnitAnswers) -> Vec<Complex64>,
        on_modes: &[Complex64],
    ) -> Vec<Complex64> {
        match &self.answers {
            Some((answers, _)) => self.ports.loaded_velocity(&self.h, on_modes, &at_feet(answers)),
            None => vec![Complex64::ZERO; self.ports.modes()],
        }
    }

    /// Velocities given to the feet by forces on the modes when no exciter pushes.
    fn given(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        self.ports.at_ports(&self.ports.loaded_velocity(&self.h, on_modes, &[]))
    }

    /// Forces of the exciters on the panel while forces on its modes move it, amplifiers silent.
    fn resisting(&self, on_modes: &[Complex64]) -> Vec<Complex64> {
        let Some((answers, to_feet)) = &self.answers else { return vec![] };
        let column = to_feet * DMatrix::from_vec(self.ports.len(), 1, self.given(on_modes));
        let force = |(e, t): (usize, &Transducer)| {
            let [current, foot, magnet] = answers.parts(e, column.as_slice());
            t.force(current, foot, magnet)
        };
        self.transducers.iter().enumerate().map(force).collect()
    }

    /// The state under the scene's drive when, for one volt on each channel in turn, the forces `on_modes` [N kg^−½] push back.
    pub fn settle(self, on_modes: &[Vec<Complex64>]) -> Settled {
        let given: Vec<Complex64> = on_modes.iter().flat_map(|forces| self.given(forces)).collect();
        let given = DMatrix::from_vec(self.ports.len(), on_modes.len(), given);
        let total = superposed(on_modes, &self.sources);
        let Some((mut answers, to_feet)) = self.answers else {
            let none = Complex64::new(f64::NAN, f64::NAN);
            let state = undefined(self.transducers.len(), self.sources.len());
            return Settled { modal_velocity: vec![none; self.ports.modes()], state };
        };
        answers.carry(&to_feet, &given);
        let exciters: Vec<ExciterState> = (self.transducers.iter().enumerate())
            .map(|(e, t)| ExciterState::new(self.omega, t, answers.exciter(e, &self.sources)))
            .collect();
        let channels = (0..self.sources.len())
            .map(|c| ChannelState::new(&answers, c, &self.sources, self.resistances[c]))
            .collect();
        let forces: Vec<Complex64> = exciters.iter().map(|e| e.force).collect();
        let modal_velocity = self.ports.loaded_velocity(&self.h, &total, &forces);
        let state = State {
            structure: self.ports.dissipated(self.omega, &modal_velocity, &forces),
            radiated: -total.iter().zip(&modal_velocity).map(|(f, q)| (f * q.conj()).re).sum::<f64>(),
            exciters,
            channels,
        };
        Settled { modal_velocity, state }
    }
}

fn undefined(exciters: usize, channels: usize) -> State {
    State {
        structure: f64::NAN,
        radiated: f64::NAN,
        exciters: vec![ExciterState::undefined(); exciters],
        channels: vec![ChannelState::undefined(); channels],
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
