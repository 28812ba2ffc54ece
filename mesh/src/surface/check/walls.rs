//! How thick walls are, and how wide the air between them.

use super::Limits;
use super::fault::{Fault, Found, Place};
use crate::Surface;
use crate::surface::index::{Index, box_around, nearest_of};
use nalgebra::Vector3;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};

/// Samples lie at most this share of the surface's diagonal apart.
const SPACING: f64 = 1.0 / 64.0;
/// Rows of samples in one triangle, at most.
const MOST_ROWS: usize = 24;
/// Ways as long as the shortest but for rounding are looked for as well.
const ROUNDING: f64 = 1e-12;
/// The far side of a wall or slit faces away from the near one by at least 120°.
const OPPOSITE: f64 = 0.5;

/// A straight line from one place to another across a wall, a slit or a gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Its ends [m].
    pub ends: [Vector3<f64>; 2],
}

impl Span {
    /// Length [m].
    pub fn length(&self) -> f64 {
        (self.ends[1] - self.ends[0]).norm()
    }

    /// Middle [m].
    pub fn middle(&self) -> Vector3<f64> {
        0.5 * (self.ends[0] + self.ends[1])
    }

    fn shorter(self, other: Self) -> Self {
        if other.length() < self.length() { other } else { self }
    }
}

/// Thin walls and narrow slits under the limits.
pub fn faults(surface: &Surface, limits: &Limits, found: &mut Found) -> (Option<Span>, Option<Span>) {
    let (least_wall, least_slit) = (limits.wall, limits.slit);
    let wall = if least_wall > 0.0 { thinnest_wall(surface) } else { None };
    let slit = if least_slit > 0.0 { narrowest_slit(surface) } else { None };
    if let Some(span) = wall.filter(|span| span.length() < least_wall) {
        let at = Place(span.middle());
        found.push(Fault::ThinWall { thickness: span.length(), least: least_wall, at });
    }
    if let Some(span) = slit.filter(|span| span.length() < least_slit) {
        let at = Place(span.middle());
        found.push(Fault::NarrowSlit { width: span.length(), least: least_slit, at });
    }
    (wall, slit)
}

/// The thinnest wall of a closed surface: the shortest way from a sample of it straight inwards to where the surface faces away.
/// Samples lie a 64th of the diagonal apart or one in each triangle, whichever is finer.
pub fn thinnest_wall(surface: &Surface) -> Option<Span> {
    shortest(surface, -1.0)
}

/// The narrowest slit or gap of a closed surface: as [`thinnest_wall`], outwards.
pub fn narrowest_slit(surface: &Surface) -> Option<Span> {
    shortest(surface, 1.0)
}

fn shortest(surface: &Surface, outwards: f64) -> Option<Span> {
    let index = Index::of(surface);
    let spacing = SPACING * surface.diagonal();
    let across = |triangle| across(surface, &index, triangle, outwards, spacing);
    let each: Vec<_> = (0..surface.triangles.len()).into_par_iter().filter_map(across).collect();
    each.into_iter().reduce(Span::shorter)
}

/// The shortest way across from the samples of a triangle.
fn across(surface: &Surface, index: &Index, triangle: usize, outwards: f64, spacing: f64) -> Option<Span> {
    let normal = surface.area_vector(triangle).try_normalize(0.0)?;
    let direction = outwards * normal;
    let opposite = |other: usize| {
        let facing = surface.area_vector(other).try_normalize(0.0).map(|n| n.dot(&normal));
        other != triangle && facing.is_some_and(|cosine| cosine < -OPPOSITE)
    };
    let way = |origin| {
        let (length, _) = index.first_hit(origin, direction, opposite)?;
        Some(Span { ends: [origin, origin + length * direction] })
    };
    samples(surface.corners(triangle), spacing).filter_map(way).reduce(Span::shorter)
}

/// Middles of the small triangles that a triangle splits into, sides no longer than `spacing`.
fn samples([a, b, c]: [Vector3<f64>; 3], spacing: f64) -> impl Iterator<Item = Vector3<f64>> {
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let rows = ((longest / spacing).ceil() as usize).clamp(1, MOST_ROWS);
    let at = move |i: f64, j: f64| a + ((b - a) * i + (c - a) * j) / rows as f64;
    let pairs = (0..rows).flat_map(move |i| (0..rows - i).map(move |j| (i, j)));
    pairs.flat_map(move |(i, j)| {
        let (x, y) = (i as f64, j as f64);
        let down = (i + j + 1 < rows).then(|| at(x + 2.0 / 3.0, y + 2.0 / 3.0));
        [Some(at(x + 1.0 / 3.0, y + 1.0 / 3.0)), down].into_iter().flatten()
    })
}

/// The shortest way from one surface to another; of length 0 where a corner or a side of one meets a side or a face of the other, but
/// not told apart from a small gap where sides pierce faces: look for crossings of the joined surfaces first.
pub fn gap(one: &Surface, other: &Surface) -> Option<Span> {
    let (of_one, of_other) = (Index::of(one), Index::of(other));
    let there = from_corners(one, &of_other)?;
    let back = from_corners(other, &of_one)?;
    let by_corners = there.shorter(Span { ends: [back.ends[1], back.ends[0]] });
    let reach = Vector3::repeat(by_corners.length());
    let by_sides: Vec<_> = (0..one.triangles.len())
        .into_par_iter()
        .filter_map(|triangle| {
            let [low, high] = box_around(one.corners(triangle));
            let near = of_other.in_box(low - reach, high + reach);
            near.map(|partner| between_sides(one.corners(triangle), other.corners(partner)))
                .reduce(Span::shorter)
        })
        .collect();
    Some(by_sides.into_iter().fold(by_corners, Span::shorter))
}

/// The shortest way from a corner of a surface to another surface.
///
/// Corners know how short a way others have found: what is farther is not looked for. Which of the ways is the shortest does not depend on who was first.
fn from_corners(surface: &Surface, to: &Index) -> Option<Span> {
    // Lengths are not negative, so that their bits are in their order.
    let shortest = AtomicU64::new(f64::INFINITY.to_bits());
    let way = |&point: &Vector3<f64>| {
        let reach = f64::from_bits(shortest.load(Ordering::Relaxed));
        let span = Span { ends: [point, to.nearest_within(point, reach * (1.0 + ROUNDING))?] };
        shortest.fetch_min(span.length().to_bits(), Ordering::Relaxed);
        Some(span)
    };
    let ways: Vec<_> = surface.points.par_iter().filter_map(way).collect();
    ways.into_iter().reduce(Span::shorter)
}

/// The shortest way between the sides of two triangles.
fn between_sides(a: [Vector3<f64>; 3], b: [Vector3<f64>; 3]) -> Span {
    let pairs = (0..3).flat_map(|i| (0..3).map(move |j| (i, j)));
    let ways = pairs.map(|(i, j)| between_lines([a[i], a[(i + 1) % 3]], [b[j], b[(j + 1) % 3]]));
    ways.reduce(Span::shorter).unwrap_or(Span { ends: [a[0], nearest_of(b, a[0])] })
}

/// The shortest way between two lines (Ericson, Real-Time Collision Detection, 2005, section 5.1.9).
fn between_lines([p, q]: [Vector3<f64>; 2], [s, t]: [Vector3<f64>; 2]) -> Span {
    let (u, v, w) = (q - p, t - s, p - s);
    let (a, b, c, d, e) = (u.dot(&u), u.dot(&v), v.dot(&v), u.dot(&w), v.dot(&w));
    let determinant = a * c - b * b;
    let on_first =
        if determinant > 1e-14 * a * c { ((b * e - c * d) / determinant).clamp(0.0, 1.0) } else { 0.0 };
    let on_second = if c > 0.0 { ((b * on_first + e) / c).clamp(0.0, 1.0) } else { 0.0 };
    let on_first = if a > 0.0 { ((b * on_second - d) / a).clamp(0.0, 1.0) } else { 0.0 };
    Span { ends: [p + u * on_first, s + v * on_second] }
}
