//! The panel's outline.

mod contour;
mod ellipse;
mod faults;
mod index;
mod piece;
mod shape;
mod thin;
mod vector;

#[cfg(test)]
mod tests;

pub use contour::Contour;
pub use faults::{Fault, LARGEST, MOST_PIECES, SHORTEST};
pub use piece::Piece;
pub use shape::Shape;

use crate::RimPoint;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::num::NonZeroUsize;

/// Outline of a panel; the lower left corner of its bounding box is the origin.
///
/// The outer contour runs counter-clockwise, cut-outs clockwise: the material lies to the left. Where the outer contour starts
/// is said at each variant; lengths along it (`RimPoint::along`) count from there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "shape", rename_all = "kebab-case")]
pub enum Outline {
    /// Axis-parallel rectangle; starts at the lower left corner.
    Rectangle {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
    },
    /// Axis-parallel rectangle with rounded corners; starts at the left end of the bottom side.
    RoundedRectangle {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
        /// Radius of the corners [m], at most half the shorter side.
        radius: f64,
    },
    /// Ellipse with axes along x and y; starts at its rightmost point.
    Ellipse {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
    },
    /// Any closed shape, with cut-outs or without; starts where its maker started.
    Shape(Shape),
}

impl Outline {
    /// The shape with this outer contour and these cut-outs [m], moved so that its bounding box starts at the origin, each
    /// contour turned the right way round. An axis-parallel rectangle from its lower left becomes [`Outline::Rectangle`].
    ///
    /// # Errors
    /// All faults found but thin places ([`Outline::thin_places`]); coordinates count from the lower left corner of the bounding box,
    /// those of open contours and points given twice as given.
    pub fn of_contours(outer: Contour, cutouts: Vec<Contour>) -> Result<Self, Vec<Fault>> {
        let shape = Shape::new(outer, cutouts)?;
        Ok(match shape.as_rectangle() {
            Some([width, height]) => Outline::Rectangle { width, height },
            None => Outline::Shape(shape),
        })
    }

    /// This outline with further cut-outs [m].
    ///
    /// # Errors
    /// As [`Outline::of_contours`].
    pub fn with_cutouts(self, cutouts: Vec<Contour>) -> Result<Self, Vec<Fault>> {
        if cutouts.is_empty() {
            return Ok(self);
        }
        let mut contours = self.curves().into_owned();
        contours.extend(cutouts);
        let outer = contours.remove(0);
        Self::of_contours(outer, contours)
    }

    /// Its contours as curves: the outer one, then the cut-outs.
    pub fn curves(&self) -> Cow<'_, [Contour]> {
        match *self {
            Outline::Rectangle { width, height } => vec![Contour::rectangle([0.0; 2], width, height)].into(),
            Outline::RoundedRectangle { width, height, .. } => {
                vec![Contour::rounded_rectangle([0.0; 2], width, height, self.corner_radius())].into()
            }
            Outline::Ellipse { width, height } => vec![Contour::ellipse(self.centre(), width, height)].into(),
            Outline::Shape(ref shape) => shape.contours().into(),
        }
    }

    /// Radius [m] of the rounded corners, 0 for any other shape.
    fn corner_radius(&self) -> f64 {
        match *self {
            Outline::RoundedRectangle { width, height, radius } => {
                radius.min(0.5 * width).min(0.5 * height).max(0.0)
            }
            _ => 0.0,
        }
    }

    /// `(width, height)` [m] of the bounding box, whose lower left corner is the origin.
    pub fn bounding_box(&self) -> (f64, f64) {
        match *self {
            Outline::Rectangle { width, height }
            | Outline::RoundedRectangle { width, height, .. }
            | Outline::Ellipse { width, height } => (width, height),
            Outline::Shape(ref shape) => shape.size().into(),
        }
    }

    /// Area [m²], cut-outs taken off.
    pub fn area(&self) -> f64 {
        match *self {
            Outline::Rectangle { width, height } => width * height,
            _ => self.curves().iter().map(Contour::signed_area).sum(),
        }
    }

    /// Length of all contours [m].
    pub fn perimeter(&self) -> f64 {
        match *self {
            Outline::Rectangle { width, height } => 2.0 * (width + height),
            _ => self.curves().iter().map(Contour::length).sum(),
        }
    }

    /// Middle of the bounding box [m].
    pub fn centre(&self) -> [f64; 2] {
        let (width, height) = self.bounding_box();
        [0.5 * width, 0.5 * height]
    }

    /// Smallest distance [m] from a point to the rim; negative outside and in a cut-out, and −∞ for a point that is none
    /// (not a number). For a rectangle and a point outside, the distance to the nearest side's line.
    /// Exact but for curves of a [`Shape`], where it is good to a millionth of the size.
    pub fn distance_inside(&self, point: [f64; 2]) -> f64 {
        let [x, y] = point;
        match *self {
            Outline::Rectangle { width, height } => x.min(width - x).min(y).min(height - y),
            Outline::RoundedRectangle { .. } => self.inside_rounded(point),
            Outline::Ellipse { width, height } => {
                ellipse::distance_inside([0.5 * width, 0.5 * height], [x - 0.5 * width, y - 0.5 * height])
            }
            Outline::Shape(ref shape) => shape.distance_inside(point),
        }
    }

    fn inside_rounded(&self, [x, y]: [f64; 2]) -> f64 {
        if !(x.is_finite() && y.is_finite()) {
            return f64::NEG_INFINITY;
        }
        let ([cx, cy], radius) = (self.centre(), self.corner_radius());
        // How far beyond the lines through the centres of the corner arcs.
        let (dx, dy) = ((x - cx).abs() - cx + radius, (y - cy).abs() - cy + radius);
        radius - dx.max(0.0).hypot(dy.max(0.0)) - dx.max(dy).min(0.0)
    }

    /// True for a point of the panel, its rim included.
    pub fn contains(&self, point: [f64; 2]) -> bool {
        let slack = match *self {
            Outline::Rectangle { .. } => 0.0,
            _ => 1e-12 * (self.bounding_box().0 + self.bounding_box().1),
        };
        self.distance_inside(point) >= -slack
    }

    /// True when mirroring about the vertical (first) or horizontal (second) middle line changes nothing.
    pub fn mirror_symmetry(&self) -> [bool; 2] {
        match *self {
            Outline::Rectangle { .. } | Outline::RoundedRectangle { .. } | Outline::Ellipse { .. } => {
                [true, true]
            }
            Outline::Shape(ref shape) => shape.mirrored(|| self.mirrored_rim()),
        }
    }

    /// A shape is symmetric when points all along its rim, mirrored, lie on it.
    fn mirrored_rim(&self) -> [bool; 2] {
        const PER_PIECE: NonZeroUsize = NonZeroUsize::new(3).expect("3 is positive");
        let (width, height) = self.bounding_box();
        let size = width.max(height);
        let rim = self.rim(size / 32.0, PER_PIECE);
        let on_rim = |point: [f64; 2]| self.distance_inside(point).abs() <= 1e-5 * size;
        [
            rim.iter().all(|p| on_rim([width - p.position[0], p.position[1]])),
            rim.iter().all(|p| on_rim([p.position[0], height - p.position[1]])),
        ]
    }

    /// Number of contours: the outer one and the cut-outs.
    pub fn contours(&self) -> usize {
        match self {
            Outline::Shape(shape) => shape.contours().len(),
            _ => 1,
        }
    }

    /// The contours as closed polygons, the last point not repeated, nowhere farther than `tolerance` [m] from the true curve.
    pub fn polylines(&self, tolerance: f64) -> Vec<Vec<[f64; 2]>> {
        self.curves().iter().map(|curve| curve.polyline(tolerance)).collect()
    }

    /// Gauss nodes along all contours, `per_piece` on every stretch of at most `longest` [m], corners never inside a stretch.
    pub fn rim(&self, longest: f64, per_piece: NonZeroUsize) -> Vec<RimPoint> {
        let curves = self.curves();
        curves.iter().enumerate().flat_map(|(i, curve)| curve.rim(longest, per_piece, i)).collect()
    }

    /// For each of the vertical lines at `x` [m] the stretches of it that lie in the material, bottom to top [m].
    pub fn columns(&self, x: impl IntoIterator<Item = f64>) -> impl Iterator<Item = Vec<[f64; 2]>> {
        let index = index::Index::of(&self.curves());
        x.into_iter().map(move |x| index.column(x))
    }

    /// Necks narrower than `narrowest` [m], between two parts of the rim or between rim and cut-out, each where it is narrowest.
    pub fn thin_places(&self, narrowest: f64) -> Vec<Fault> {
        if narrowest > 0.0 && narrowest.is_finite() { thin::thin_places(self, narrowest) } else { vec![] }
    }
}
