//! Lids for small flat holes.

use crate::Surface;
use nalgebra::Vector3;
use robust::{Coord, orient2d};

/// A hole is small when its rim is no longer than this share of the surface's diagonal.
const SMALL: f64 = 0.15;
/// A hole is flat when its rim leaves a plane by at most this share of the rim's length.
const FLAT: f64 = 1e-3;
/// Sides of a rim at most.
const MOST_SIDES: usize = 200;

/// Triangles that close a rim that runs along the triangles at it; none if the hole is neither a single triangle nor small and flat.
pub fn lid(surface: &Surface, rim: &[u32], diagonal: f64) -> Option<Vec<[u32; 3]>> {
    if rim.len() < 3 || rim.len() > MOST_SIDES {
        return None;
    }
    // The lid runs against its neighbours.
    let rim: Vec<u32> = rim.iter().rev().copied().collect();
    if let [a, b, c] = rim[..] {
        return Some(vec![[a, b, c]]);
    }
    let points: Vec<_> = rim.iter().map(|&point| surface.points[point as usize]).collect();
    let next = points.iter().cycle().skip(1);
    let length: f64 = points.iter().zip(next.clone()).map(|(a, b)| (b - a).norm()).sum();
    let middle = points.iter().sum::<Vector3<f64>>() / points.len() as f64;
    let area: Vector3<f64> =
        points.iter().zip(next).map(|(a, b)| 0.5 * (a - middle).cross(&(b - middle))).sum();
    let normal = area.try_normalize(0.0)?;
    let flat = points.iter().all(|point| (point - middle).dot(&normal).abs() <= FLAT * length);
    if !flat || length > SMALL * diagonal {
        return None;
    }
    let across = normal.cross(&Vector3::ith(normal.iamin(), 1.0)).normalize();
    let up = normal.cross(&across);
    let plane: Vec<_> = points.iter().map(|p| Coord { x: p.dot(&across), y: p.dot(&up) }).collect();
    Some(ears(&plane)?.into_iter().map(|corners| corners.map(|i| rim[i])).collect())
}

/// Cuts a counter-clockwise polygon into triangles, ear by ear; none if it crosses itself.
fn ears(plane: &[Coord<f64>]) -> Option<Vec<[usize; 3]>> {
    let mut left: Vec<usize> = (0..plane.len()).collect();
    let mut triangles = vec![];
    while left.len() > 3 {
        let count = left.len();
        let corners = |i: usize| [left[(i + count - 1) % count], left[i], left[(i + 1) % count]];
        let ear = (0..count).find(|&i| is_ear(plane, &left, corners(i)))?;
        triangles.push(corners(ear));
        left.remove(ear);
    }
    triangles.push([left[0], left[1], left[2]]);
    Some(triangles)
}

fn is_ear(plane: &[Coord<f64>], left: &[usize], corners: [usize; 3]) -> bool {
    let [a, b, c] = corners.map(|i| plane[i]);
    let inside =
        |p: Coord<f64>| orient2d(a, b, p) >= 0.0 && orient2d(b, c, p) >= 0.0 && orient2d(c, a, p) >= 0.0;
    orient2d(a, b, c) > 0.0 && !left.iter().any(|i| !corners.contains(i) && inside(plane[*i]))
}
