//! Finds triangles of a surface near a point, in a box and along a ray, among very many.

use super::Surface;
use nalgebra::Vector3;
use rstar::{AABB, PointDistance, RTree, RTreeObject, SelectionFunction};
use std::cell::Cell;

/// Rays count as hitting a triangle this share of its size beyond its sides, so that none slips through between two.
const SLACK: f64 = 1e-9;

/// A triangle with its box.
#[derive(Clone, Debug)]
pub(super) struct Facet {
    corners: [Vector3<f64>; 3],
    bounds: AABB<[f64; 3]>,
    triangle: usize,
}

impl RTreeObject for Facet {
    type Envelope = AABB<[f64; 3]>;

    fn envelope(&self) -> Self::Envelope {
        self.bounds
    }
}

impl PointDistance for Facet {
    fn distance_2(&self, &point: &[f64; 3]) -> f64 {
        let point = Vector3::from(point);
        (nearest_of(self.corners, point) - point).norm_squared()
    }
}

/// The triangles of a surface, or of a part of it.
#[derive(Clone, Debug)]
pub(super) struct Index {
    tree: RTree<Facet>,
}

impl Index {
    /// Of all triangles.
    pub fn of(surface: &Surface) -> Self {
        Self::of_some(surface, 0..surface.triangles.len())
    }

    /// Of some triangles.
    pub fn of_some(surface: &Surface, triangles: impl IntoIterator<Item = usize>) -> Self {
        let facet = |triangle| {
            let corners = surface.corners(triangle);
            let [low, high] = box_around(corners);
            Facet { corners, bounds: AABB::from_corners(low.into(), high.into()), triangle }
        };
        Self { tree: RTree::bulk_load(triangles.into_iter().map(facet).collect()) }
    }

    /// The point nearest to `point`, and its triangle.
    pub fn nearest(&self, point: Vector3<f64>) -> Option<(Vector3<f64>, usize)> {
        let facet = self.tree.nearest_neighbor(point.into())?;
        Some((nearest_of(facet.corners, point), facet.triangle))
    }

    /// The point nearest to `point` that is not farther than `reach` [m]. The nearer the reach, the quicker.
    pub fn nearest_within(&self, point: Vector3<f64>, reach: f64) -> Option<Vector3<f64>> {
        let ball = Ball { centre: point.into(), square: Cell::new(reach * reach) };
        let facet = self.tree.locate_with_selection_function(&ball).last()?;
        Some(nearest_of(facet.corners, point))
    }

    /// The point nearest to `point` on a triangle that `accept` lets through, not farther than `reach` [m], and the triangle.
    pub fn nearest_accepted(
        &self,
        point: Vector3<f64>,
        reach: f64,
        accept: impl Fn(usize) -> bool,
    ) -> Option<(Vector3<f64>, usize)> {
        // The first one will mostly do, and is found without a queue.
        let (first, triangle) = self.nearest(point)?;
        if (first - point).norm() > reach {
            return None;
        }
        if accept(triangle) {
            return Some((first, triangle));
        }
        let near = self.tree.nearest_neighbor_iter_with_distance_2(point.into());
        let within = near.take_while(|(_, square)| *square <= reach * reach);
        let (facet, _) = within.into_iter().find(|(facet, _)| accept(facet.triangle))?;
        Some((nearest_of(facet.corners, point), facet.triangle))
    }

    /// Triangles whose boxes meet the box of `low` and `high`.
    pub fn in_box(&self, low: Vector3<f64>, high: Vector3<f64>) -> impl Iterator<Item = usize> + '_ {
        let envelope = AABB::from_corners(low.into(), high.into());
        self.tree.locate_in_envelope_intersecting(envelope).map(|facet| facet.triangle)
    }

    /// Distance [m] to the first triangle along a ray with unit `direction` that `accept` lets through, and the triangle.
    pub fn first_hit(
        &self,
        origin: Vector3<f64>,
        direction: Vector3<f64>,
        accept: impl Fn(usize) -> bool,
    ) -> Option<(f64, usize)> {
        let ray = Ray {
            origin,
            inverse: direction.map(f64::recip),
            direction,
            limit: Cell::new(f64::INFINITY),
            accept,
        };
        self.tree.locate_with_selection_function(&ray).last().map(|facet| (ray.limit.get(), facet.triangle))
    }
}

/// Lets through triangles that are not farther than all before.
struct Ball {
    centre: [f64; 3],
    /// Square of the distance of the nearest so far [m²].
    square: Cell<f64>,
}

impl SelectionFunction<Facet> for &Ball {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 3]>) -> bool {
        envelope.distance_2(&self.centre) <= self.square.get()
    }

    fn should_unpack_leaf(&self, facet: &Facet) -> bool {
        let square = facet.distance_2(&self.centre);
        let nearer = square <= self.square.get();
        if nearer {
            self.square.set(square);
        }
        nearer
    }
}

/// Lets through triangles that are hit nearer than all before.
struct Ray<Accept> {
    origin: Vector3<f64>,
    direction: Vector3<f64>,
    inverse: Vector3<f64>,
    limit: Cell<f64>,
    accept: Accept,
}

impl<Accept: Fn(usize) -> bool> SelectionFunction<Facet> for &Ray<Accept> {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 3]>) -> bool {
        let (low, high) = (Vector3::from(envelope.lower()), Vector3::from(envelope.upper()));
        let (to_low, to_high) = (
            (low - self.origin).component_mul(&self.inverse),
            (high - self.origin).component_mul(&self.inverse),
        );
        // NaN, where the ray runs in a side of the box, must not rule the box out.
        let enters = (0..3).map(|k| to_low[k].min(to_high[k])).fold(0.0, f64::max);
        let leaves = (0..3).map(|k| to_low[k].max(to_high[k])).fold(self.limit.get(), f64::min);
        enters <= leaves * (1.0 + SLACK)
    }

    fn should_unpack_leaf(&self, facet: &Facet) -> bool {
        let hit = hit(facet.corners, self.origin, self.direction);
        let Some(distance) = hit.filter(|&t| t < self.limit.get() && (self.accept)(facet.triangle)) else {
            return false;
        };
        self.limit.set(distance);
        true
    }
}

/// Where a ray hits a triangle [m along it] (Möller & Trumbore, Fast, minimum storage ray-triangle intersection, 1997).
fn hit([a, b, c]: [Vector3<f64>; 3], origin: Vector3<f64>, direction: Vector3<f64>) -> Option<f64> {
    let (ab, ac) = (b - a, c - a);
    let p = direction.cross(&ac);
    let determinant = ab.dot(&p);
    let s = origin - a;
    let q = s.cross(&ab);
    let (u, v, t) = (s.dot(&p) / determinant, direction.dot(&q) / determinant, ac.dot(&q) / determinant);
    (u >= -SLACK && v >= -SLACK && u + v <= 1.0 + SLACK && t >= 0.0).then_some(t)
}

/// Lower and upper corner of the box around three points.
pub(super) fn box_around([a, b, c]: [Vector3<f64>; 3]) -> [Vector3<f64>; 2] {
    [a.inf(&b).inf(&c), a.sup(&b).sup(&c)]
}

/// The point of a triangle nearest to `p` (Ericson, Real-Time Collision Detection, 2005, section 5.1.5).
pub(super) fn nearest_of([a, b, c]: [Vector3<f64>; 3], p: Vector3<f64>) -> Vector3<f64> {
    let (ab, ac) = (b - a, c - a);
    let dots = |x: Vector3<f64>| (ab.dot(&x), ac.dot(&x));
    let ((d1, d2), (d3, d4), (d5, d6)) = (dots(p - a), dots(p - b), dots(p - c));
    let (va, vb, vc) = (d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2);
    let inside = va > 0.0 && vb > 0.0 && vc > 0.0;
    if inside {
        let total = va + vb + vc;
        return a + ab * (vb / total) + ac * (vc / total);
    }
    let sides = [on_side(a, b, p), on_side(b, c, p), on_side(c, a, p)];
    let square = |q: &Vector3<f64>| (q - p).norm_squared();
    sides.into_iter().min_by(|x, y| square(x).total_cmp(&square(y))).unwrap_or(a)
}

/// The point of a side nearest to `p`.
pub(super) fn on_side(a: Vector3<f64>, b: Vector3<f64>, p: Vector3<f64>) -> Vector3<f64> {
    let (ab, square) = (b - a, (b - a).norm_squared());
    if square > 0.0 { a + ab * ((p - a).dot(&ab) / square).clamp(0.0, 1.0) } else { a }
}
