//! Connected parts of a surface, and which lies in which.

use super::fault::{Fault, Found, Place};
use crate::Surface;
use crate::surface::sides::{Sets, by_edge, sides};
use nalgebra::Vector3;
use std::f64::consts::TAU;

/// Shells beyond which it is not asked which lies in which.
const MOST_NESTED: usize = 500;

/// A connected part: triangles that hang together by sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Shell {
    /// Its triangles.
    pub triangles: Vec<usize>,
    /// True if two triangles meet at every side.
    pub closed: bool,
    /// Area [m²].
    pub area: f64,
    /// Enclosed volume [m³], negative when the normals point inwards; meaningless when it is open.
    pub volume: f64,
    /// Lower and upper corner [m] of the smallest box around it.
    pub bounds: [Vector3<f64>; 2],
    /// The closed shells that it lies in, whichever way they face.
    pub within: Vec<usize>,
}

/// All shells, in the order of their first triangles.
pub fn shells(surface: &Surface) -> Vec<Shell> {
    let mut sets = Sets::singles(surface.triangles.len());
    let sides = sides(surface);
    let collapsed = |&[a, b, c]: &[u32; 3]| a == b || b == c || c == a;
    let mut broken: Vec<_> = surface.triangles.iter().map(collapsed).collect();
    for run in by_edge(&sides) {
        run.iter().for_each(|side| {
            sets.join(run[0].triangle, side.triangle);
            broken[side.triangle as usize] |= run.len() != 2;
        });
    }
    let (numbers, count) = sets.numbered();
    let mut members = vec![vec![]; count];
    numbers.iter().enumerate().for_each(|(triangle, &shell)| members[shell].push(triangle));
    let mut shells: Vec<_> =
        members.into_iter().map(|triangles| shell(surface, triangles, &broken)).collect();
    if shells.len() <= MOST_NESTED {
        nest(surface, &mut shells);
    }
    shells
}

fn shell(surface: &Surface, triangles: Vec<usize>, broken: &[bool]) -> Shell {
    let first = surface.corners(triangles[0])[0];
    let corners = || triangles.iter().flat_map(|&t| surface.corners(t));
    Shell {
        closed: !triangles.iter().any(|&t| broken[t]),
        area: triangles.iter().map(|&t| surface.area_vector(t).norm()).sum(),
        // About a point of its own: far from the origin the terms would cancel.
        volume: triangles
            .iter()
            .map(|&t| (surface.corners(t)[0] - first).dot(&surface.area_vector(t)) / 3.0)
            .sum(),
        bounds: corners().fold([first; 2], |[low, high], point| [low.inf(&point), high.sup(&point)]),
        within: vec![],
        triangles,
    }
}

fn nest(surface: &Surface, shells: &mut [Shell]) {
    for inner in 0..shells.len() {
        let point = surface.corners(shells[inner].triangles[0])[0];
        let boxed = |outer: &Shell| {
            let ([low, high], [l, h]) = (outer.bounds, shells[inner].bounds);
            (0..3).all(|k| low[k] <= l[k] && h[k] <= high[k])
        };
        let holds = |&other: &usize| {
            let outer = &shells[other];
            other != inner && outer.closed && boxed(outer) && turns_around(surface, outer, point).abs() > 0.5
        };
        shells[inner].within = (0..shells.len()).filter(holds).collect();
    }
}

/// Winding number of a shell around a point: 1 inside, 0 outside. The solid angle of a triangle is that of van Oosterom & Strackee,
/// The solid angle of a plane triangle, 1983.
fn turns_around(surface: &Surface, shell: &Shell, point: Vector3<f64>) -> f64 {
    let solid_angle = |&triangle: &usize| {
        let [a, b, c] = surface.corners(triangle).map(|corner| corner - point);
        let (la, lb, lc) = (a.norm(), b.norm(), c.norm());
        let below = la * lb * lc + a.dot(&b) * lc + b.dot(&c) * la + c.dot(&a) * lb;
        2.0 * a.dot(&b.cross(&c)).atan2(below)
    };
    shell.triangles.iter().map(solid_angle).sum::<f64>() / (2.0 * TAU)
}

/// Shells that are inside out, or bodies within bodies. A shell within another one that faces inwards is a cavity, and none.
pub fn faults(surface: &Surface, shells: &[Shell], found: &mut Found) {
    for (number, shell) in shells.iter().enumerate().filter(|(_, shell)| shell.closed) {
        let at = Place(surface.corners(shell.triangles[0])[0]);
        let cavity = shell.within.len() % 2 == 1;
        match (cavity, shell.volume < 0.0) {
            (false, true) => found.push(Fault::InsideOut { shell: number, at }),
            (true, false) => found.push(Fault::Within { shell: number, other: shell.within[0], at }),
            _ => {}
        }
    }
}
