//! Panel → modes.
//!
//! Rayleigh–Ritz on products of line functions (see `line_basis`), one dense symmetric eigenproblem per symmetry class; shear angles
//! are condensed into the deflection (see `strain`, `reduced`).

mod accuracy;
mod block_modes;
mod energy;
mod estimate;
mod footprint;
mod layup;
mod line_basis;
mod line_tables;
mod model;
mod modes;
mod product_basis;
mod reduced;
mod rigid;
mod shapes;
mod static_flexibility;
mod strain;

pub use accuracy::Accuracy;
pub use energy::EnergyPart;
pub use estimate::Estimate;
pub use footprint::Footprint;
pub use layup::{Grain, SingleLayer, section_of_single_layer};
pub use model::PlateModel;
pub use modes::{Modes, PlateError};
