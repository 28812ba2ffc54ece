//! Where to glue the exciters: every place of a panel judged by what the seats would hear of it.
//!
//! ```text
//! Scene, Modes ─▶ Reach: per frequency, what a force anywhere does at the seats and under itself
//! Spacing      ─▶ PlaceGrid ─▶ Feet: mode shapes under a foot at every place
//! Reach, Feet, Source ─▶ responses ─▶ Judge ─▶ Scores ─▶ singles: ranking
//!                  │         └▶ Mixture (bands) ─▶ best_pairs, best_triples
//!                  └▶ together: several as one network
//! ```
//!
//! A response is the one [`predict`](crate::predict) would find with the exciter there: the sound at the seats carries all the air's
//! coupling of the modes, by reciprocity (see [`Reach`]); the mobility under the foot carries it among the modes that move most.

mod cells;
mod coupled;
mod customary;
mod direct;
mod feet;
mod few;
mod field;
mod give;
mod grid;
mod heard;
mod joined;
mod judge;
mod mixture;
mod pairs;
mod reach;
mod scores;
mod screened;
mod singles;
mod source;
mod triples;

#[cfg(test)]
mod tests;

pub use customary::CUSTOMARY;
pub use feet::Feet;
pub(crate) use grid::fits;
pub use grid::{Allowed, PlaceGrid, Rectangle, Spacing};
pub use judge::Judge;
pub(crate) use judge::RANGE;
pub use mixture::Mixture;
pub use pairs::{Together, best_pairs};
pub use reach::Reach;
pub use scores::{Scores, Weights};
pub(crate) use singles::OFF;
pub use singles::{Singles, singles};
pub use source::{Source, sources};
pub use triples::{best_triples, one_more};

/// Why places could not be searched.
#[derive(Debug, thiserror::Error)]
pub enum SearchError {
    /// Nobody listens.
    #[error("there is no seat to judge places by: give at least one")]
    NoSeat,
    /// Nothing to place.
    #[error("the scene has no exciter to place: give one; its place is where the search starts from")]
    NoExciter,
    /// The range is too short.
    #[error(
        "the frequencies hold {bands} of the sixth octaves that evenness is judged by, and at least {least} are needed: widen the range \
         to an octave or more within 100 Hz to 10 kHz, with at least 12 frequencies per octave"
    )]
    TooFewBands {
        /// Sixth octaves that the frequencies cover.
        bands: usize,
        /// Fewest that can be judged.
        least: usize,
    },
    /// No place is left.
    #[error(
        "a foot of {:.0} mm with {:.0} mm around it fits nowhere where it may: make the clearance or the step smaller, or allow more of the panel",
        1e3 * .foot,
        1e3 * .clearance
    )]
    NoPlace {
        /// Diameter of the foot [m].
        foot: f64,
        /// Clearance asked for [m].
        clearance: f64,
    },
    /// The back is of a kind whose adjoint is not worked out.
    #[error(
        "places can be searched on panels with an open back, in a baffle, before a wall, or closed behind; this one has a back that is {back}"
    )]
    Back {
        /// What is behind the panel.
        back: &'static str,
    },
}
