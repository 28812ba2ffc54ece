//! Volts → motion of panel, coils and magnets, coupled exactly through the panel's mobility matrix.

use crate::Warning;
use crate::plate::Modes;
use crate::scene::Scene;
use ndarray::Array2;
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
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// One exciter over frequency.
#[derive(Clone, Debug, Serialize)]
pub struct ExciterMotion {
    /// Coil current [A].
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
    /// Impedance at the amplifier's terminals [Ω], source resistance excluded.
    pub impedance: Vec<Complex64>,
    /// Current from the amplifier [A].
    pub current: Vec<Complex64>,
}

/// Real powers [W] over frequency. `electrical = coil_heat + suspension + structure` when air does not push back.
#[derive(Clone, Debug, Serialize)]
pub struct PowerBalance {
    /// Taken from all amplifiers (source resistance excluded).
    pub electrical: Vec<f64>,
    /// Heat in the coils.
    pub coil_heat: Vec<f64>,
    /// Lost in the suspensions.
    pub suspension: Vec<f64>,
    /// Lost in the panel's material.
    pub structure: Vec<f64>,
}

/// Solves the coupled electro-mechanical system at every frequency of the scene.
pub fn respond(scene: &Scene, modes: &Modes) -> Motion {
    let _ = (scene, modes);
    unimplemented!("skeleton")
}
