//! Structural acoustics of flat-panel loudspeakers.
//!
//! ```text
//! Scene ─▶ Modes ─▶ Motion ─▶ Pressure ─▶ Findings
//! scene    plate    drive     radiation    listening
//! ```
//!
//! SI units, `exp(+jωt)`, RMS phasors, losses as `E (1 + jη)` with η > 0. No files, no printing, no formats here.

pub mod air;
pub mod blend;
pub mod boundary;
pub mod coupling;
mod dense;
pub mod drive;
pub mod driver;
pub mod filters;
mod gmres;
pub mod kept;
mod linalg;
pub mod listening;
pub mod motor;
pub mod place;
pub mod plate;
mod predict;
pub mod radiation;
mod rational;
pub mod scene;
pub mod search;
mod sincos;
pub mod study;
pub mod surrounds;
mod transform_size;
mod warning;
mod words;

pub use linalg::single_threaded_blas;
pub use predict::{
    Cost, FarField, MODE_MARGIN, PredictError, Prediction, Progress, Stage, Watcher, built, predict,
};
pub use warning::Warning;
