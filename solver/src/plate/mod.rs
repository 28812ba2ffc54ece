//! Panel → modes.
//!
//! Rayleigh–Ritz with one dense symmetric eigenproblem per symmetry class: on products of line functions for rectangles (see
//! `line_basis`), on the cosines of a box for every other outline (see `free_form`).

mod accuracy;
mod basis;
mod energy;
mod estimate;
mod footprint;
mod free_form;
mod layup;
mod line_basis;
mod modes;
mod product_basis;
mod shapes;
mod static_flexibility;

pub use accuracy::Accuracy;
pub use energy::EnergyPart;
pub use estimate::Estimate;
pub use footprint::Footprint;
pub use layup::{Grain, SingleLayer, section_of_single_layer};
pub use modes::{Modes, PlateError};
