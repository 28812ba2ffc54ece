//! Spheres in nearly equal curved triangles.

use super::{QuadraticSurface, Surface};
use nalgebra::Vector3;
use std::collections::HashMap;

/// The sphere of `radius` [m] around the origin, from an icosahedron whose sides are cut into `cuts`: `20 cuts²` elements, all points on
/// the sphere. The largest sides are `1.05 radius / cuts` and some 15 % longer in the middle of the icosahedron's faces.
pub fn sphere(radius: f64, cuts: usize) -> QuadraticSurface {
    let mut corners = vec![];
    let golden = 0.5 * (1.0 + 5f64.sqrt());
    for (a, b) in [(1.0, golden), (-1.0, golden), (1.0, -golden), (-1.0, -golden)] {
        corners.extend([[0.0, a, b], [a, b, 0.0], [b, 0.0, a]].map(|p| Vector3::from(p).normalize()));
    }
    let near = |a: &Vector3<f64>, b: &Vector3<f64>| (a - b).norm() < 1.1;
    let mut shared = Shared::default();
    for (i, a) in corners.iter().enumerate() {
        for (j, b) in corners.iter().enumerate().skip(i + 1) {
            for c in corners.iter().skip(j + 1).filter(|c| near(a, b) && near(a, c) && near(b, c)) {
                let outwards = (b - a).cross(&(c - a)).dot(a) > 0.0;
                shared.cut_face(if outwards { [*a, *b, *c] } else { [*a, *c, *b] }, cuts.max(1));
            }
        }
    }
    let mut sphere = QuadraticSurface::curved(&shared.surface, |[a, b]| (a + b).normalize());
    sphere.points.iter_mut().for_each(|point| *point *= radius);
    sphere
}

/// Triangles with points found by position.
#[derive(Default)]
struct Shared {
    surface: Surface,
    found: HashMap<[i64; 3], u32>,
}

impl Shared {
    fn point(&mut self, point: Vector3<f64>) -> u32 {
        let key = [point.x, point.y, point.z].map(|x| (x * 1e8).round() as i64);
        let points = &mut self.surface.points;
        *self.found.entry(key).or_insert_with(|| {
            points.push(point);
            points.len() as u32 - 1
        })
    }

    fn cut_face(&mut self, [a, b, c]: [Vector3<f64>; 3], cuts: usize) {
        let at = |i: usize, j: usize| (a * (cuts - i - j) as f64 + b * i as f64 + c * j as f64).normalize();
        for (i, j) in (0..cuts).flat_map(|i| (0..cuts - i).map(move |j| (i, j))) {
            self.triangle([at(i, j), at(i + 1, j), at(i, j + 1)]);
            if i + j + 2 <= cuts {
                self.triangle([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
        }
    }

    fn triangle(&mut self, corners: [Vector3<f64>; 3]) {
        let triangle = corners.map(|corner| self.point(corner));
        self.surface.triangles.push(triangle);
        self.surface.patches.push(0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sphere_is_closed_round_and_outwards() {
        let sphere = sphere(2.0, 3);
        // Euler: faces − edges + corners = 2, with a point on every edge.
        assert_eq!(sphere.elements.len(), 20 * 9);
        assert_eq!(sphere.points.len(), 4 * 20 * 9 / 2 + 2);
        assert!(sphere.points.iter().all(|point| (point.norm() - 2.0).abs() < 1e-14));
        for &[a, b, c, ..] in &sphere.elements {
            let [a, b, c] = [a, b, c].map(|i| sphere.points[i as usize]);
            assert!((b - a).cross(&(c - a)).dot(&a) > 0.0);
        }
    }
}
