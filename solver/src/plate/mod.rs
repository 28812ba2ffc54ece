//! Panel → modes.

mod footprint;
mod layup;
mod modes;

pub use footprint::Footprint;
pub use layup::{Grain, SingleLayer, section_of_single_layer};
pub use modes::{Modes, PlateError};
