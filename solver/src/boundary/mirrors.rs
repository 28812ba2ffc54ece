//! Rigid planes of symmetry, by images.

use super::blocks::Point;
use super::element::Element;
use nalgebra::Vector3;

/// Which of the planes x = 0, y = 0 and z = 0 reflect, as rigid planes do: the sound field continues evenly beyond them.
///
/// A body that is symmetric to a plane, and moves so, is given by one half, open at the plane. A body in front of a rigid
/// infinite plane is given whole and need not touch it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mirrors(pub [bool; 3]);

impl Mirrors {
    /// No plane: free space.
    pub const NONE: Self = Self([false; 3]);

    /// Those that make these images.
    pub(super) fn of(images: &[Image]) -> Self {
        Self([0, 1, 2].map(|along| images.iter().any(|image| image.0[along] < 0.0)))
    }

    /// The original, then all images.
    pub(super) fn images(self) -> Vec<Image> {
        let mut images = vec![Image([1.0; 3])];
        for along in (0..3).filter(|&along| self.0[along]) {
            let reflected = images.iter().map(|image| {
                let mut signs = image.0;
                signs[along] = -1.0;
                Image(signs)
            });
            images.extend(reflected.collect::<Vec<_>>());
        }
        images
    }
}

/// Axes along which any of the images is reflected.
pub(super) fn mirrored(images: &[Image]) -> [bool; 3] {
    [0, 1, 2].map(|along| images.iter().any(|image| image.0[along] < 0.0))
}

/// A reflection in any of the coordinate planes, or none: the sign of every coordinate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Image([f64; 3]);

impl Image {
    pub fn of(self, vector: Vector3<f64>) -> Vector3<f64> {
        vector.component_mul(&Vector3::from(self.0))
    }

    /// 1 for turns, −1 for reflections.
    pub fn determinant(self) -> f64 {
        self.0.iter().product()
    }

    /// True when a point is its own image.
    pub fn fixes(self, point: Vector3<f64>) -> bool {
        self.of(point) == point
    }

    pub fn is_original(self) -> bool {
        self.0 == [1.0; 3]
    }

    pub fn of_element(self, element: &Element) -> Element {
        Element { nodes: element.nodes.map(|node| self.of(node)), sense: self.determinant() * element.sense }
    }

    /// A quadrature point of the image. The curl `n × ∇φ` is a cross product: its reflection also changes sign.
    pub fn of_point(self, point: &Point) -> Point {
        Point {
            position: self.of(point.position),
            area: self.of(point.area),
            curls: point.curls.map(|curl| self.determinant() * self.of(curl)),
            ..*point
        }
    }
}
