//! Figures of a mesh.

use crate::Surface;
use crate::surface::sides::{by_edge, sides};
use nalgebra::Vector3;

/// How good the triangles of a surface are.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Quality {
    /// Triangles.
    pub elements: usize,
    /// Smallest angle of any triangle [rad].
    pub smallest_angle: f64,
    /// Mean over the triangles of their smallest angles [rad].
    pub mean_smallest_angle: f64,
    /// Mean length of sides [m].
    pub mean_side: f64,
    /// Longest side [m].
    pub longest_side: f64,
}

impl Quality {
    /// Of a surface; zeros if it has no triangles.
    pub fn of(surface: &Surface) -> Self {
        let sides = sides(surface);
        let length = |[a, b]: [u32; 2]| (surface.points[a as usize] - surface.points[b as usize]).norm();
        let lengths: Vec<_> = by_edge(&sides).map(|run| length(run[0].edge)).collect();
        let elements = surface.triangles.len();
        if elements == 0 || lengths.is_empty() {
            return Self::default();
        }
        let angles: Vec<_> =
            (0..elements).map(|triangle| smallest_angle(surface.corners(triangle))).collect();
        Self {
            elements,
            smallest_angle: angles.iter().copied().fold(f64::INFINITY, f64::min),
            mean_smallest_angle: angles.iter().sum::<f64>() / elements as f64,
            mean_side: lengths.iter().sum::<f64>() / lengths.len() as f64,
            longest_side: lengths.iter().copied().fold(0.0, f64::max),
        }
    }
}

/// Smallest angle [rad] of a triangle: opposite its shortest side.
pub(super) fn smallest_angle([a, b, c]: [Vector3<f64>; 3]) -> f64 {
    let sides = [c - b, a - c, b - a];
    let shortest =
        (0..3).min_by(|&i, &j| sides[i].norm_squared().total_cmp(&sides[j].norm_squared())).unwrap_or(0);
    let (u, v) = (sides[(shortest + 1) % 3], sides[(shortest + 2) % 3]);
    u.cross(&v).norm().atan2(-u.dot(&v))
}
