//! Geometry of flat panels, of the bodies in front of them and of the planes they are heard on.
//!
//! Lengths are metres. The panel lies in the plane z = 0 with its lower left corner at the origin, x to the right and
//! y up as the listener sees it, z towards the listener. This crate knows no physics, no files and no units.

mod axis;
mod columns;
mod lattice;
mod outline;
mod rim;
mod surface;

pub use axis::Axis;
pub use columns::breaks;
pub use lattice::Lattice;
pub use outline::{Contour, Fault, LARGEST, MOST_PIECES, Outline, Piece, SHORTEST, Shape};
pub use rim::RimPoint;
pub use surface::{
    Edge, Mirror, NotSymmetric, QuadraticSurface, Surface, Welded, check, edge, remesh, shapes, sphere, stl,
};
