//! Independent functions picked from nearly dependent ones, and matrices between their orthonormal combinations.

use super::unknowns::Unknown;
use crate::dense::{self, congruent, lower_product};
use crate::linalg::{LapackFailure, Selection, independent, solve_lower};
use ndarray::{Array2, ArrayView1, ArrayView2, Axis as Along, s};
use rayon::prelude::*;

/// A function is left out when less than this share of its own square norm is new. Rounding of the integrals is 1e-13; the
/// field is then met within the root of it, eigenvalues within about the share itself.
pub(super) const NEW_DEFLECTION: f64 = 1e-11;

/// The same for rotations, by the bending stiffness of the shortest wave over the shear stiffness, one at most. What rounding leaves
/// wrong in their stiffness, its share over this one, has to stay below the shear stiffness, however much stiffer supports are.
/// A plate stiff in shear allows less, and needs it: it has to turn as it bends. Measured on a free disc of a fiftieth of its
/// radius (softness 0.09), pairs that should be alike differ by 8e-5; with 1e-10 by 1.6e-4.
pub(super) fn new_rotation(softness: f64) -> f64 {
    (1e-9 * softness.powi(2)).max(10.0 * ROUNDING)
}

/// Error of the integrals, relative to the square norms of the functions.
const ROUNDING: f64 = 1e-13;

/// Weight of rigid motions and their turns in the pivoting, so that they come first whatever the outline is.
const FIRST: f64 = 1e6;

/// Functions picked from a list of unknowns.
#[derive(Clone, Debug)]
pub(super) struct Picked {
    unknowns: Vec<Unknown>,
    /// Factor that gives every function a unit norm (rigid motions a larger one).
    scale: Vec<f64>,
    selection: Selection,
    /// What is new in the functions left out, in orthonormal functions: (functions left out, functions).
    rests: Array2<f64>,
}

/// A function times its factor, in orthonormal ones.
#[derive(Clone)]
pub(super) struct Coordinates<'a> {
    /// In the leading combinations of the picked functions; in the others they are zero.
    pub of_picked: ArrayView1<'a, f64>,
    /// Of a function left out: what is new in it, in functions of its own.
    pub rest: Option<ArrayView1<'a, f64>>,
    /// The factor.
    pub scale: f64,
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
                let weight =
                    if matches!(unknown, Unknown::Rigid(_) | Unknown::Turn(_)) { FIRST } else { 1.0 };
                let square = gram(unknown, unknown);
                if square > 0.0 { weight / square.sqrt() } else { 0.0 }
            })
            .collect();
        let entry = |i: usize, j: usize| scale[i] * scale[j] * gram(&unknowns[i], &unknowns[j]);
        let selection = independent(lower_triangle(unknowns.len(), entry), new)?;
        let rests = rests(&selection, entry)?;
        Ok(Self { unknowns, scale, selection, rests })
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
        let mut matrix = self.entries(self, &entry);
        congruent(self.factor(), &mut matrix)?;
        Ok(matrix)
    }

    /// The part of a symmetric matrix that belongs to the rigid motions; lower triangle.
    pub fn rigid_matrix(
        &self,
        entry: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Array2<f64>, LapackFailure> {
        let rigid = self.rigid();
        let mut matrix = Array2::from_shape_fn((rigid, rigid), |(i, j)| self.entry(i, self, j, &entry));
        congruent(self.factor().slice(s![..rigid, ..rigid]), &mut matrix)?;
        Ok(matrix)
    }

    /// A matrix between these (rows) and other orthonormal combinations (columns).
    pub fn coupling(
        &self,
        other: &Self,
        entry: impl Fn(&Unknown, &Unknown) -> f64 + Sync,
    ) -> Result<Array2<f64>, LapackFailure> {
        let mut matrix = self.entries(other, &entry);
        dense::solve_lower(other.factor(), &mut matrix)?;
        dense::solve_lower_columns(self.factor(), &mut matrix);
        Ok(matrix)
    }

    /// Between the picked functions themselves.
    fn entries(&self, other: &Self, entry: &(impl Fn(&Unknown, &Unknown) -> f64 + Sync)) -> Array2<f64> {
        let mut matrix = Array2::zeros((self.len(), other.len()));
        matrix.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(i, mut row)| {
            row.iter_mut().enumerate().for_each(|(j, value)| *value = self.entry(i, other, j, entry));
        });
        matrix
    }

    fn entry(&self, i: usize, other: &Self, j: usize, entry: &impl Fn(&Unknown, &Unknown) -> f64) -> f64 {
        let (i, j) = (self.selection.picked[i], other.selection.picked[j]);
        self.scale[i] * other.scale[j] * entry(&self.unknowns[i], &other.unknowns[j])
    }

    /// Lower factor of the picked functions' Gram matrix.
    pub fn factor(&self) -> ArrayView2<'_, f64> {
        self.selection.factor.view()
    }

    /// The picked functions: place in the list, the function and its factor.
    pub fn picked(&self) -> impl IndexedParallelIterator<Item = (usize, &Unknown, f64)> {
        self.selection.picked.par_iter().map(|&i| (i, &self.unknowns[i], self.scale[i]))
    }

    /// How many functions hold what is new in those left out.
    pub fn left_over(&self) -> usize {
        self.rests.ncols()
    }

    /// What every unknown of the list is made of, as it comes out of the factor.
    pub fn coordinates(&self) -> Vec<Coordinates<'_>> {
        let Selection { picked, factor, others, shares } = &self.selection;
        let nothing = Coordinates { of_picked: ArrayView1::from(&[]), rest: None, scale: 0.0 };
        let mut found = vec![nothing; self.unknowns.len()];
        for (k, &i) in picked.iter().enumerate() {
            let of_picked = factor.slice(s![k, ..=k]);
            found[i] = Coordinates { of_picked, rest: None, scale: self.scale[i] };
        }
        for (k, &i) in others.iter().enumerate() {
            let (of_picked, rest) = (shares.row(k), Some(self.rests.row(k)));
            found[i] = Coordinates { of_picked, rest, scale: self.scale[i] };
        }
        found
    }

    /// Takes values of the picked functions (rows) to those of the combinations.
    pub fn combined(&self, rows: &mut Array2<f64>) -> Result<(), LapackFailure> {
        solve_lower(&self.selection.factor, rows)
    }

    /// Takes coefficients of the combinations (modes, combinations) to those of all unknowns (modes, unknowns).
    pub fn spread(&self, mut rows: Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
        dense::solve_lower_transposed(self.factor(), &mut rows)?;
        let mut spread = Array2::zeros((rows.nrows(), self.unknowns.len()));
        spread.axis_iter_mut(Along(0)).into_par_iter().zip(rows.axis_iter(Along(0))).for_each(
            |(mut spread, row)| {
                for (value, (i, scale)) in row.iter().zip(self.places()) {
                    spread[i] = scale * value;
                }
            },
        );
        Ok(spread)
    }
}

/// What is new in the functions left out of a selection, in orthonormal functions, as far as it is more than rounding.
fn rests(
    Selection { others, shares, .. }: &Selection,
    gram: impl Fn(usize, usize) -> f64 + Sync,
) -> Result<Array2<f64>, LapackFailure> {
    let new = lower_triangle(others.len(), |i, j| gram(others[i], others[j])) - lower_product(shares, shares);
    let selection = independent(new, ROUNDING)?;
    let width = selection.picked.len();
    let mut rests = Array2::zeros((others.len(), width));
    for (k, &i) in selection.picked.iter().enumerate() {
        rests.slice_mut(s![i, ..=k]).assign(&selection.factor.slice(s![k, ..=k]));
    }
    for (row, &i) in selection.shares.rows().into_iter().zip(&selection.others) {
        rests.row_mut(i).assign(&row);
    }
    Ok(rests)
}

/// A symmetric matrix of which only the lower triangle is filled, row by row in parallel.
fn lower_triangle(size: usize, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array2<f64> {
    let mut matrix = Array2::zeros((size, size));
    matrix.axis_iter_mut(Along(0)).into_par_iter().enumerate().for_each(|(i, mut row)| {
        row.iter_mut().take(i + 1).enumerate().for_each(|(j, value)| *value = entry(i, j));
    });
    matrix
}
