//! What two elements have to do with each other: five integrals over both for every pair of shape functions.

use super::element::{Element, Order, Place, Six, Spot, shape_values};
use nalgebra::Vector3;
use num_complex::Complex64;
use std::ops::{AddAssign, Mul};

/// One value per pair of shape functions: first those of the element that is tested, then those of the source.
pub(super) type Square<T> = Six<Six<T>>;

/// Double integrals with a kernel g(|x − y|), x on the tested element, y on the source.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Blocks<T> {
    /// `∫∫ φ ψ g`.
    pub layer: Square<T>,
    /// `∫∫ φ ψ g n·n′`.
    pub normals: Square<T>,
    /// `∫∫ g curl φ · curl ψ`.
    pub curls: Square<T>,
    /// `∫∫ φ ψ ∂g/∂n′`: normal derivative at the source.
    pub source_slope: Square<T>,
    /// `∫∫ φ ψ ∂g/∂n`: normal derivative at the tested element.
    pub tested_slope: Square<T>,
}

impl<T: Copy + Default + AddAssign> Blocks<T> {
    /// From the shape functions of reordered elements to those of the elements themselves.
    pub fn put_back(&self, tested: Order, source: Order) -> Self {
        self.map(|square| {
            let mut back = Square::default();
            for (i, row) in tested.nodes().into_iter().zip(square) {
                for (j, value) in source.nodes().into_iter().zip(row) {
                    back[i][j] = *value;
                }
            }
            back
        })
    }

    pub fn map<U: Copy>(&self, change: impl Fn(&Square<T>) -> Square<U>) -> Blocks<U> {
        Blocks {
            layer: change(&self.layer),
            normals: change(&self.normals),
            curls: change(&self.curls),
            source_slope: change(&self.source_slope),
            tested_slope: change(&self.tested_slope),
        }
    }
}

/// `sum += factor · square`.
pub(super) fn add_scaled<T: Copy + Mul<Complex64, Output = Complex64>>(
    sum: &mut Square<Complex64>,
    factor: Complex64,
    square: &Square<T>,
) {
    for (sum, row) in sum.iter_mut().zip(square) {
        sum.iter_mut().zip(row).for_each(|(sum, value)| *sum += *value * factor);
    }
}

/// An element at one quadrature point, the weight included wherever something is integrated.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub position: Vector3<f64>,
    /// Weight times Jacobian [m²].
    pub weight: f64,
    /// Normal times `weight`.
    pub area: Vector3<f64>,
    pub values: Six<f64>,
    /// Curls times `weight`.
    pub curls: Six<Vector3<f64>>,
}

impl Point {
    pub fn new(element: &Element, place: Place, weight: f64) -> Self {
        let Spot { position, area } = element.at(place);
        Self {
            position,
            weight: weight * area.norm(),
            area: weight * area,
            values: shape_values(place),
            curls: element.curls(place).map(|curl| weight * curl),
        }
    }
}
