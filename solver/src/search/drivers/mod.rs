//! Where to hang a small driver.

mod correlation;
mod echo;
mod field;
mod grid;
mod matched;
mod pattern;
mod places;
mod radiator;
mod scores;
mod shadow;
mod sweep;
mod words;

#[cfg(test)]
mod tests;

pub use grid::DriverGrid;
pub use matched::Matched;
pub use places::{DriverOptions, DriverPlace, DriverPlaces, driver_places};
pub use scores::{DriverScores, DriverWeights};
pub use sweep::Checked;
pub use words::where_it_is;
