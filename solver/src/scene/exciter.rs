//! Exciters and the amplifier channels that drive them.

use super::Filters;
use serde::Serialize;

/// An electrodynamic exciter glued to the panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Exciter {
    /// Name in reports.
    pub name: String,
    /// Centre of its foot on the panel [m].
    pub position: [f64; 2],
    /// DC resistance of the coil R_e [Ω].
    pub coil_resistance: f64,
    /// Inductance of the coil L_e [H].
    pub coil_inductance: f64,
    /// Force factor Bl [N/A].
    pub force_factor: f64,
    /// Coil and foot, the mass that rides on the panel [kg].
    pub moving_mass: f64,
    /// Diameter of the ring on which the foot pushes [m].
    pub foot_diameter: f64,
    /// Stiffness between magnet and foot [N/m].
    pub suspension_stiffness: f64,
    /// Loss factor of the suspension: `k (1 + jη)`.
    pub suspension_loss_factor: f64,
    /// Mass of magnet and housing [kg].
    pub magnet_mass: f64,
    /// What holds the magnet.
    pub mount: Mount,
    /// True when the leads are swapped.
    pub reversed: bool,
    /// Rated electrical power [W], if the part states one.
    pub rated_power: Option<f64>,
    /// Rated peak excursion of the coil against the magnet, one way [m], if the part states one.
    pub rated_excursion: Option<f64>,
}

/// What holds the magnet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mount {
    /// Hangs from its own suspension.
    Floating,
    /// Held still by a rigid brace.
    Braced,
}

/// How the exciters of a channel are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wiring {
    /// One current through all.
    Series,
    /// One voltage across all. A single exciter counts as parallel.
    Parallel,
}

/// One amplifier output: an ideal voltage source behind an output resistance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Channel {
    /// Name in reports.
    pub name: String,
    /// Open-circuit voltage before gain and filters [V RMS].
    pub voltage: f64,
    /// Gain as an amplitude factor; negative when the polarity is inverted.
    pub gain: f64,
    /// Delay [s].
    pub delay: f64,
    /// Crossover and equaliser.
    pub filters: Filters,
    /// Output and cable resistance [Ω].
    pub source_resistance: f64,
    /// How the exciters are joined.
    pub wiring: Wiring,
    /// Indices into `Scene::exciters`, at least one; none for the channel of a small driver, which is not one of the scene's.
    pub exciters: Vec<usize>,
}
