//! What exists in a prediction, already validated: panel, exciters, amplifier channels, air, and where it is listened to.
//!
//! SI units throughout; phasors are RMS amplitudes with time factor `exp(+jωt)`. A `Scene` is plain data: the shell
//! builds it from a case file and checks it there, the solver trusts it.

mod attachment;
mod blend;
mod exciter;
mod filters;
mod loss;
mod panel;
mod receivers;
mod small_driver;
mod spread;
mod waves;

pub use attachment::{Attachments, Bar, Hang, Patch, PointMass};
pub use blend::{BlendScene, FedDriver, Measured, MeasuredPart};
pub use exciter::{Channel, Exciter, Mount, Wiring};
pub use filters::{Alignment, BandShape, Biquad, EqualiserBand, Filters, PassFilter, Realisation};
pub use loss::LossCurve;
pub use panel::{Back, EdgeCondition, Edges, Panel, PlateSection, Stretch, Strip};
pub use receivers::{Floor, MapPlane, PolarArc, Receivers, Seat};
pub use small_driver::{
    Behind, Diaphragm, DiaphragmForm, DriverMotor, DriverScene, FlareProfile, Housing, HousingBack,
    HousingFront, RingMass, SmallDriver, Surround, SurroundForm,
};
pub use spread::{FactorRange, Spread, ThicknessSpread};

use crate::air::Air;
use serde::Serialize;

/// Everything a prediction needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scene {
    /// Title of the case, for reports.
    pub title: String,
    /// The panel.
    pub panel: Panel,
    /// What else is fixed to it.
    pub attachments: Attachments,
    /// Exciters glued to it.
    pub exciters: Vec<Exciter>,
    /// Amplifier channels; every exciter belongs to exactly one.
    pub channels: Vec<Channel>,
    /// State of the air.
    pub air: Air,
    /// Where it is listened to.
    pub receivers: Receivers,
    /// How far the built panel may differ.
    pub spread: Spread,
    /// Frequencies [Hz], ascending, geometric.
    pub frequencies: Vec<f64>,
}
