//! One CSV file per family of curves, units in the headings, readable by any spreadsheet.
//!
//! Levels are in decibels, lengths in millimetres, everything else in SI. An empty cell is a value that does not exist.

mod biquads;
mod blend;
mod driver_places;
mod place;
mod prediction;
mod surrounds;
mod table;

pub use biquads::{USUAL_RATE, biquads};
pub use blend::{write as write_blend, write_heard};
pub use place::write as write_places;
pub use prediction::write;
pub use surrounds::write as write_surrounds;
pub use table::TableError;
