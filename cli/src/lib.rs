//! The shell around the solver: case files and materials in, reports out.

pub mod case;
pub mod material;
