//! What can be wrong with a body.

use thiserror::Error;

/// A body that boundary elements cannot treat.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum BoundaryError {
    /// No elements.
    #[error("the surface has no elements: give a closed surface")]
    Empty,
    /// An element refers to a point that does not exist.
    #[error("element {element} refers to point {point}, but there are only {count} points")]
    NoSuchPoint {
        /// Index of the element.
        element: usize,
        /// Index of the point.
        point: u32,
        /// Number of points.
        count: usize,
    },
    /// An element without area.
    #[error("element {element} near ({:.4}, {:.4}, {:.4}) m has no area: remesh the surface there", .at[0], .at[1], .at[2])]
    Flat {
        /// Index of the element.
        element: usize,
        /// First corner [m].
        at: [f64; 3],
    },
    /// A side that does not belong to exactly two elements.
    #[error(
        "the surface is not closed: the side between ({:.4}, {:.4}, {:.4}) m and ({:.4}, {:.4}, {:.4}) m belongs to {count} element(s) \
         instead of two. Close it, or let it end on a mirror plane",
        .from[0], .from[1], .from[2], .to[0], .to[1], .to[2]
    )]
    Open {
        /// One end [m].
        from: [f64; 3],
        /// The other end [m].
        to: [f64; 3],
        /// How many elements have this side.
        count: usize,
    },
    /// A part of the body beyond a mirror plane, or an element in it.
    #[error(
        "element {element} is not on the positive side of the mirror plane {axis} = 0: give only that half of the body, open at the plane"
    )]
    BeyondMirror {
        /// Index of the element.
        element: usize,
        /// The axis across the plane.
        axis: char,
    },
    /// A linear system that cannot be solved.
    #[error(
        "the boundary element system of {unknowns} unknowns is singular: check the surface for parts that overlap"
    )]
    Singular {
        /// Number of unknowns.
        unknowns: usize,
    },
    /// An iteration that did not get where it should.
    #[error(
        "the boundary element iteration stopped at a relative residual of {residual:.1e} after {steps} steps, {sought:.1e} was sought:          check the surface for parts that overlap or nearly touch"
    )]
    NotConverged {
        /// Relative residual reached.
        residual: f64,
        /// Relative residual sought.
        sought: f64,
        /// Steps taken.
        steps: usize,
    },
}
