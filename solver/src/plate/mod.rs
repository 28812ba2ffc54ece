//! Panel → modes.
//!
//! Rayleigh–Ritz with one dense symmetric eigenproblem per symmetry class: on products of line functions for rectangles (see
//! `line_basis`; shear angles are condensed into the deflection, see `strain`, `reduced`), on the cosines of a box for every
//! other outline (see `free_form`).

mod accuracy;
mod atom;
mod attached;
mod basis;
mod block_modes;
mod energy;
mod estimate;
mod footprint;
mod free_form;
mod layup;
mod line_basis;
mod line_tables;
mod model;
mod modes;
mod outline_doubts;
mod probes;
mod product_basis;
mod product_modes;
mod reduced;
mod rigid;
mod sampled;
mod shapes;
mod static_flexibility;
mod strain;
mod streamed;

pub use accuracy::Accuracy;
pub use attached::PATCH_POISSON_RATIO;
pub use energy::EnergyPart;
pub use estimate::Estimate;
pub use footprint::Footprint;
pub use layup::{
    Fluted, Grain, Layer, LayupError, Sheet, Solid, Web, section_of_fluted, section_of_sheet,
    section_of_stack,
};
pub use model::PlateModel;
pub use modes::{Modes, PlateError};
pub use outline_doubts::outline_doubts;
pub use sampled::SampledModes;
