//! What can be wrong with a surface, and where; what can be mended without asking.

mod crossings;
mod edges;
mod fault;
mod fill;
mod flat;
mod orientation;
mod repair;
mod scale;
mod shells;
mod walls;

#[cfg(test)]
mod tests;

pub use crossings::meeting;
pub use fault::{Fault, Place};
pub(super) use flat::middle;
pub use repair::{Repair, Repaired, repaired};
pub use shells::Shell;
pub use walls::{Span, gap, narrowest_slit, thinnest_wall};

use super::Surface;
use super::sides::{by_edge, sides};
use super::stl::MILLIMETRE;
use fault::Found;

/// What a body is expected to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Smallest and largest extent [m] of the whole that is believed.
    pub size: [f64; 2],
    /// Metres per unit of the file that the surface was read from.
    pub unit: f64,
    /// Thinnest wall [m] that is not a fault; 0 does not look for walls.
    pub wall: f64,
    /// Narrowest slit or gap between shells [m] that is not a fault; 0 does not look for slits.
    pub slit: f64,
}

impl Default for Limits {
    /// From 5 mm to 2 m, read as millimetres; walls and slits are not looked at.
    fn default() -> Self {
        Self { size: [5e-3, 2.0], unit: MILLIMETRE, wall: 0.0, slit: 0.0 }
    }
}

/// Everything found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// Faults, at most twenty of each kind.
    pub faults: Vec<Fault>,
    /// Further faults of the kinds listed.
    pub unlisted: usize,
    /// Connected parts; empty when the surface is too malformed to tell.
    pub shells: Vec<Shell>,
    /// Thinnest wall, if walls were looked for and the surface is closed and oriented.
    pub thinnest: Option<Span>,
    /// Narrowest slit, as above.
    pub slit: Option<Span>,
}

/// Looks for every fault.
pub fn check(surface: &Surface, limits: &Limits) -> Report {
    let mut found = Found::default();
    flat::malformed(surface, &mut found);
    if !found.faults.is_empty() {
        return Report { faults: found.faults, unlisted: found.unlisted, ..Report::default() };
    }
    found.extend(scale::wrong(surface, limits.size, limits.unit));
    flat::degenerate(surface, &mut found);
    edges::faults(surface, &mut found);
    orientation::faults(surface, &mut found);
    let sound = found.faults.iter().all(|fault| !fault.leaves_the_inside_unknown());
    crossings::faults(surface, &mut found);
    let shells = shells::shells(surface);
    shells::faults(surface, &shells, &mut found);
    let (thinnest, slit) = if sound { walls::faults(surface, limits, &mut found) } else { (None, None) };
    Report { faults: found.faults, unlisted: found.unlisted, shells, thinnest, slit }
}

/// The first fault that leaves no surface to remesh; holes and crossings are none.
pub(super) fn unfit(surface: &Surface) -> Option<Fault> {
    let mut found = Found::default();
    flat::malformed(surface, &mut found);
    if found.faults.is_empty() {
        flat::degenerate(surface, &mut found);
        edges::faults(surface, &mut found);
        orientation::faults(surface, &mut found);
    }
    found.faults.into_iter().find(|fault| !matches!(fault, Fault::Open { .. } | Fault::Needle { .. }))
}

/// A place where a surface crosses itself.
pub(super) fn first_crossing(surface: &Surface) -> Option<Fault> {
    let mut found = Found::default();
    crossings::faults(surface, &mut found);
    found.faults.into_iter().next()
}

/// True if two triangles meet at every side.
pub(super) fn is_closed(surface: &Surface) -> bool {
    by_edge(&sides(surface)).all(|run| run.len() == 2)
}
