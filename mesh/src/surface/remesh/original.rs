//! The surface as it was: where new points and triangles belong.

use super::features::Features;
use super::quality::smallest_angle;
use super::work::normal;
use crate::Surface;
use crate::surface::index::Index;
use nalgebra::Vector3;
use rayon::prelude::*;

/// A triangle may leave the original surface by this share of its longest side.
const OF_THE_SIDE: f64 = 0.06;
/// And by this share of the wall behind it or the slit before it.
const OF_THE_CLEARANCE: f64 = 0.1;
/// Cosine of the largest angle between a triangle and the original where they lie together, 40°.
const ALIKE: f64 = 0.766;
/// Cosine of the angle by which one step may turn a triangle, 60°.
const ONE_STEP: f64 = 0.5;
/// A region is plane when its normals agree to this much.
const PLANE: f64 = 1e-10;
/// No triangle is made with a smaller angle [rad], one degree, unless it was there before.
const SLIVER: f64 = 0.017;

/// The original surface, sorted by regions and lines.
pub struct Original {
    regions: Vec<Region>,
    lines: Vec<Index>,
    normals: Vec<Vector3<f64>>,
    clearances: Vec<f64>,
    /// Patch of every region.
    pub patches: Vec<u16>,
}

struct Region {
    index: Index,
    plane: bool,
}

impl Original {
    pub fn of(surface: &Surface, features: &Features) -> Self {
        let count = surface.triangles.len();
        let normals: Vec<_> =
            (0..count).map(|t| surface.area_vector(t).try_normalize(0.0).unwrap_or_default()).collect();
        let mut members = vec![vec![]; features.region_count];
        let mut patches = vec![0; features.region_count];
        for (triangle, &region) in features.regions.iter().enumerate() {
            members[region as usize].push(triangle);
            patches[region as usize] = surface.patches[triangle];
        }
        let region = |members: Vec<usize>| Region {
            plane: members.iter().all(|&t| normals[t].dot(&normals[members[0]]) > 1.0 - PLANE),
            index: Index::of_some(surface, members),
        };
        let regions = members.into_iter().map(region).collect();
        Self {
            regions,
            lines: lines(surface, features),
            clearances: clearances(surface, &normals),
            normals,
            patches,
        }
    }

    /// The nearest point [m] of a region.
    pub fn in_region(&self, region: u32, point: Vector3<f64>, normal: Vector3<f64>) -> Vector3<f64> {
        let region = &self.regions[region as usize];
        let alike = |triangle: usize| self.normals[triangle].dot(&normal) > 0.0;
        region.index.nearest_accepted(point, f64::INFINITY, alike).map_or(point, |(nearest, _)| nearest)
    }

    /// The nearest point [m] of a line.
    pub fn on_line(&self, line: u32, point: Vector3<f64>) -> Vector3<f64> {
        self.lines[line as usize].nearest(point).map_or(point, |(nearest, _)| nearest)
    }

    /// True if a straight stretch between two points of a line keeps near it.
    pub fn line_fits(&self, line: u32, [a, b]: [Vector3<f64>; 2]) -> bool {
        let near = |share: f64| {
            let point = a + (b - a) * share;
            (self.on_line(line, point) - point).norm() <= OF_THE_SIDE * (b - a).norm()
        };
        near(0.5) && near(0.25) && near(0.75)
    }

    /// True if a triangle may take the place of `before` [m]: not turned over, no sliver, near the original and facing like it.
    pub fn fits(&self, region: u32, before: [Vector3<f64>; 3], after: [Vector3<f64>; 3]) -> bool {
        let normal = normal(after).try_normalize(0.0);
        is_gentle(before, after) && normal.is_some_and(|normal| self.lies_on(region, after, normal))
    }

    /// True if a triangle of a region lies near the original and faces like it.
    pub fn lies_on(&self, region: u32, [a, b, c]: [Vector3<f64>; 3], normal: Vector3<f64>) -> bool {
        let region = &self.regions[region as usize];
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        let near = |point: Vector3<f64>| {
            let found = region
                .index
                .nearest_accepted(point, OF_THE_SIDE * longest, |t| self.normals[t].dot(&normal) > ALIKE);
            found
                .is_some_and(|(nearest, t)| (nearest - point).norm() <= OF_THE_CLEARANCE * self.clearances[t])
        };
        let plane = || region.index.nearest(a).is_some_and(|(_, t)| self.normals[t].dot(&normal) > ALIKE);
        if region.plane {
            plane()
        } else {
            [(a + b + c) / 3.0, 0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a)].into_iter().all(near)
        }
    }
}

/// True if a triangle is not turned over when it takes the place of `before` [m], and no sliver.
pub fn is_gentle(before: [Vector3<f64>; 3], after: [Vector3<f64>; 3]) -> bool {
    let (old, new) = (normal(before), normal(after));
    let turned = old.dot(&new) < ONE_STEP * old.norm() * new.norm();
    !turned && new.norm() > 0.0 && smallest_angle(after) >= SLIVER.min(0.5 * smallest_angle(before))
}

/// The lines as triangles without height.
fn lines(surface: &Surface, features: &Features) -> Vec<Index> {
    let mut edges: Vec<_> = features.lines.iter().map(|(&edge, &line)| (line, edge)).collect();
    edges.sort_unstable();
    let triangles = edges.iter().map(|(_, [a, b])| [*a, *b, *b]).collect();
    let flat = Surface { points: surface.points.clone(), triangles, patches: vec![] };
    let mut members = vec![vec![]; features.line_count];
    edges.iter().enumerate().for_each(|(number, (line, _))| members[*line as usize].push(number));
    members.into_iter().map(|members| Index::of_some(&flat, members)).collect()
}

/// For every triangle the shorter [m] of the ways straight inwards and outwards to where the surface faces against it.
fn clearances(surface: &Surface, normals: &[Vector3<f64>]) -> Vec<f64> {
    let index = Index::of(surface);
    let clearance = |triangle: usize| {
        let [a, b, c] = surface.corners(triangle);
        let normal = normals[triangle];
        let against = |other: usize| normals[other].dot(&normal) < -0.5;
        let way = |direction| index.first_hit((a + b + c) / 3.0, direction, against);
        [way(normal), way(-normal)]
            .into_iter()
            .flatten()
            .map(|(length, _)| length)
            .fold(f64::INFINITY, f64::min)
    };
    (0..normals.len()).into_par_iter().map(clearance).collect()
}
