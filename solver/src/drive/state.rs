//! Motion of the parts and the powers they take, at one frequency. RMS phasors: power is `Re(e i*)` or `Re(F v*)`.

use super::network::UnitAnswers;
use crate::motor::Transducer;
use num_complex::Complex64;
use std::f64::consts::SQRT_2;

/// State of one exciter.
#[derive(Clone, Copy, Debug)]
pub(super) struct ExciterState {
    pub current: Complex64,
    pub force: Complex64,
    pub foot: Complex64,
    pub magnet: Complex64,
    pub excursion: f64,
    pub coil_heat: f64,
    pub power: f64,
    pub suspension_loss: f64,
}

/// State of one channel.
#[derive(Clone, Copy, Debug)]
pub(super) struct ChannelState {
    pub impedance: Complex64,
    pub current: Complex64,
    pub power: f64,
}

/// Everything at one frequency; the modal velocities are kept elsewhere.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub exciters: Vec<ExciterState>,
    pub channels: Vec<ChannelState>,
    /// One per mass and hang.
    pub passive: Vec<PassiveState>,
    /// Power lost in the panel [W].
    pub structure: f64,
    /// Power given to the air [W].
    pub radiated: f64,
}

/// State of one mass or hang.
#[derive(Clone, Copy, Debug)]
pub(super) struct PassiveState {
    /// Force on the panel [N].
    pub force: Complex64,
    /// Power lost in it [W].
    pub loss: f64,
}

impl State {
    /// Where there is no unique answer.
    pub(super) fn undefined(exciters: usize, channels: usize, passive: usize) -> Self {
        Self {
            exciters: vec![ExciterState::undefined(); exciters],
            channels: vec![ChannelState::undefined(); channels],
            passive: vec![PassiveState::undefined(); passive],
            structure: f64::NAN,
            radiated: f64::NAN,
        }
    }

    /// Force on the panel at every port [N].
    pub(super) fn forces(&self) -> Vec<Complex64> {
        self.exciters.iter().map(|e| e.force).chain(self.passive.iter().map(|p| p.force)).collect()
    }
}

impl PassiveState {
    /// A part of impedance `z` [N·s/m] that moves with `velocity` [m/s].
    pub(super) fn new(z: Complex64, velocity: Complex64) -> Self {
        Self { force: -z * velocity, loss: z.re * velocity.norm_sqr() }
    }

    /// Where there is no unique answer.
    pub(super) fn undefined() -> Self {
        Self { force: Complex64::new(f64::NAN, f64::NAN), loss: f64::NAN }
    }
}

impl ExciterState {
    /// From the three unknowns of an exciter at `omega` [rad/s].
    pub(super) fn new(omega: f64, t: &Transducer, [current, foot, magnet]: [Complex64; 3]) -> Self {
        let stroke = foot - magnet;
        Self {
            current,
            force: t.force(current, foot, magnet),
            foot,
            magnet,
            excursion: SQRT_2 * stroke.norm() / omega,
            coil_heat: t.coil.re * current.norm_sqr(),
            power: (t.voltage(current, foot, magnet) * current.conj()).re,
            suspension_loss: t.suspension.re * stroke.norm_sqr(),
        }
    }

    /// Where there is no unique answer.
    pub(super) fn undefined() -> Self {
        let (none, nan) = (Complex64::new(f64::NAN, f64::NAN), f64::NAN);
        Self {
            current: none,
            force: none,
            foot: none,
            magnet: none,
            excursion: nan,
            coil_heat: nan,
            power: nan,
            suspension_loss: nan,
        }
    }
}

impl ChannelState {
    /// Channel `index` when the channels give `sources` [V] behind a resistance of `source_resistance` [Ω].
    pub(super) fn new(
        answers: &UnitAnswers,
        index: usize,
        sources: &[Complex64],
        source_resistance: f64,
    ) -> Self {
        let current = answers.channel_current(index, sources);
        let terminals = sources[index] - source_resistance * current;
        Self {
            impedance: answers.own_admittance(index).finv() - source_resistance,
            current,
            power: (terminals * current.conj()).re,
        }
    }

    /// Where there is no unique answer.
    pub(super) fn undefined() -> Self {
        let none = Complex64::new(f64::NAN, f64::NAN);
        Self { impedance: none, current: none, power: f64::NAN }
    }
}
