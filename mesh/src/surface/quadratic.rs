//! Triangles with a further point on every side, so that they can be curved.

use super::{Surface, edge};
use nalgebra::Vector3;
use std::collections::HashMap;

/// Six-point triangles. Points 0 to 2 are the corners, counter-clockwise from outside; points 3, 4 and 5 lie between corners 0 and 1,
/// 1 and 2, 2 and 0.
#[derive(Clone, Debug, PartialEq)]
pub struct QuadraticSurface {
    /// Points [m]: those of the corners, then those between.
    pub points: Vec<Vector3<f64>>,
    /// Indices into `points`.
    pub elements: Vec<[u32; 6]>,
    /// Patch that every element belongs to.
    pub patches: Vec<u16>,
}

impl QuadraticSurface {
    /// Straight sides, plane elements.
    pub fn plane(surface: &Surface) -> Self {
        Self::curved(surface, |[a, b]| 0.5 * (a + b))
    }

    /// Every side gets its middle [m] where `onto` says the true surface is, given the side's ends [m]. The corners are expected to lie on the
    /// true surface already.
    pub fn curved(surface: &Surface, onto: impl Fn([Vector3<f64>; 2]) -> Vector3<f64>) -> Self {
        let mut points = surface.points.clone();
        let mut between = HashMap::new();
        let mut middle = |a: u32, b: u32| {
            let edge = edge(a, b);
            *between.entry(edge).or_insert_with(|| {
                points.push(onto(edge.map(|end| points[end as usize])));
                points.len() as u32 - 1
            })
        };
        let elements = (surface.triangles.iter())
            .map(|&[a, b, c]| [a, b, c, middle(a, b), middle(b, c), middle(c, a)])
            .collect();
        Self { points, elements, patches: surface.patches.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron() -> Surface {
        let points = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        Surface {
            points: points.map(Vector3::from).to_vec(),
            triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
            patches: vec![0, 1, 2, 3],
        }
    }

    #[test]
    fn measures_of_a_tetrahedron() {
        let surface = tetrahedron();
        assert!((surface.volume() - 1.0 / 6.0).abs() < 1e-15);
        assert!((surface.area() - (1.5 + 0.5 * 3f64.sqrt())).abs() < 1e-14);
        assert!(surface.edges().values().all(|triangles| triangles.len() == 2));
    }

    #[test]
    fn every_side_has_one_point_between() {
        let quadratic = QuadraticSurface::plane(&tetrahedron());
        assert_eq!(quadratic.points.len(), 4 + 6);
        for element in &quadratic.elements {
            for side in 0..3 {
                let [a, b, between] = [element[side], element[(side + 1) % 3], element[3 + side]]
                    .map(|point| quadratic.points[point as usize]);
                assert!((between - 0.5 * (a + b)).norm() < 1e-15);
            }
        }
    }

    #[test]
    fn middles_move_onto_the_true_surface() {
        let lifted = QuadraticSurface::curved(&tetrahedron(), |[a, b]| {
            if a.z == b.z { 0.5 * (a + b) - Vector3::z() } else { 0.5 * (a + b) }
        });
        let down = lifted.points.iter().filter(|point| point.z < -0.5).count();
        assert_eq!(down, 3); // the sides of the bottom
    }
}
