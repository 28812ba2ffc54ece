//! The mesh while it changes.

use super::features::{Features, Kind};
use super::original::Original;
use crate::{Edge, Surface, edge};
use nalgebra::Vector3;
use std::collections::HashMap;

/// A mesh in which triangles and points come and go.
pub struct Work {
    pub points: Vec<Vector3<f64>>,
    pub kinds: Vec<Kind>,
    /// Corners; those of triangles that went are none.
    pub triangles: Vec<Option<[u32; 3]>>,
    pub regions: Vec<u32>,
    /// Triangles at every point.
    pub around: Vec<Vec<u32>>,
    /// Edges that are kept, and their lines.
    pub lines: HashMap<Edge, u32>,
}

impl Work {
    pub fn begin(surface: &Surface, sharp: f64) -> (Self, Original) {
        let features = Features::of(surface, sharp);
        let original = Original::of(surface, &features);
        let mut around = vec![vec![]; surface.points.len()];
        for (triangle, corners) in surface.triangles.iter().enumerate() {
            corners.iter().for_each(|&point| around[point as usize].push(triangle as u32));
        }
        let Features { lines, regions, kinds, .. } = features;
        let triangles = surface.triangles.iter().copied().map(Some).collect();
        (Self { points: surface.points.clone(), kinds, triangles, regions, around, lines }, original)
    }

    pub fn finish(self, original: &Original) -> Surface {
        let alive = || {
            self.triangles
                .iter()
                .zip(&self.regions)
                .filter_map(|(corners, &region)| Some(((*corners)?, region)))
        };
        let mut numbers: HashMap<u32, u32> = HashMap::new();
        let mut surface = Surface::default();
        for (corners, region) in alive() {
            surface.triangles.push(corners.map(|old| {
                *numbers.entry(old).or_insert_with(|| {
                    surface.points.push(self.points[old as usize]);
                    surface.points.len() as u32 - 1
                })
            }));
            surface.patches.push(original.patches[region as usize]);
        }
        surface
    }

    pub fn at(&self, point: u32) -> Vector3<f64> {
        self.points[point as usize]
    }

    pub fn places(&self, corners: [u32; 3]) -> [Vector3<f64>; 3] {
        corners.map(|point| self.at(point))
    }

    pub fn length(&self, [a, b]: Edge) -> f64 {
        (self.at(a) - self.at(b)).norm()
    }

    /// Triangles at a point, with their corners.
    pub fn fan(&self, point: u32) -> impl Iterator<Item = (u32, [u32; 3])> + '_ {
        self.around[point as usize].iter().filter_map(|&t| Some((t, self.triangles[t as usize]?)))
    }

    /// Triangles at an edge.
    pub fn beside(&self, [a, b]: Edge) -> Vec<(u32, [u32; 3])> {
        self.fan(a).filter(|(_, corners)| corners.contains(&b)).collect()
    }

    /// All edges with their lengths, each once, in the order of triangles.
    pub fn edges(&self) -> Vec<(f64, Edge)> {
        let mut edges: Vec<_> = (self.triangles.iter().flatten())
            .flat_map(|&[a, b, c]| [edge(a, b), edge(b, c), edge(c, a)])
            .collect();
        edges.sort_unstable();
        edges.dedup();
        edges.into_iter().map(|edge| (self.length(edge), edge)).collect()
    }

    /// Neighbours of a point, sorted.
    pub fn neighbours(&self, point: u32) -> Vec<u32> {
        let mut others: Vec<_> =
            self.fan(point).flat_map(|(_, corners)| corners).filter(|&p| p != point).collect();
        others.sort_unstable();
        others.dedup();
        others
    }

    pub fn add(&mut self, corners: [u32; 3], region: u32) {
        let triangle = self.triangles.len() as u32;
        self.triangles.push(Some(corners));
        self.regions.push(region);
        corners.iter().for_each(|&point| self.around[point as usize].push(triangle));
    }

    pub fn remove(&mut self, triangle: u32) {
        for point in self.triangles[triangle as usize].take().into_iter().flatten() {
            self.around[point as usize].retain(|&t| t != triangle);
        }
    }

    /// Puts other corners into a triangle.
    pub fn replace(&mut self, triangle: u32, corners: [u32; 3]) {
        for point in self.triangles[triangle as usize].replace(corners).into_iter().flatten() {
            self.around[point as usize].retain(|&t| t != triangle);
        }
        corners.iter().for_each(|&point| self.around[point as usize].push(triangle));
    }

    pub fn add_point(&mut self, place: Vector3<f64>, kind: Kind) -> u32 {
        self.points.push(place);
        self.kinds.push(kind);
        self.around.push(vec![]);
        self.points.len() as u32 - 1
    }
}

/// The corners with `to` in the place of `from`.
pub fn exchanged(corners: [u32; 3], from: u32, to: u32) -> [u32; 3] {
    corners.map(|point| if point == from { to } else { point })
}

/// Not scaled normal of a triangle.
pub fn normal([a, b, c]: [Vector3<f64>; 3]) -> Vector3<f64> {
    (b - a).cross(&(c - a))
}
