//! What the ear and the builder ask of a prediction.

mod findings;

pub use findings::*;
