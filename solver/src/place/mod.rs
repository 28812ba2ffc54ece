//! Where to glue the exciters: the pipeline of `panelwright place`.
//!
//! ```text
//! Scene, PlaceOptions ─▶ Modes, Reach, grid ─▶ every place, pairs, triples ─▶ ExciterPlaces
//!                                     predict with the exciters moved ─┘
//! ```
//!
//! Places are searched for the exciters of one channel, all with the data of the first, by [`search::exciters`](crate::search::exciters). Pairs and
//! triples are picked from all of the grid as if each exciter pushed alone, by evenness and level; the best of them, and all of places spread over the panel
//! ([`sets`]), are then scored as one network, and the best of those exchanged. What is recommended is confirmed by the prediction itself with the exciters
//! moved, and the verdict goes by that.

mod bench;
mod confirmed;
mod exciters;
mod findings;
mod group;
mod options;
mod rules;
mod sets;
mod symmetry;
#[cfg(test)]
mod tests;
mod together;
mod words;

pub use exciters::exciter_places;
pub use findings::{
    Arrangement, Count, ExciterPlaces, Mirrored, Place, PlaceFindings, Rule, SeatCurves, Whole,
};
pub use options::{PlaceOptions, usual_step};
pub use words::fraction;

use crate::plate::PlateError;
use crate::search::exciters::SearchError;

/// Why places could not be found.
#[derive(Debug, thiserror::Error)]
pub enum PlaceError {
    /// The search cannot be made.
    #[error(transparent)]
    Search(#[from] SearchError),
    /// The modes could not be computed.
    #[error(transparent)]
    Plate(#[from] PlateError),
    /// Two exciters of a channel push against each other.
    #[error(
        "\"{first}\" and \"{second}\" share a channel with opposite polarities, and places are searched for exciters that push alike"
    )]
    Opposed {
        /// An exciter.
        first: String,
        /// One that is turned round against it.
        second: String,
    },
    /// Too small a panel for so many.
    #[error("{count} exciters at least {:.0} mm apart do not fit where they may be glued", 1e3 * .apart)]
    NoRoom {
        /// How many.
        count: usize,
        /// Least distance of their centres [m].
        apart: f64,
    },
}
