//! A body as fine plane triangles, to see where it is.

use super::AssemblyFault;
use super::solid::Solid;
use nalgebra::Vector3;
use panelwright_mesh::shapes::DIAPHRAGM;
use panelwright_mesh::{QuadraticSurface, Surface};
use std::f64::consts::TAU;

/// Sides so long [m] that a shape alone decides how it is divided.
const ANY: f64 = 1e3;
/// Elements along the largest extent of a body, before curved ones are divided.
const ALONG: f64 = 24.0;
/// Curved sides are followed by chords to this distance [m]...
const CLOSE: f64 = 1e-5;
/// ...but not divided more often.
const MOST_DIVISIONS: usize = 5;

type Point = Vector3<f64>;

/// A body as plane triangles: good for distances, but not for the solver, since elements that touch are divided differently.
pub struct Facets {
    /// Name in faults.
    pub name: String,
    pub surface: Surface,
}

impl Facets {
    pub fn of(solid: &Solid) -> Result<Self, AssemblyFault> {
        let [low, high] = solid.triangles(ANY)?.bounds();
        let length = (high - low).max() / ALONG;
        let elements = solid.curved(&solid.triangles(length)?, length);
        Ok(Self { name: solid.name.clone(), surface: fine(&elements) })
    }

    /// Name of the part that a triangle belongs to.
    pub fn part(&self, triangle: usize) -> String {
        if self.surface.patches[triangle] == DIAPHRAGM { "diaphragm".into() } else { self.name.clone() }
    }

    /// The point with the lowest z [m] of those that are asked for.
    pub fn lowest(&self, asked: impl Fn(&Point) -> bool) -> Option<Point> {
        self.surface.points.iter().copied().filter(asked).min_by(|a, b| a.z.total_cmp(&b.z))
    }

    /// True if a point lies inside: the solid angle under which it sees the surface is the full one (A. van Oosterom & J. Strackee,
    /// The solid angle of a plane triangle, IEEE Trans. Biomed. Eng. 30, 1983).
    pub fn encloses(&self, point: Point) -> bool {
        let angle = |triangle: usize| {
            let [a, b, c] = self.surface.corners(triangle).map(|corner| corner - point);
            let (x, y, z) = (a.norm(), b.norm(), c.norm());
            2.0 * a.dot(&b.cross(&c)).atan2(x * y * z + a.dot(&b) * z + b.dot(&c) * x + c.dot(&a) * y)
        };
        (0..self.surface.triangles.len()).map(angle).sum::<f64>() > TAU
    }
}

pub fn fine(elements: &QuadraticSurface) -> Surface {
    let mut surface = Surface::default();
    for (nodes, &patch) in elements.elements.iter().zip(&elements.patches) {
        divide(nodes.map(|node| elements.points[node as usize]), MOST_DIVISIONS, &mut |corners| {
            let first = surface.points.len() as u32;
            surface.points.extend(corners);
            surface.triangles.push([first, first + 1, first + 2]);
            surface.patches.push(patch);
        });
    }
    surface
}

/// Gives the corners of plane triangles that follow a six-point one.
fn divide(nodes: [Point; 6], divisions: usize, give: &mut impl FnMut([Point; 3])) {
    let [a, b, c, ..] = nodes;
    let rise = |i: usize| (nodes[3 + i] - 0.5 * (nodes[i] + nodes[(i + 1) % 3])).norm();
    if divisions == 0 || (0..3).all(|i| rise(i) < CLOSE) {
        give([a, b, c]);
    } else {
        quarters(nodes).into_iter().for_each(|quarter| divide(quarter, divisions - 1, give));
    }
}

/// Four six-point triangles that together are one.
fn quarters(nodes: [Point; 6]) -> [[Point; 6]; 4] {
    let middle = |p: Point, q: Point| 0.5 * (p + q);
    let [a, b, c] = [Point::x(), Point::y(), Point::z()];
    let [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        .map(|[p, q, r]| [p, q, r, middle(p, q), middle(q, r), middle(r, p)].map(|place| at(nodes, place)))
}

/// Place on a six-point triangle at barycentric coordinates.
fn at(nodes: [Point; 6], place: Point) -> Point {
    let [x, y, z]: [f64; 3] = place.into();
    let shares = [x, y, z].map(|share| share * (2.0 * share - 1.0));
    let between = [4.0 * x * y, 4.0 * y * z, 4.0 * z * x];
    (0..3).map(|i| nodes[i] * shares[i] + nodes[3 + i] * between[i]).sum()
}
