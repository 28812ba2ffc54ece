//! Boundary elements.
mod blocks;
mod body;
mod dense;
mod element;
mod error;
mod far;
mod grid;
mod incident;
mod mirrors;
mod moments;
mod neighbours;
mod pair;
mod potentials;
mod power;
mod precondition;
mod surface_field;
mod system;
mod touching_rule;
mod triangle_rule;
mod wave;

#[cfg(test)]
mod tests;

pub use body::Body;
pub use error::BoundaryError;
pub use incident::{IncidentField, PlaneWave, PointSource};
pub use mirrors::Mirrors;
pub use potentials::PointField;
pub use surface_field::SurfaceField;
pub use system::{Drive, Method, System};
