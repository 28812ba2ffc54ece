//! Triangles for themselves: indices, numbers, area, doubles.

use super::fault::{Fault, Found, Place};
use crate::Surface;
use crate::surface::stl::FARTHEST;
use nalgebra::Vector3;

/// A triangle lower than this share of the surface's diagonal has no area: single precision cannot tell.
const NO_HEIGHT: f64 = 1e-7;
/// A triangle so many times longer than high is a needle.
const NEEDLE: f64 = 1e3;

/// What makes every further question meaningless.
pub fn malformed(surface: &Surface, found: &mut Found) {
    let (points, triangles, patches) = (surface.points.len(), surface.triangles.len(), surface.patches.len());
    if triangles == 0 {
        found.push(Fault::Empty);
    }
    if triangles != patches {
        found.push(Fault::Patches { triangles, patches });
    }
    for (triangle, corners) in surface.triangles.iter().enumerate() {
        let missing = corners.iter().filter(|&&point| point as usize >= points);
        found.extend(missing.map(|&point| Fault::NoSuchPoint { triangle, point, points }));
    }
    for (point, &at) in surface.points.iter().enumerate() {
        if !at.iter().all(|value| value.abs() <= FARTHEST) {
            found.push(Fault::NotFinite { point, at });
        }
    }
}

/// Triangles without area, needles and doubles.
pub fn degenerate(surface: &Surface, found: &mut Found) {
    let no_height = NO_HEIGHT * surface.diagonal();
    for triangle in 0..surface.triangles.len() {
        let at = Place(middle(surface, triangle));
        let (longest, height) = longest_and_height(surface, triangle);
        if height <= no_height {
            found.push(Fault::NoArea { triangle, at });
        } else if longest > NEEDLE * height {
            found.push(Fault::Needle { triangle, ratio: longest / height, at });
        }
    }
    for triangles in twice(surface) {
        found.push(Fault::Twice { triangles, at: Place(middle(surface, triangles[1])) });
    }
}

/// True for a triangle without area.
pub fn no_area(surface: &Surface, triangle: usize, diagonal: f64) -> bool {
    longest_and_height(surface, triangle).1 <= NO_HEIGHT * diagonal
}

/// Longest side and the height on it [m].
fn longest_and_height(surface: &Surface, triangle: usize) -> (f64, f64) {
    let [a, b, c] = surface.corners(triangle);
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let height = if longest > 0.0 { 2.0 * surface.area_vector(triangle).norm() / longest } else { 0.0 };
    (longest, height)
}

/// Middle [m] of a triangle.
pub fn middle(surface: &Surface, triangle: usize) -> Vector3<f64> {
    let [a, b, c] = surface.corners(triangle);
    (a + b + c) / 3.0
}

/// Pairs of triangles with the same corners: the first one and each further one.
pub fn twice(surface: &Surface) -> Vec<[usize; 2]> {
    let mut sorted: Vec<_> =
        surface.triangles.iter().copied().enumerate().map(|(t, corners)| (ordered(corners), t)).collect();
    sorted.sort_unstable();
    let mut pairs: Vec<_> = sorted
        .chunk_by(|a, b| a.0 == b.0)
        .flat_map(|same| same[1..].iter().map(|further| [same[0].1, further.1]))
        .collect();
    pairs.sort_unstable_by_key(|pair| pair[1]);
    pairs
}

fn ordered(mut corners: [u32; 3]) -> [u32; 3] {
    corners.sort_unstable();
    corners
}
