//! Independent functions picked from nearly dependent ones, and matrices between their orthonormal combinations.

use super::unknowns::Unknown;
use crate::linalg::{LapackFailure, Selection, congruent, independent, solve_lower, solve_lower_transposed};
use ndarray::{Array2, Axis as Along};
use rayon::prelude::*;

/// A function is left out when less than this share of its own square norm is new. Rounding of the integrals is 1e-13; the
/// field is then met within the root of it, eigenvalues within about the share itself.
pub(super) const NEW_DEFLECTION: f64 = 1e-11;

/// The same for shear angles. What rounding leaves wrong in their stiffness, its share over this one, has to stay below the shear
/// stiffness, however much stiffer bending and supports are.
pub(super) const NEW_ANGLE: f64 = 1e-9;

/// Weight of rigid motions in the pivoting, so that they come first whatever the outline is.
const FIRST: f64 = 1e6;

/// Functions picked from a list of unknowns.
#[derive(Debug)]
pub(super) struct Picked {
    unknowns: Vec<Unknown>,
    /// Factor that gives every function a unit norm (rigid motions a larger one).
    scale: Vec<f64>,
    selection: Selection,
}

impl Picked {
    /// Picks by the integrals `gram` of products of two functions, until less than `new` of any other is new.
    pub fn new(
        unknowns: Vec<Unknown>,
        new: f64,
        gram: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Self, LapackFailure> {
        let scale: Vec<f64> = (unknowns.iter())
            .map(|unknown| {
                let weight = if matches!(unknown, Unknown::Rigid(_)) { FIRST } else { 1.0 };
                let square = gram(unknown, unknown);
                if square > 0.0 { weight / square.sqrt() } else { 0.0 }
            })
            .collect();
        let entry = |i: usize, j: usize| scale[i] * scale[j] * gram(&unknowns[i], &unknowns[j]);
        let selection = independent(lower_triangle(unknowns.len(), entry), new)?;
        Ok(Self { unknowns, scale, selection })
    }

    /// Number of functions.
    pub fn len(&self) -> usize {
        self.selection.picked.len()
    }

    /// Number of rigid motions, which come first.
    pub fn rigid(&self) -> usize {
        let motion = |&&i: &&usize| matches!(self.unknowns[i], Unknown::Rigid(_));
        self.selection.picked.iter().take_while(motion).count()
    }

    /// Places in the list and factors of the picked functions.
    pub fn places(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.selection.picked.iter().map(|&i| (i, self.scale[i]))
    }

    /// A symmetric matrix between the orthonormal combinations; lower triangle.
    pub fn matrix(
        &self,
        entry: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Array2<f64>, LapackFailure> {
        let mut matrix = lower_triangle(self.len(), |i, j| self.entry(i, self, j, &entry));
        congruent(&mut matrix, &self.selection.factor)?;
        Ok(matrix)
    }

    /// A matrix between these (rows) and other orthonormal combinations (columns).
    pub fn coupling(
        &self,
        other: &Self,
        entry: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Array2<f64>, LapackFailure> {
        let mut matrix = Array2::zeros((self.len(), other.len()));
        matrix.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(i, mut row)| {
            row.iter_mut().enumerate().for_each(|(j, value)| *value = self.entry(i, other, j, &entry));
        });
        other.combined(&mut matrix)?;
        let mut across = matrix.t().as_standard_layout().into_owned();
        self.combined(&mut across)?;
        Ok(across.t().as_standard_layout().into_owned())
    }

    fn entry(&self, i: usize, other: &Self, j: usize, entry: &impl Fn(&Unknown, &Unknown) -> f64) -> f64 {
        let (i, j) = (self.selection.picked[i], other.selection.picked[j]);
        self.scale[i] * other.scale[j] * entry(&self.unknowns[i], &other.unknowns[j])
    }

    /// Takes values of the picked functions (rows) to those of the combinations.
    pub fn combined(&self, rows: &mut Array2<f64>) -> Result<(), LapackFailure> {
        solve_lower(&self.selection.factor, rows)
    }

    /// Takes coefficients of the combinations (modes, combinations) to those of all unknowns (modes, unknowns).
    pub fn spread(&self, mut rows: Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        solve_lower_transposed(&self.selection.factor, &mut rows)?;
        let mut spread = Array2::zeros((rows.nrows(), self.unknowns.len()));
        for (column, (i, scale)) in rows.axis_iter(Along(1)).zip(self.places()) {
            spread.column_mut(i).assign(&(&column * scale));
        }
        Ok(spread)
    }
}

/// A symmetric matrix of which only the lower triangle is filled, row by row in parallel.
fn lower_triangle(size: usize, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array2<f64> {
    let mut matrix = Array2::zeros((size, size));
    matrix.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(i, mut row)| {
        row.iter_mut().take(i + 1).enumerate().for_each(|(j, value)| *value = entry(i, j));
    });
    matrix
}
