//! Preconditioner: the operator's own blocks of points that lie together, factorised.
//!
//! Both faces of a thin wall fall into one block, so that their strong coupling is solved exactly. A single block that holds all points
//! is the direct solution, which the iteration then only refines from single precision.

use super::bisection::bisected;
use super::body::Body;
use super::error::BoundaryError;
use super::operator::Operator;
use crate::linalg::ComplexFactors;
use ndarray::Array2;
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;

pub(super) struct Blocks {
    blocks: Vec<(Vec<usize>, ComplexFactors)>,
}

impl Blocks {
    /// Blocks of at most `largest` points.
    pub fn new(body: &Body, operator: &Operator, largest: usize) -> Result<Self, BoundaryError> {
        let factorised = |points: Vec<usize>| {
            let block = Array2::from_shape_fn((points.len(), points.len()), |(i, j)| {
                operator.entry(points[i], points[j])
            });
            let factors = ComplexFactors::new(block)
                .map_err(|_| BoundaryError::Singular { unknowns: body.unknowns() })?;
            Ok((points, factors))
        };
        let blocks =
            bisected(&body.points, largest, 1).into_par_iter().map(factorised).collect::<Result<_, _>>()?;
        Ok(Self { blocks })
    }

    pub fn apply(&self, values: &[Complex64]) -> Vec<Complex64> {
        let solved = |(points, factors): &(Vec<usize>, ComplexFactors)| {
            let single = |&point: &usize| Complex32::new(values[point].re as f32, values[point].im as f32);
            let mut side: Vec<Complex32> = points.iter().map(single).collect();
            factors.solve(&mut side);
            side
        };
        let sides: Vec<Vec<Complex32>> = self.blocks.par_iter().map(solved).collect();
        let mut result = vec![Complex64::ZERO; values.len()];
        for ((points, _), side) in self.blocks.iter().zip(&sides) {
            for (&point, value) in points.iter().zip(side) {
                result[point] = Complex64::new(value.re.into(), value.im.into());
            }
        }
        result
    }
}
