//! The panel's outline.

use serde::{Deserialize, Serialize};

/// One side of a rectangular panel, as the listener sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// x = 0.
    Left,
    /// y = 0.
    Bottom,
    /// x = width.
    Right,
    /// y = height.
    Top,
}

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
}
