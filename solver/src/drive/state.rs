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
    /// Power lost in the panel's material [W].
    pub structure: f64,
    /// Power given to the air [W].
    pub radiated: f64,
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
