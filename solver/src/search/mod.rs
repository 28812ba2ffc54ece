//! What a builder may choose, searched for the best choice: objective in, ranking out.

mod arrivals;
pub mod averages;
pub mod crossover;
pub mod drivers;
pub mod equaliser;
pub(crate) mod evenness;
pub mod exciters;
mod pattern;

pub use averages::Averages;
pub use crossover::{Advice, Crossover, Feed, Request, Shape, advise};
pub use evenness::Evenness;
