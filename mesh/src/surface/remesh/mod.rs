//! Triangles of a wanted size on the same surface.
//!
//! Long sides are split, short ones collapsed, sides flipped where that widens the smallest angle, and points moved along the surface
//! to even the triangles out (after Botsch & Kobbelt, A remeshing approach to multiresolution modeling, 2004). Sharp sides, rims,
//! borders of patches and their corners stay where they are. No step is taken that turns a triangle over or leaves the original
//! surface by more than a share of the triangle's size, of the wall behind it or of the slit before it: thin walls stay open, and get
//! long triangles where their own shape asks for small ones across.

mod collapse;
mod even;
mod features;
mod flip;
mod original;
mod quality;
mod split;
mod work;

#[cfg(test)]
mod tests;

pub use quality::Quality;

use super::Surface;
use super::check::{self, Fault, Place};
use nalgebra::Vector3;
use thiserror::Error;
use work::Work;

/// Rounds of splitting, collapsing, flipping and evening out.
const ROUNDS: usize = 5;
/// Elements that are made at most.
const MOST_ELEMENTS: f64 = 1e6;
/// Area of an equilateral triangle per square of its side.
const EQUILATERAL: f64 = 0.433;

/// What is wanted.
pub struct Target<'a> {
    /// Wanted length [m] of sides at a place [m] of a patch.
    pub length: &'a (dyn Fn(Vector3<f64>, u16) -> f64 + Sync),
    /// Neighbours that meet at a larger angle [rad] make a sharp side, which is kept.
    pub sharp: f64,
    /// Largest share by which the volume of a closed surface may change.
    pub volume: f64,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Remeshed {
    /// The new surface; its patches are those of the old one.
    pub surface: Surface,
    /// Share by which the volume changed; 0 for an open surface.
    pub volume_change: f64,
    /// Figures of the triangles.
    pub quality: Quality,
}

/// Why a surface could not be remeshed.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum RemeshFault {
    /// The old surface is not sound.
    #[error("the surface must be mended before it is remeshed: {0}")]
    Unsound(Fault),
    /// A wanted length that is none.
    #[error("the wanted length of sides is {length} m at {at}; it must be a positive number")]
    Length {
        /// What was wanted [m].
        length: f64,
        /// Where.
        at: Place,
    },
    /// Far too many elements.
    #[error(
        "the wanted length of sides makes about {elements:.0} elements, at most {MOST_ELEMENTS:.0} are made; ask for longer sides"
    )]
    TooFine {
        /// How many it would be.
        elements: f64,
    },
    /// The volume changed too much.
    #[error("remeshing changed the volume by {:.2} %, more than {:.2} %; ask for shorter sides", 100.0 * change, 100.0 * most)]
    Volume {
        /// Share by which it changed.
        change: f64,
        /// Share that was allowed.
        most: f64,
    },
    /// The new surface crosses itself.
    #[error("the remeshed surface would be faulty ({0}); ask for shorter sides there")]
    Result(Fault),
}

/// Remeshes a sound surface, closed or open. The result is the same on any machine with any number of threads.
///
/// # Errors
/// [`RemeshFault`].
pub fn remesh(surface: &Surface, target: &Target) -> Result<Remeshed, RemeshFault> {
    if let Some(fault) = check::unfit(surface) {
        return Err(RemeshFault::Unsound(fault));
    }
    expected_elements(surface, target)?;
    let (mut work, original) = Work::begin(surface, target.sharp);
    for round in 0..ROUNDS {
        split::long_sides(&mut work, &original, target);
        collapse::short_sides(&mut work, &original, target);
        flip::sides(&mut work, &original);
        even::out(&mut work, &original);
        if round + 1 == ROUNDS {
            flip::sides(&mut work, &original);
        }
    }
    judged(surface, work.finish(&original), target)
}

fn expected_elements(surface: &Surface, target: &Target) -> Result<(), RemeshFault> {
    let mut elements = 0.0;
    for triangle in 0..surface.triangles.len() {
        let at = check::middle(surface, triangle);
        let length = (target.length)(at, surface.patches[triangle]);
        if !(length > 0.0 && length.is_finite()) {
            return Err(RemeshFault::Length { length, at: Place(at) });
        }
        elements += surface.area_vector(triangle).norm() / (EQUILATERAL * length * length);
    }
    if elements > MOST_ELEMENTS { Err(RemeshFault::TooFine { elements }) } else { Ok(()) }
}

fn judged(old: &Surface, new: Surface, target: &Target) -> Result<Remeshed, RemeshFault> {
    let closed = check::is_closed(old);
    let change = if closed { (new.volume() - old.volume()).abs() / old.volume().abs() } else { 0.0 };
    if change > target.volume {
        return Err(RemeshFault::Volume { change, most: target.volume });
    }
    if let Some(fault) = check::unfit(&new).or_else(|| check::first_crossing(&new)) {
        return Err(RemeshFault::Result(fault));
    }
    let quality = Quality::of(&new);
    Ok(Remeshed { surface: new, volume_change: change, quality })
}
