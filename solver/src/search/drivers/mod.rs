//! Where to hang a small driver: over its panel, above its edge, beside it. Every place of a grid is judged by what the seats would hear.
//!
//! ```text
//! DriverScene ─▶ Radiator: layers of sources, by itself and before an endless wall ┐
//! seats       ─▶ the jump that each makes on the board                             ├▶ every place ─▶ Judge ─▶ DriverScores
//! the rest    ─▶ panel's motion, sound of panel and other drivers, once            ┘
//! ```
//!
//! # Method
//!
//! `exp(+jωt)`, `G = exp(−jkr)/(4πr)`. The driver at the place t sends a seat `p = u + ∫ μ ∂u/∂z dS`: u is what the layers on its surface radiate by themselves, μ the
//! jump that a source G at the seat makes on the still board (reciprocity, the board's operator being symmetric). u depends only on s − t, so that one scattering per seat and one
//! [correlation](correlation) give every place. On the surface the sound is `(1 − w) p_free + w p_wall`, w the [share](echo) of an endless wall's echo that the board
//! throws back to the middle of the housing: the surface of a housing well over the panel, well outside it, and between.
//!
//! A panel in a wall is the endless wall itself: the sound is that before it, with its image, and nothing is interpolated.
//!
//! # Validity
//!
//! As [boards](crate::coupling::board_behind). Against the whole computation the sound at the seats is off by less than 4 % of what the driver has with nothing behind it, at edges and
//! corners, too (`benches/driver_places.rs` prints it): 0.3 dB, in deep dips more. The [shadow](shadow) of the housing has its own limits. Air does not absorb
//! anything on the way from the driver.

mod centre;
mod company;
mod correlation;
mod echo;
mod field;
mod grid;
mod handover;
mod matched;
mod options;
mod places;
mod radiator;
mod scores;
mod shadow;
mod sweep;
#[cfg(test)]
mod tests;
mod words;

pub use grid::DriverGrid;
pub use matched::Matched;
pub use options::DriverOptions;
pub use places::{DriverPlace, DriverPlaces, can_be_placed, driver_places};
pub use scores::{DriverScores, DriverWeights};
pub use sweep::Checked;
pub use words::where_it_is;
