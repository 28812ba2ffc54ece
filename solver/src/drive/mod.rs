//! Volts → motion of panel, coils and magnets, coupled exactly through the panel's mobility matrix.
//!
//! ```text
//! Modes ─▶ PanelPorts (receptance) ─▶ mobility ─┐
//! Exciter ─▶ Transducer (motor) ────────────────┤
//! PointMass, Hang ─▶ Passive ───────────────────┼▶ network ─▶ state ─▶ Motion (curves, balance), doubts
//! Channel ─▶ current loops, sources (motor) ────┘
//! ```
//!
//! Moving an exciter, a mass or a hang changes its row of [`PanelPorts`] only; [`solve`] then costs frequencies × modes × ports².
//! Air pushes back through [`Drive`], which takes forces on the modes as data; [`respond`] alone is the motion in a vacuum.

mod assembled;
mod balance;
mod curves;
mod doubts;
mod loaded;
mod network;
mod passive;
mod receptance;
mod state;

pub use assembled::{NaturalModes, natural_modes};
pub use loaded::{Drive, DriveAt, Settled};
pub use passive::Passive;
pub(crate) use passive::of as passive_parts;
pub use receptance::{PanelPorts, PortChange, PortData, foot};

use crate::motor::{Source, Transducer, current_loops};
use crate::scene::{Channel, Exciter, Scene};
use network::{Layout, Parts, UnitAnswers};
use rayon::prelude::*;
use state::{ChannelState, ExciterState, PassiveState, State};
use std::f64::consts::TAU;

use crate::Warning;
use crate::plate::{Modes, PlateError};
use ndarray::{Array2, Axis};
use num_complex::Complex64;
use serde::Serialize;

/// Motion of everything under the scene's drive. All phasors RMS; arrays run over `frequencies`.
#[derive(Clone, Debug)]
pub struct Motion {
    /// Frequencies [Hz].
    pub frequencies: Vec<f64>,
    /// Modal velocities (frequencies, modes), kg^½·m/s: panel velocity is `Σ amplitude · φ`.
    pub modal_velocity: Array2<Complex64>,
    /// One entry per exciter.
    pub exciters: Vec<ExciterMotion>,
    /// One entry per amplifier channel.
    pub channels: Vec<ChannelLoad>,
    /// Where the electrical power goes.
    pub balance: PowerBalance,
    /// Forces of the air on the modes (frequencies, modes) [N kg^−½]; nothing where air does not push back.
    pub air_force: Option<Array2<Complex64>>,
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// One exciter over frequency.
#[derive(Clone, Debug, Serialize)]
pub struct ExciterMotion {
    /// Coil current [A], into the lead that faces the channel's plus.
    pub current: Vec<Complex64>,
    /// Force on the panel [N], positive towards the listener.
    pub force: Vec<Complex64>,
    /// Velocity of the foot, the panel's average over the ring [m/s].
    pub foot_velocity: Vec<Complex64>,
    /// Velocity of the magnet [m/s].
    pub magnet_velocity: Vec<Complex64>,
    /// Peak excursion of coil against magnet [m] for a sine at the scene's voltage.
    pub excursion: Vec<f64>,
    /// Heat in the coil [W].
    pub coil_heat: Vec<f64>,
    /// Real electrical power taken by this exciter [W].
    pub power: Vec<f64>,
}

/// What an amplifier channel sees.
#[derive(Clone, Debug, Serialize)]
pub struct ChannelLoad {
    /// Impedance at the amplifier's terminals [Ω], source resistance excluded, as a bridge would measure it: this channel
    /// driven by itself, the other amplifiers connected but silent.
    pub impedance: Vec<Complex64>,
    /// Current from the amplifier [A] with all channels driven.
    pub current: Vec<Complex64>,
}

/// Real powers [W] over frequency: `electrical = coil_heat + suspension + structure + supports + radiated`.
#[derive(Clone, Debug, Serialize)]
pub struct PowerBalance {
    /// Taken from all amplifiers (source resistance excluded).
    pub electrical: Vec<f64>,
    /// Heat in the coils.
    pub coil_heat: Vec<f64>,
    /// Lost in the suspensions.
    pub suspension: Vec<f64>,
    /// Lost in the panel: its material, what is bonded to it over an area or along a line, and strips under its edges, whose
    /// losses are part of the modes' loss factors.
    pub structure: Vec<f64>,
    /// Lost in hangs.
    pub supports: Vec<f64>,
    /// Given to the air on both faces: sound, and losses of the air in a closed back. Zero where air does not push back.
    pub radiated: Vec<f64>,
}

/// Solves the coupled electro-mechanical system at every frequency of the scene.
pub fn respond(scene: &Scene, modes: &Modes) -> Motion {
    respond_at(scene, &ports(scene, modes))
}

/// The lowest `count` natural modes of the panel with all that is on it, leads open, without air.
///
/// # Errors
/// When the eigenvalue solver fails.
pub fn assembled(scene: &Scene, modes: &Modes, count: usize) -> Result<NaturalModes, PlateError> {
    natural_modes(&scene.exciters, &ports(scene, modes), count)
}

/// The panel under the exciters, masses and hangs of `scene`.
pub fn ports(scene: &Scene, modes: &Modes) -> PanelPorts {
    PanelPorts::under(&scene.exciters, &scene.attachments, modes, highest_loss(scene, modes))
}

/// Loss factor of what lies above the highest mode.
fn highest_loss(scene: &Scene, modes: &Modes) -> f64 {
    let highest = modes.frequencies.last().copied().unwrap_or(0.0);
    scene.panel.section.bending_loss.at(highest)
}

/// [`respond`] with the panel's data at the ports already at hand; `ports` are those under the exciters, masses and hangs of the scene.
pub fn respond_at(scene: &Scene, ports: &PanelPorts) -> Motion {
    let mut motion = solve(&scene.frequencies, &scene.exciters, &scene.channels, ports);
    motion.warnings = doubts::of(scene, &motion, ports.highest_mode());
    motion
}

/// The coupled system alone, without looking for doubts: `frequencies` > 0 [Hz], one port per exciter in the same order, then
/// those of the passive parts. Quantities are not-a-number at frequencies where there is no unique answer.
pub fn solve(frequencies: &[f64], exciters: &[Exciter], channels: &[Channel], ports: &PanelPorts) -> Motion {
    let layout = Layout::new(current_loops(channels), exciters.len(), channels.len(), ports.passive().len());
    let sources: Vec<Source> = channels.iter().map(Source::new).collect();
    let mut modal_velocity = Array2::zeros((frequencies.len(), ports.modes()));
    let states: Vec<State> = modal_velocity
        .axis_iter_mut(Axis(0))
        .into_par_iter()
        .zip(frequencies)
        .map(|(mut row, f)| {
            let row = row.as_slice_mut().expect("rows of a fresh array are contiguous");
            state_at(TAU * f, exciters, &sources, ports, &layout, row)
        })
        .collect();
    Motion::of_states(frequencies, modal_velocity, &states)
}

/// [`solve`] on a panel of which only the mobility [m/(N·s)] at and between the feet is known, one symmetric matrix per frequency; whatever else is
/// fixed to the panel is in it. Modal velocities and what panel and air take are left out.
pub(crate) fn solve_on(scene: &Scene, mobility: &[Array2<Complex64>]) -> Motion {
    let (exciters, channels) = (&scene.exciters, &scene.channels);
    let layout = Layout::new(current_loops(channels), exciters.len(), channels.len(), 0);
    let sources: Vec<Source> = channels.iter().map(Source::new).collect();
    let resistances: Vec<f64> = sources.iter().map(|source| source.resistance).collect();
    let state = |(f, mobility): (&f64, &Array2<Complex64>)| {
        let omega = TAU * f;
        let transducers = exciters.iter().map(|exciter| Transducer::new(exciter, omega)).collect();
        let parts = Parts { transducers, passive: vec![] };
        let voltages: Vec<Complex64> = sources.iter().map(|source| source.voltage(omega)).collect();
        match network::solve(&layout, &parts, mobility, &resistances) {
            Some(answers) => solved(omega, &parts, &answers, &voltages, &resistances),
            None => State::undefined(exciters.len(), sources.len(), 0),
        }
    };
    let states: Vec<State> = scene.frequencies.iter().zip(mobility).map(state).collect();
    Motion::of_states(&scene.frequencies, Array2::zeros((scene.frequencies.len(), 0)), &states)
}

impl Motion {
    /// Collects the states at each frequency; doubts come later.
    fn of_states(frequencies: &[f64], modal_velocity: Array2<Complex64>, states: &[State]) -> Self {
        let count = |of: fn(&State) -> usize| states.first().map_or(0, of);
        Self {
            frequencies: frequencies.to_vec(),
            modal_velocity,
            exciters: curves::exciters(states, count(|s| s.exciters.len())),
            channels: curves::channels(states, count(|s| s.channels.len())),
            balance: balance::powers(states),
            air_force: None,
            warnings: vec![],
        }
    }
}

/// Everything at one angular frequency; writes the modal velocities to `modal_velocity`.
fn state_at(
    omega: f64,
    exciters: &[Exciter],
    sources: &[Source],
    ports: &PanelPorts,
    layout: &Layout,
    modal_velocity: &mut [Complex64],
) -> State {
    let parts = Parts::new(exciters, ports, omega);
    let voltages: Vec<Complex64> = sources.iter().map(|source| source.voltage(omega)).collect();
    let resistances: Vec<f64> = sources.iter().map(|source| source.resistance).collect();
    let h = ports.admittance(omega);
    let mut state = match network::solve(layout, &parts, &ports.mobility(omega, &h), &resistances) {
        Some(answers) => solved(omega, &parts, &answers, &voltages, &resistances),
        None => State::undefined(exciters.len(), sources.len(), ports.passive().len()),
    };
    let forces = state.forces();
    ports.modal_velocity(&h, &forces, modal_velocity);
    state.structure = ports.dissipated(omega, modal_velocity, &forces);
    state
}

/// The parts at `omega`; what the panel loses is left open.
fn solved(
    omega: f64,
    parts: &Parts,
    answers: &UnitAnswers,
    sources: &[Complex64],
    resistances: &[f64],
) -> State {
    let exciter = |(e, t): (usize, &Transducer)| ExciterState::new(omega, t, answers.exciter(e, sources));
    let passive = |(p, &z): (usize, &Complex64)| PassiveState::new(z, answers.passive(p, sources));
    let channel = |(c, &r): (usize, &f64)| ChannelState::new(answers, c, sources, r);
    State {
        exciters: parts.transducers.iter().enumerate().map(exciter).collect(),
        channels: resistances.iter().enumerate().map(channel).collect(),
        passive: parts.passive.iter().enumerate().map(passive).collect(),
        structure: f64::NAN,
        radiated: 0.0,
    }
}

#[cfg(test)]
mod tests;
