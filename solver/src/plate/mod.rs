//! Panel → modes.
//!
//! Rayleigh–Ritz on products of line functions (see `line_basis`), one dense symmetric eigenproblem per symmetry class.

mod accuracy;
mod estimate;
mod footprint;
mod layup;
mod line_basis;
mod modes;
mod product_basis;
mod shapes;
mod static_flexibility;

pub use accuracy::Accuracy;
pub use estimate::Estimate;
pub use footprint::Footprint;
pub use layup::{Grain, SingleLayer, section_of_single_layer};
pub use modes::{Modes, PlateError};
pub use shapes::SampledModes;
