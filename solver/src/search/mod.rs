//! What a builder may choose, searched for the best choice: objective in, ranking out.

pub mod crossover;
pub mod drivers;
pub mod equaliser;
pub(crate) mod evenness;
pub mod exciters;
mod pattern;

pub use crossover::{Advice, Crossover, Limits, Request, Shape, advise};
pub use evenness::Evenness;
