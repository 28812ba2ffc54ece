//! Bodies to test with.

use nalgebra::Vector3;
use panelwright_mesh::{QuadraticSurface, Surface};
use std::collections::HashMap;

/// Points shared by position.
#[derive(Default)]
pub struct Builder {
    surface: Surface,
    found: HashMap<[i64; 3], u32>,
}

impl Builder {
    pub fn point(&mut self, point: Vector3<f64>) -> u32 {
        let key = [point.x, point.y, point.z].map(|x| (x * 1e8).round() as i64);
        let points = &mut self.surface.points;
        *self.found.entry(key).or_insert_with(|| {
            points.push(point);
            points.len() as u32 - 1
        })
    }

    pub fn triangle(&mut self, corners: [Vector3<f64>; 3], patch: u16) {
        let triangle = corners.map(|corner| self.point(corner));
        self.surface.triangles.push(triangle);
        self.surface.patches.push(patch);
    }

    /// A rectangle from `origin` along `u` and `v` in cells; `u × v` points outwards.
    pub fn rectangle(
        &mut self,
        origin: Vector3<f64>,
        [u, v]: [Vector3<f64>; 2],
        [m, n]: [usize; 2],
        patch: u16,
    ) {
        let at = |i: usize, j: usize| origin + u * (i as f64 / m as f64) + v * (j as f64 / n as f64);
        for (i, j) in (0..m).flat_map(|i| (0..n).map(move |j| (i, j))) {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            if (i + j) % 2 == 0 {
                self.triangle([a, b, c], patch);
                self.triangle([a, c, d], patch);
            } else {
                self.triangle([a, b, d], patch);
                self.triangle([b, c, d], patch);
            }
        }
    }

    pub fn finish(self) -> Surface {
        self.surface
    }
}

/// The unit sphere, 20 cuts² elements.
pub fn sphere(cuts: usize) -> QuadraticSurface {
    panelwright_mesh::sphere(1.0, cuts)
}

fn cut_face(builder: &mut Builder, [a, b, c]: [Vector3<f64>; 3], cuts: usize) {
    let n = cuts as f64;
    let at = |i: usize, j: usize| {
        let point = a * ((cuts - i - j) as f64 / n) + b * (i as f64 / n) + c * (j as f64 / n);
        point.normalize()
    };
    for i in 0..cuts {
        for j in 0..cuts - i {
            builder.triangle([at(i, j), at(i + 1, j), at(i, j + 1)], 0);
            if i + j + 2 <= cuts {
                builder.triangle([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)], 0);
            }
        }
    }
}

/// Eighth, quarter or half … of the unit sphere: the part of an octahedron's subdivision with all coordinates listed positive.
pub fn octasphere(cuts: usize, positive: [bool; 3]) -> QuadraticSurface {
    let mut builder = Builder::default();
    let signs = |along: usize| if positive[along] { vec![1.0] } else { vec![1.0, -1.0] };
    for x in signs(0) {
        for y in signs(1) {
            for z in signs(2) {
                let [a, b, c] = [x * Vector3::x(), y * Vector3::y(), z * Vector3::z()];
                let face = if x * y * z > 0.0 { [a, b, c] } else { [a, c, b] };
                cut_face(&mut builder, face, cuts);
            }
        }
    }
    QuadraticSurface::curved(&builder.finish(), |[a, b]| (a + b).normalize())
}

/// Unit sphere in rings of latitude; patch 1 is the cap around +z with polar angle up to `rim` [rad], whose rim is a ring.
pub fn capped_sphere(rim: f64, cap_rings: usize, other_rings: usize, round: usize) -> QuadraticSurface {
    let pi = std::f64::consts::PI;
    let mut angles: Vec<f64> = (0..=cap_rings).map(|i| rim * i as f64 / cap_rings as f64).collect();
    angles.extend((1..=other_rings).map(|i| rim + (pi - rim) * i as f64 / other_rings as f64));
    let at = |theta: f64, turn: f64| {
        let (sin, cos) = (2.0 * pi * turn).sin_cos();
        Vector3::new(theta.sin() * cos, theta.sin() * sin, theta.cos())
    };
    let count = |theta: f64| ((round as f64 * theta.sin()).ceil() as usize).max(5);
    let mut builder = Builder::default();
    for (i, pair) in angles.windows(2).enumerate() {
        let patch = u16::from(i < cap_rings);
        let [upper, lower] = [pair[0], pair[1]];
        let [last, first] = [lower > pi - 1e-9, i == 0];
        let counts = [if first { 0 } else { count(upper) }, if last { 0 } else { count(lower) }];
        stitch(&mut builder, |turn| at(upper, turn), |turn| at(lower, turn), counts, patch);
    }
    // Sides on the rim bend along it, not along a great circle.
    QuadraticSurface::curved(&builder.finish(), |[a, b]| {
        let middle = 0.5 * (a + b);
        let turn = middle.y.atan2(middle.x) / (2.0 * pi);
        if (middle.z - rim.cos()).abs() < 1e-9 { at(rim, turn) } else { middle.normalize() }
    })
}

/// Triangles between two rings of possibly different numbers of points (0 is a pole).
fn stitch(
    builder: &mut Builder,
    upper: impl Fn(f64) -> Vector3<f64>,
    lower: impl Fn(f64) -> Vector3<f64>,
    [n, m]: [usize; 2],
    patch: u16,
) {
    let (mut i, mut j) = (0, 0);
    let turn = |i: usize, n: usize| if n == 0 { 0.0 } else { (i % n) as f64 / n as f64 };
    while i < n || j < m {
        let ahead = |i: usize, n: usize| (i as f64 + 1.0) / n as f64;
        let step_lower = i == n || (j < m && ahead(j, m) <= ahead(i, n));
        let (a, b) = (upper(turn(i, n)), lower(turn(j, m)));
        if step_lower {
            builder.triangle([a, b, lower(turn(j + 1, m))], patch);
            j += 1;
        } else {
            builder.triangle([a, b, upper(turn(i + 1, n))], patch);
            i += 1;
        }
    }
}

/// A surface moved.
pub fn moved(mut surface: QuadraticSurface, by: Vector3<f64>) -> QuadraticSurface {
    surface.points.iter_mut().for_each(|point| *point += by);
    surface
}

/// A surface and its mirror image at z = 0.
pub fn with_image(surface: &QuadraticSurface) -> QuadraticSurface {
    let mut both = surface.clone();
    let first = surface.points.len() as u32;
    both.points.extend(surface.points.iter().map(|p| Vector3::new(p.x, p.y, -p.z)));
    let turned = |&[a, b, c, ab, bc, ca]: &[u32; 6]| [a, c, b, ca, bc, ab].map(|point| point + first);
    both.elements.extend(surface.elements.iter().map(turned));
    both.patches.extend(&surface.patches);
    both
}

/// A box between two corners in cells per side, plane elements; patch 1 is the face at the largest z.
pub fn cuboid(from: [f64; 3], to: [f64; 3], cells: [usize; 3]) -> QuadraticSurface {
    let mut builder = Builder::default();
    let (from, to) = (Vector3::from(from), Vector3::from(to));
    let side = to - from;
    let [x, y, z] = [Vector3::x() * side.x, Vector3::y() * side.y, Vector3::z() * side.z];
    let [a, b, c] = cells;
    builder.rectangle(from, [y, x], [b, a], 0);
    builder.rectangle(from, [z, y], [c, b], 0);
    builder.rectangle(from, [x, z], [a, c], 0);
    builder.rectangle(from + z, [x, y], [a, b], 1);
    builder.rectangle(from + x, [y, z], [b, c], 0);
    builder.rectangle(from + y, [z, x], [c, a], 0);
    QuadraticSurface::plane(&builder.finish())
}

#[test]
fn bodies_are_closed_and_have_the_right_measures() {
    use crate::boundary::{Body, Mirrors};
    let volume = |surface: &QuadraticSurface| {
        let body = Body::new(surface, Mirrors::NONE).expect("closed");
        body.quadrature.iter().flatten().map(|p| p.position.dot(&p.area) / 3.0).sum::<f64>()
    };
    let ball = 4.0 / 3.0 * std::f64::consts::PI;
    for (surface, exact, allowed) in [
        (sphere(4), ball, 2e-4),
        (octasphere(6, [false; 3]), ball, 4e-4),
        (capped_sphere(0.5, 3, 8, 20), ball, 1e-3),
        (cuboid([0.0; 3], [1.0, 2.0, 0.1], [3, 4, 1]), 0.2, 1e-12),
    ] {
        assert!((volume(&surface) / exact - 1.0).abs() < allowed, "{} {exact}", volume(&surface));
    }
}
