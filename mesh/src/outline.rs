//! The panel's outline.

use crate::{Axis, RimPoint};
use serde::{Deserialize, Serialize};
use std::num::NonZeroUsize;

/// Outline of a panel. Other shapes get their own variant; every consumer matches exhaustively.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "shape", rename_all = "lowercase")]
pub enum Outline {
    /// Axis-parallel rectangle with its lower left corner at the origin.
    Rectangle {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
    },
}

impl Outline {
    /// `(width, height)` [m] of the bounding box, whose lower left corner is the origin.
    pub fn bounding_box(&self) -> (f64, f64) {
        match *self {
            Outline::Rectangle { width, height } => (width, height),
        }
    }

    /// Area [m²].
    pub fn area(&self) -> f64 {
        match *self {
            Outline::Rectangle { width, height } => width * height,
        }
    }

    /// Perimeter [m].
    pub fn perimeter(&self) -> f64 {
        match *self {
            Outline::Rectangle { width, height } => 2.0 * (width + height),
        }
    }

    /// Middle of the bounding box [m].
    pub fn centre(&self) -> [f64; 2] {
        let (width, height) = self.bounding_box();
        [0.5 * width, 0.5 * height]
    }

    /// Smallest distance [m] from a point to the outline; negative outside.
    pub fn distance_inside(&self, [x, y]: [f64; 2]) -> f64 {
        match *self {
            Outline::Rectangle { width, height } => x.min(width - x).min(y).min(height - y),
        }
    }

    /// True for a point of the panel, its boundary included.
    pub fn contains(&self, point: [f64; 2]) -> bool {
        self.distance_inside(point) >= 0.0
    }

    /// True when mirroring about the vertical (first) or horizontal (second) middle line changes nothing.
    pub fn mirror_symmetry(&self) -> [bool; 2] {
        match *self {
            Outline::Rectangle { .. } => [true, true],
        }
    }

    /// Number of contours: the outer one and the cut-outs.
    pub fn contours(&self) -> usize {
        self.polylines(f64::INFINITY).len()
    }

    /// The contours as closed polygons, the last point not repeated, nowhere farther than `tolerance` [m] from the true curve.
    /// The outer one runs counter-clockwise, cut-outs clockwise: the material lies to the left. A rectangle starts at the lower left.
    pub fn polylines(&self, _tolerance: f64) -> Vec<Vec<[f64; 2]>> {
        match *self {
            Outline::Rectangle { width, height } => {
                vec![vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]]
            }
        }
    }

    /// Gauss nodes along all contours, `per_piece` on every stretch of at most `longest` [m].
    pub fn rim(&self, longest: f64, per_piece: NonZeroUsize) -> Vec<RimPoint> {
        match *self {
            Outline::Rectangle { .. } => {
                let corners = &self.polylines(f64::INFINITY)[0];
                let ends = corners.iter().zip(corners.iter().cycle().skip(1));
                let mut start = 0.0;
                let side = |(&from, &to): (&[f64; 2], &[f64; 2])| {
                    let nodes = straight(from, to, start, longest, per_piece);
                    start += (to[0] - from[0]).hypot(to[1] - from[1]);
                    nodes
                };
                ends.flat_map(side).collect()
            }
        }
    }
}

/// Nodes along a straight line of contour 0 that starts `start` [m] after the contour does.
fn straight(
    from: [f64; 2],
    to: [f64; 2],
    start: f64,
    longest: f64,
    per_piece: NonZeroUsize,
) -> Vec<RimPoint> {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dy);
    let pieces = (length / longest).ceil().max(1.0) as usize;
    let rule = Axis::gauss(length / pieces as f64, per_piece);
    let nodes = (0..pieces).flat_map(|piece| {
        let offset = length * piece as f64 / pieces as f64;
        rule.nodes.iter().map(move |node| offset + node).zip(rule.weights.iter().copied())
    });
    let normal = [dy / length, -dx / length];
    let point = |(along, weight): (f64, f64)| {
        let share = along / length;
        let position = [from[0] + share * dx, from[1] + share * dy];
        RimPoint { position, normal, weight, contour: 0, along: start + along }
    };
    nodes.map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rim_of_a_rectangle_closes_and_encloses_its_area() {
        let outline = Outline::Rectangle { width: 0.7, height: 0.4 };
        let rim = outline.rim(0.15, NonZeroUsize::new(3).expect("positive"));
        let sum = |f: fn(&RimPoint) -> f64| rim.iter().map(|p| p.weight * f(p)).sum::<f64>();
        approx::assert_relative_eq!(sum(|_| 1.0), outline.perimeter(), max_relative = 1e-12);
        approx::assert_relative_eq!(sum(|p| p.position[0] * p.normal[0]), 0.28, max_relative = 1e-12);
        approx::assert_relative_eq!(sum(|p| p.position[1] * p.normal[1]), 0.28, max_relative = 1e-12);
        assert!(rim.windows(2).all(|pair| pair[0].along < pair[1].along));
    }
}
