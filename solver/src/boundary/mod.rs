//! Boundary elements.
mod blocks;
mod body;
mod dense;
mod element;
mod error;
mod far;
mod mirrors;
mod moments;
mod neighbours;
mod pair;
mod touching_rule;
mod triangle_rule;
mod wave;

#[cfg(test)]
mod tests;

pub use body::Body;
pub use error::BoundaryError;
pub use mirrors::Mirrors;
