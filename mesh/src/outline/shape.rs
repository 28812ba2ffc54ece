//! A general shape: an outer contour with cut-outs.

use super::index::Index;
use super::{Contour, faults};
use super::{Fault, Piece};
use serde::{Deserialize, Serialize};
use std::sync::{Arc, OnceLock};

/// A checked outer contour and its cut-outs. The lower left corner of the bounding box is the origin; the outer contour runs
/// counter-clockwise, the cut-outs clockwise.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Shape {
    contours: Vec<Contour>,
    #[serde(skip)]
    known: Arc<Known>,
}

/// What was found out about the contours, which never change; copies of a shape share it.
#[derive(Debug, Default)]
struct Known {
    index: OnceLock<Index>,
    mirrored: OnceLock<[bool; 2]>,
}

impl PartialEq for Shape {
    fn eq(&self, other: &Self) -> bool {
        self.contours == other.contours
    }
}

impl Shape {
    /// From an outer contour and cut-outs [m] in any direction and place.
    ///
    /// # Errors
    /// All faults but thin places, their coordinates counted from the lower left corner of the outer contour's bounding box.
    pub fn new(outer: Contour, cutouts: Vec<Contour>) -> Result<Self, Vec<Fault>> {
        let given: Vec<_> = std::iter::once(outer).chain(cutouts).collect();
        let faults = faults::malformed(&given);
        if !faults.is_empty() {
            return Err(faults);
        }
        let low = given[0].bounds().0;
        let back = [-low[0], -low[1]];
        let contours: Vec<_> =
            given.into_iter().enumerate().map(|(i, contour)| contour.moved(back).wound(i == 0)).collect();
        let faults = faults::badly_placed(&contours);
        if faults.is_empty() { Ok(Self { contours, known: Arc::default() }) } else { Err(faults) }
    }

    /// Its contours: the outer one, then the cut-outs.
    pub fn contours(&self) -> &[Contour] {
        &self.contours
    }

    /// Whether mirroring about the vertical and the horizontal middle line changes nothing, as `find` finds the first time.
    pub(super) fn mirrored(&self, find: impl FnOnce() -> [bool; 2]) -> [bool; 2] {
        *self.known.mirrored.get_or_init(find)
    }

    /// `[width, height]` [m] of the bounding box.
    pub fn size(&self) -> [f64; 2] {
        self.index().size()
    }

    /// Smallest distance [m] from a point to the rim; negative outside the material.
    pub fn distance_inside(&self, point: [f64; 2]) -> f64 {
        self.index().distance_inside(&self.contours, point)
    }

    /// `[width, height]` [m] if it is nothing but an axis-parallel rectangle that starts at its lower left.
    pub(super) fn as_rectangle(&self) -> Option<[f64; 2]> {
        let [contour] = self.contours.as_slice() else { return None };
        let size = self.size();
        let corners = Contour::rectangle([0.0, 0.0], size[0], size[1]);
        let near = |(a, b): (&Piece, &Piece)| {
            let slack = 1e-9 * size[0].max(size[1]);
            let [a, b] = [a.from(), b.from()];
            matches!(contour.pieces[0], Piece::Straight { .. })
                && (a[0] - b[0]).abs() <= slack
                && (a[1] - b[1]).abs() <= slack
        };
        let straight = contour.pieces.iter().all(|piece| matches!(piece, Piece::Straight { .. }));
        let same = contour.pieces.len() == 4 && contour.pieces.iter().zip(&corners.pieces).all(near);
        (straight && same).then_some(size)
    }

    fn index(&self) -> &Index {
        self.known.index.get_or_init(|| Index::of(&self.contours))
    }
}
