//! Panel → modes.

mod footprint;
mod modes;

pub use footprint::Footprint;
pub use modes::{Modes, PlateError};
