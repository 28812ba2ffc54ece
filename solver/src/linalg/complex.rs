//! Systems of complex equations.

use super::{LapackFailure, TRANSPOSE, checked, leading};
use lapack_sys as lapack;
use ndarray::Array2;
use num_complex::Complex32;
use std::ffi::c_int;

/// Triangular factors of a complex matrix in single precision, with row exchanges.
pub(crate) struct ComplexFactors {
    factors: Array2<Complex32>,
    pivots: Vec<c_int>,
}

impl ComplexFactors {
    /// Factors of a square matrix (`cgetrf`); fails when it is singular.
    pub fn new(mut matrix: Array2<Complex32>) -> Result<Self, LapackFailure> {
        assert!(matrix.is_square() && matrix.is_standard_layout(), "a square, contiguous matrix");
        let size = matrix.nrows() as c_int;
        let mut pivots = vec![0; matrix.nrows()];
        let mut info = 0;
        // SAFETY: the matrix is square and contiguous, `pivots` holds `size` values, and Complex32 has the layout of C's type.
        unsafe {
            lapack::cgetrf_(
                &size,
                &size,
                matrix.as_mut_ptr().cast(),
                &leading(size),
                pivots.as_mut_ptr(),
                &mut info,
            );
        }
        checked(info)?;
        Ok(Self { factors: matrix, pivots })
    }

    /// Replaces right sides, one after the other, by their solutions.
    pub fn solve(&self, sides: &mut [Complex32]) {
        let size = self.pivots.len() as c_int;
        if sides.is_empty() {
            return;
        }
        assert!(sides.len().is_multiple_of(self.pivots.len()), "one value per row");
        let count = (sides.len() / self.pivots.len()) as c_int;
        let mut info = 0;
        // SAFETY: factors and pivots come from `cgetrf_`; `sides` holds `size` values for each of `count`. LAPACK's matrix is the transpose of ours.
        unsafe {
            lapack::cgetrs_(
                &TRANSPOSE,
                &size,
                &count,
                self.factors.as_ptr().cast(),
                &leading(size),
                self.pivots.as_ptr(),
                sides.as_mut_ptr().cast(),
                &leading(size),
                &mut info,
            );
        }
        debug_assert_eq!(info, 0);
    }
}
