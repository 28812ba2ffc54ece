//! What exists in a prediction, already validated: panel, exciters, amplifier channels, air, and where it is listened to.
//!
//! SI units throughout; phasors are RMS amplitudes with time factor `exp(+jωt)`. A `Scene` is plain data: the shell
//! builds it from a case file and checks it there, the solver trusts it.

mod exciter;
mod panel;
mod receivers;

pub use exciter::{Channel, Exciter, Mount, Wiring};
pub use panel::{EdgeCondition, Edges, Panel, PlateSection};
pub use receivers::{MapPlane, PolarArc, Receivers, Seat};

use crate::air::Air;
use serde::Serialize;

/// Everything a prediction needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scene {
    /// Title of the case, for reports.
    pub title: String,
    /// The panel.
    pub panel: Panel,
    /// Exciters glued to it.
    pub exciters: Vec<Exciter>,
    /// Amplifier channels; every exciter belongs to exactly one.
    pub channels: Vec<Channel>,
    /// State of the air.
    pub air: Air,
    /// Where it is listened to.
    pub receivers: Receivers,
    /// Frequencies [Hz], ascending, geometric.
    pub frequencies: Vec<f64>,
}
