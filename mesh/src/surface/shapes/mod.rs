//! Bodies from a few measures: closed, printable, with patch numbers, meshed to a wanted length of sides.
//!
//! The front faces +z and lies in the plane z = 0 unless said otherwise; the body is centred on the z axis. Points lie exactly on the
//! true shape, and bodies that are symmetric about x = 0 and y = 0 have meshes that are, too.

mod chain;
mod circles;
mod extruded;
mod face;
mod fault;
mod flare;
mod housing;
mod lathe;
mod piston;
mod slab;
mod sphere;
mod step;
mod tube;
mod walls;
mod wings;

#[cfg(test)]
mod driver_tests;
#[cfg(test)]
mod middles_tests;
#[cfg(test)]
mod tests;

pub use fault::ShapeFault;
pub use flare::{Back, Flare, Form};
pub use housing::{Diaphragm, Housing};
pub use lathe::{Lathe, Section};
pub use piston::Piston;
pub use slab::Slab;
pub use sphere::Sphere;
pub use tube::Tube;
pub use wings::Wings;

/// Patch of what does not move.
pub const RIGID: u16 = 0;
/// Patch of what moves.
pub const DIAPHRAGM: u16 = 1;
