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
pub use layup::{
    Fluted, Grain, Layer, LayupError, Sheet, Solid, Web, section_of_fluted, section_of_sheet,
    section_of_stack,
};
pub use modes::{Modes, PlateError};
