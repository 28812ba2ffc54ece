//! Triangulated surfaces of bodies.

pub mod check;
mod index;
mod meeting;
mod quadratic;
pub mod remesh;
#[cfg(test)]
mod samples;
pub mod shapes;
mod sides;
mod sphere;
pub mod stl;
mod symmetry;
mod weld;

pub use quadratic::QuadraticSurface;
pub use sphere::sphere;
pub use symmetry::{Mirror, NotSymmetric};
pub use weld::Welded;

use nalgebra::Vector3;
use std::collections::HashMap;

/// Triangles between shared points, in metres. Seen from outside the body the corners run counter-clockwise, so that normals point
/// outwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Surface {
    /// Points [m].
    pub points: Vec<Vector3<f64>>,
    /// Corners of every triangle, indices into `points`.
    pub triangles: Vec<[u32; 3]>,
    /// Patch that every triangle belongs to: what moves, absorbs or is rigid together.
    pub patches: Vec<u16>,
}

/// An undirected edge: the smaller index first.
pub type Edge = [u32; 2];

impl Surface {
    /// Corners [m] of a triangle.
    pub fn corners(&self, triangle: usize) -> [Vector3<f64>; 3] {
        self.triangles[triangle].map(|point| self.points[point as usize])
    }

    /// Half the cross product of two sides [m²]: along the outward normal, as long as the triangle is large.
    pub fn area_vector(&self, triangle: usize) -> Vector3<f64> {
        let [a, b, c] = self.corners(triangle);
        0.5 * (b - a).cross(&(c - a))
    }

    /// Area [m²].
    pub fn area(&self) -> f64 {
        (0..self.triangles.len()).map(|triangle| self.area_vector(triangle).norm()).sum()
    }

    /// Enclosed volume [m³] of a closed surface; negative when it is inside out.
    pub fn volume(&self) -> f64 {
        (0..self.triangles.len()).map(|t| self.corners(t)[0].dot(&self.area_vector(t)) / 3.0).sum()
    }

    /// The triangles at every edge, each with the index (0 to 2) of the edge in it; edge i runs from corner i to the next one.
    pub fn edges(&self) -> HashMap<Edge, Vec<(usize, usize)>> {
        let mut edges: HashMap<Edge, Vec<(usize, usize)>> = HashMap::new();
        for (triangle, corners) in self.triangles.iter().enumerate() {
            for side in 0..3 {
                edges.entry(edge(corners[side], corners[(side + 1) % 3])).or_default().push((triangle, side));
            }
        }
        edges
    }

    /// Both surfaces in one; patches keep their numbers.
    pub fn joined(mut self, other: &Self) -> Self {
        let first = self.points.len() as u32;
        self.points.extend(&other.points);
        self.triangles.extend(other.triangles.iter().map(|corners| corners.map(|point| point + first)));
        self.patches.extend(&other.patches);
        self
    }
}

/// The edge between two points.
pub fn edge(a: u32, b: u32) -> Edge {
    [a.min(b), a.max(b)]
}
