//! Bodies to test on.

use super::{Surface, edge};
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;
use std::collections::HashMap;

/// Cuboid of the given sides [m] from the origin, a patch per face, two triangles each.
pub fn cuboid(sides: [f64; 3]) -> Surface {
    let corner = |i: usize| Vector3::from([0, 1, 2].map(|k| sides[k] * (i >> k & 1) as f64));
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    Surface {
        points: (0..8).map(corner).collect(),
        triangles: quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect(),
        patches: (0..12).map(|i| i / 2).collect(),
    }
}

/// Sphere of 20 · 4^`rounds` triangles about the origin.
pub fn sphere(radius: f64, rounds: usize) -> Surface {
    let g = 0.5 * (1.0 + 5f64.sqrt());
    let points = [[0.0, 1.0, g], [0.0, -1.0, g], [0.0, 1.0, -g], [0.0, -1.0, -g]];
    let points =
        [0, 1, 2].iter().flat_map(|turn| points.map(|p| Vector3::from([0, 1, 2].map(|k| p[(k + turn) % 3]))));
    let mut surface = hull(points.collect());
    for _ in 0..rounds {
        surface = quartered(&surface);
    }
    surface.points.iter_mut().for_each(|point| *point *= radius / point.norm());
    surface
}

/// Triangles between points at the icosahedron's shortest distance, facing outwards.
fn hull(points: Vec<Vector3<f64>>) -> Surface {
    let near = |a: usize, b: usize| (points[a] - points[b]).norm() < 2.1;
    let mut triangles = vec![];
    for (a, b, c) in (0..12).flat_map(|a| (0..a).flat_map(move |b| (0..b).map(move |c| (a, b, c)))) {
        if near(a, b) && near(b, c) && near(c, a) {
            let outwards = points[a].dot(&points[b].cross(&points[c])) > 0.0;
            triangles.push(if outwards { [a, b, c] } else { [a, c, b] }.map(|i| i as u32));
        }
    }
    Surface { points, patches: vec![0; triangles.len()], triangles }
}

/// Every triangle in four.
pub fn quartered(surface: &Surface) -> Surface {
    let mut points = surface.points.clone();
    let mut middles = HashMap::new();
    let mut middle = |a: u32, b: u32| {
        *middles.entry(edge(a, b)).or_insert_with(|| {
            points.push(0.5 * (points[a as usize] + points[b as usize]));
            points.len() as u32 - 1
        })
    };
    let mut triangles = vec![];
    for &[a, b, c] in &surface.triangles {
        let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
        triangles.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
    }
    let patches = surface.patches.iter().flat_map(|&patch| [patch; 4]).collect();
    Surface { points, triangles, patches }
}

/// The surface moved.
pub fn shifted(mut surface: Surface, by: [f64; 3]) -> Surface {
    surface.points.iter_mut().for_each(|point| *point += Vector3::from(by));
    surface
}

/// The surface turned about the origin.
pub fn turned(mut surface: Surface, rotation: &Rotation3<f64>) -> Surface {
    surface.points.iter_mut().for_each(|point| *point = rotation * *point);
    surface
}

/// The surface with all triangles turned round.
pub fn inverted(mut surface: Surface) -> Surface {
    surface.triangles.iter_mut().for_each(|corners| corners.swap(0, 1));
    surface
}

/// Any rotation.
pub fn rotations() -> impl Strategy<Value = Rotation3<f64>> {
    let direction =
        [-1.0..1.0f64, -1.0..1.0, -1.0..1.0].prop_filter("a direction", |d| d.iter().any(|x| x.abs() > 0.1));
    (direction, 0.0..std::f64::consts::TAU)
        .prop_map(|(axis, angle)| Rotation3::from_axis_angle(&Unit::new_normalize(axis.into()), angle))
}
