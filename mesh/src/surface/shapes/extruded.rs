//! Shared by slabs: chains of points at several heights, with faces at both ends.

use super::face::face;
use crate::Surface;
use nalgebra::Vector3;

/// A chain of points of an outline, with the way in which each moves per metre of inset.
#[derive(Clone, Debug)]
pub struct Chain {
    /// Where [m].
    pub points: Vec<[f64; 2]>,
    /// Motion per inset: one metre across both sides that meet.
    pub inwards: Vec<[f64; 2]>,
    /// True if the last point is followed by the first.
    pub closed: bool,
}

impl Chain {
    /// Its points moved inwards by `inset` [m].
    pub fn inset(&self, inset: f64) -> Vec<[f64; 2]> {
        let moved = |(point, way): (&[f64; 2], &[f64; 2])| [0, 1].map(|k| point[k] + inset * way[k]);
        self.points.iter().zip(&self.inwards).map(moved).collect()
    }
}

/// Adds points at a height.
pub fn add(surface: &mut Surface, points: &[[f64; 2]], height: f64) -> Vec<u32> {
    let first = surface.points.len() as u32;
    surface.points.extend(points.iter().map(|&[x, y]| Vector3::new(x, y, height)));
    (first..surface.points.len() as u32).collect()
}

/// Squares between two chains with as many points, the second one above, each cut along its shorter diagonal.
pub fn wall(surface: &mut Surface, low: &[u32], high: &[u32], closed: bool, patch: u16) {
    let count = low.len();
    for i in 0..if closed { count } else { count - 1 } {
        let j = (i + 1) % count;
        let [a, b, c, d] = [low[i], low[j], high[j], high[i]];
        let length = |p: u32, q: u32| (surface.points[p as usize] - surface.points[q as usize]).norm();
        // Ties go by place, so that both halves of a straight side are cut alike.
        let pair = if length(a, c) < length(b, d) { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
        surface.triangles.extend(pair);
        surface.patches.extend([patch; 2]);
    }
}

/// Fills a face at a height between rims of points that are there already; `up` says where it looks. None if the rims cross.
pub fn lid(surface: &mut Surface, rims: &[Vec<u32>], length: f64, up: bool, patch: u16) -> Option<()> {
    let place = |&point: &u32| {
        let place = surface.points[point as usize];
        [place.x, place.y]
    };
    let flat: Vec<Vec<_>> = rims.iter().map(|rim| rim.iter().map(place).collect()).collect();
    let height = surface.points[*rims.first()?.first()? as usize].z;
    let filled = face(&flat, length)?;
    let mut numbers: Vec<u32> = rims.concat();
    numbers.extend(add(surface, &filled.inner, height));
    for [a, b, c] in filled.triangles.iter().map(|corners| corners.map(|point| numbers[point])) {
        surface.triangles.push(if up { [a, b, c] } else { [a, c, b] });
        surface.patches.push(patch);
    }
    Some(())
}
