//! Surfaces that are their own mirror image: halves of them, and wholes of halves.

use super::Surface;
use super::sides::{by_edge, sides};
use nalgebra::Vector3;
use std::collections::HashMap;
use thiserror::Error;

/// Points nearer to the plane than this share of the surface's diagonal lie on it.
const ON_THE_PLANE: f64 = 1e-9;

/// A plane through the origin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mirror {
    /// x = 0.
    X,
    /// y = 0.
    Y,
    /// z = 0.
    Z,
}

/// A surface without its mirror image.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error(
    "the surface is no mirror image of itself: the point ({}, {}, {}) mm has no partner on the other side; solve without this \
     symmetry, or centre the body", 1e3 * at.x, 1e3 * at.y, 1e3 * at.z
)]
pub struct NotSymmetric {
    /// A point [m] whose image is not on the surface.
    pub at: Vector3<f64>,
}

impl Mirror {
    fn axis(self) -> usize {
        match self {
            Mirror::X => 0,
            Mirror::Y => 1,
            Mirror::Z => 2,
        }
    }

    /// Mirror image of a point [m].
    pub fn image(self, mut point: Vector3<f64>) -> Vector3<f64> {
        point[self.axis()] = -point[self.axis()];
        point
    }
}

impl Surface {
    /// The part on the positive side of a mirror plane, open at the plane, where its points lie exactly. Triangles across the plane
    /// are cut.
    ///
    /// # Errors
    /// [`NotSymmetric`] if a point lies farther from the image of the surface than `tolerance` [m].
    pub fn positive_half(&self, mirror: Mirror, tolerance: f64) -> Result<Self, NotSymmetric> {
        self.symmetric(mirror, tolerance)?;
        let axis = mirror.axis();
        let near = ON_THE_PLANE * self.diagonal();
        let mut cut = Cut { points: self.points.clone(), axis, crossings: HashMap::new() };
        for point in cut.points.iter_mut().filter(|point| point[axis].abs() <= near) {
            point[axis] = 0.0;
        }
        let (mut triangles, mut patches) = (vec![], vec![]);
        for (&corners, &patch) in self.triangles.iter().zip(&self.patches) {
            let part = cut.positive(corners);
            patches.extend(std::iter::repeat_n(patch, part.len()));
            triangles.extend(part);
        }
        Ok(Self { points: cut.points, triangles, patches }.without_lone_points())
    }

    fn symmetric(&self, mirror: Mirror, tolerance: f64) -> Result<(), NotSymmetric> {
        let index = super::index::Index::of(self);
        let apart = |&&at: &&Vector3<f64>| {
            let image = mirror.image(at);
            index.nearest(image).is_none_or(|(nearest, _)| (nearest - image).norm() > tolerance)
        };
        self.points.iter().find(apart).map_or(Ok(()), |&at| Err(NotSymmetric { at }))
    }

    /// The surface and its mirror image in one. Points of its rims that lie on the plane are shared.
    pub fn with_image(&self, mirror: Mirror) -> Self {
        let mut shared = vec![false; self.points.len()];
        for run in by_edge(&sides(self)).filter(|run| run.len() == 1) {
            run[0]
                .edge
                .iter()
                .for_each(|&p| shared[p as usize] = self.points[p as usize][mirror.axis()] == 0.0);
        }
        let mut whole = self.clone();
        let image: Vec<u32> = (0..self.points.len())
            .map(|point| {
                if shared[point] {
                    return point as u32;
                }
                whole.points.push(mirror.image(self.points[point]));
                whole.points.len() as u32 - 1
            })
            .collect();
        whole
            .triangles
            .extend(self.triangles.iter().map(|&[a, b, c]| [a, c, b].map(|point| image[point as usize])));
        whole.patches.extend(&self.patches);
        whole
    }

    /// Drops points that no triangle uses.
    fn without_lone_points(self) -> Self {
        let mut numbers = HashMap::new();
        let mut points = vec![];
        let place = |old: u32| {
            *numbers.entry(old).or_insert_with(|| {
                points.push(self.points[old as usize]);
                points.len() as u32 - 1
            })
        };
        let mut place = place;
        let triangles = self.triangles.iter().map(|corners| corners.map(&mut place)).collect();
        Self { points, triangles, patches: self.patches }
    }
}

struct Cut {
    points: Vec<Vector3<f64>>,
    axis: usize,
    crossings: HashMap<[u32; 2], u32>,
}

impl Cut {
    fn height(&self, point: u32) -> f64 {
        self.points[point as usize][self.axis]
    }

    /// The part of a triangle on the positive side, as triangles; none of a triangle that lies in the plane.
    fn positive(&mut self, corners: [u32; 3]) -> Vec<[u32; 3]> {
        let mut outline = vec![];
        for (a, b) in (0..3).map(|i| (corners[i], corners[(i + 1) % 3])) {
            if self.height(a) >= 0.0 {
                outline.push(a);
            }
            if self.height(a) * self.height(b) < 0.0 {
                outline.push(self.crossing(a, b));
            }
        }
        let above = outline.iter().any(|&point| self.height(point) > 0.0);
        let fan = 1..outline.len().max(2) - 1;
        if above { fan.map(|i| [outline[0], outline[i], outline[i + 1]]).collect() } else { vec![] }
    }

    fn crossing(&mut self, a: u32, b: u32) -> u32 {
        let edge = super::edge(a, b);
        if let Some(&point) = self.crossings.get(&edge) {
            return point;
        }
        let [from, to] = edge.map(|point| self.points[point as usize]);
        let mut place = from + (to - from) * (from[self.axis] / (from[self.axis] - to[self.axis]));
        place[self.axis] = 0.0;
        self.points.push(place);
        let point = self.points.len() as u32 - 1;
        self.crossings.insert(edge, point);
        point
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::check::{Fault, Limits, check};
    use crate::surface::samples::{cuboid, shifted, sphere};

    #[test]
    fn halves_are_open_at_the_plane_and_whole_again_with_their_images() {
        let centred = shifted(cuboid([0.1, 0.06, 0.02]), [-0.05, -0.03, 0.0]);
        for (surface, share) in [(centred, 1e-12), (sphere(0.05, 3), 1e-9)] {
            let half = surface.positive_half(Mirror::X, 1e-6).expect("symmetric");
            let quarter = half.positive_half(Mirror::Y, 1e-6).expect("symmetric");
            let rim = check(&half, &Limits::default()).faults;
            assert!(matches!(rim[..], [Fault::Open { .. }]), "{rim:?}");
            assert!(quarter.points.iter().all(|point| point.x >= 0.0 && point.y >= 0.0));
            let whole = quarter.with_image(Mirror::Y).with_image(Mirror::X);
            assert!((whole.volume() - surface.volume()).abs() < share * surface.volume());
            assert!((4.0 * quarter.area() - surface.area()).abs() < share * surface.area());
            let faults = check(&whole, &Limits::default()).faults;
            assert!(faults.iter().all(|fault| matches!(fault, Fault::Needle { .. })), "{faults:?}");
        }
    }

    #[test]
    fn what_is_not_symmetric_is_refused_with_a_place() {
        let aside = shifted(sphere(0.05, 2), [0.01, 0.0, 0.0]);
        let refused = aside.positive_half(Mirror::X, 1e-4).expect_err("aside");
        assert!(refused.to_string().contains("has no partner"));
        assert!(aside.positive_half(Mirror::Y, 1e-4).is_ok());
    }

    #[test]
    fn a_face_in_the_plane_goes() {
        let resting = cuboid([0.1, 0.06, 0.02]).joined(&shifted(cuboid([0.1, 0.06, 0.02]), [-0.1, 0.0, 0.0]));
        let half = resting.positive_half(Mirror::X, 1e-9).expect("symmetric");
        assert_eq!(half.triangles.len(), 10);
    }
}
