//! What can be wrong with a body before a board.

use crate::boundary::BoundaryError;
use thiserror::Error;

/// A body and a board that cannot be treated together.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum BoardError {
    /// The body by itself.
    #[error(transparent)]
    Body(#[from] BoundaryError),
    /// Mirror planes would mirror the board, too.
    #[error("the body goes on beyond mirror planes, the board does not: give the whole body")]
    Mirrored,
    /// The surfaces meet.
    #[error(
        "the body meets the board near ({:.4}, {:.4}) m on it: move the body to the front, or cut the board out where the body goes through",
        .at[0], .at[1]
    )]
    Meets {
        /// Where, in the board's own coordinates [m].
        at: [f64; 2],
    },
    /// The board's own iteration stopped short.
    #[error(
        "the iteration for the board's pressure jump stopped at a relative residual of {residual:.1e}, {sought:.1e} was sought: \
         check the outline for stripes narrower than a few cells"
    )]
    Board {
        /// Relative residual reached.
        residual: f64,
        /// Relative residual sought.
        sought: f64,
    },
    /// Sound thrown to and fro without an end.
    #[error(
        "after {exchanges} exchanges of sound between body and board the relative residual is {residual:.1e}, {sought:.1e} was sought: \
         make the board's cells smaller, or leave more air between the two"
    )]
    NotSettled {
        /// How often each scattered the other's sound.
        exchanges: usize,
        /// Relative residual reached.
        residual: f64,
        /// Relative residual sought.
        sought: f64,
    },
}
