//! Circular edges of slabs.

use super::chain::{ON_THE_AXIS, multiple};
use super::step::steps;
use crate::{Contour, Piece};
use nalgebra::Vector3;

/// A circle whose chords, between two heights, are sides of a mesh.
pub struct Circle {
    /// Centre [m].
    pub centre: [f64; 2],
    /// Radius [m].
    pub radius: f64,
    /// Distance of the middles of its chords from the centre [m].
    pub chord: f64,
    /// Lowest and highest place of the chords [m].
    pub heights: [f64; 2],
}

impl Circle {
    /// Where the middle of one of its chords belongs; None for any other point.
    pub fn moved(&self, point: Vector3<f64>) -> Option<Vector3<f64>> {
        let near = 1e-7 * self.radius;
        let ([x, y], [low, high]) = ([point.x - self.centre[0], point.y - self.centre[1]], self.heights);
        let between = (low - near..=high + near).contains(&point.z);
        let share = self.radius / x.hypot(y);
        let moved = || Vector3::new(self.centre[0] + x * share, self.centre[1] + y * share, point.z);
        (between && (x.hypot(y) - self.chord).abs() < near).then(moved)
    }
}

/// Where a contour lies in a slab: how far it is moved into the material [m], and between which heights [m].
#[derive(Clone, Copy)]
pub struct Stretch {
    pub inset: f64,
    pub heights: [f64; 2],
}

/// The circular arcs of a contour, divided for sides of `length` [m], at every stretch.
pub fn of_contour(contour: &Contour, length: f64, stretches: &[Stretch]) -> Vec<Circle> {
    let arc = |piece: &Piece| match *piece {
        Piece::Arc { centre, radii: [radius, other], sweep, .. }
            if (radius - other).abs() < ON_THE_AXIS * radius =>
        {
            let count = steps(piece, length, multiple(contour)).len() - 1;
            Some((centre, radius, sweep.signum(), (0.5 * sweep / count as f64).cos()))
        }
        _ => None,
    };
    let arcs = contour.pieces.iter().filter_map(arc);
    arcs.flat_map(|(centre, radius, sense, share)| {
        stretches.iter().map(move |&Stretch { inset, heights }| {
            let radius = radius - sense * inset;
            Circle { centre, radius, chord: share * radius, heights }
        })
    })
    .collect()
}
