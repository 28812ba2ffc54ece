//! Where to hang a small driver.

mod correlation;
mod echo;
mod field;
mod grid;
mod matched;
mod places;
mod radiator;
mod scores;
mod shadow;
mod words;

#[cfg(test)]
mod tests;

pub use grid::DriverGrid;
pub use matched::Matched;
pub use places::{Checked, DriverOptions, DriverPlace, DriverPlaces, driver_places};
pub use scores::{DriverScores, DriverWeights};
pub use words::where_it_is;
