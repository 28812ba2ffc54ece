//! Triangular systems.

use super::{LapackFailure, NO_TRANSPOSE, TRANSPOSE, UPPER, checked, leading};
use lapack_sys as lapack;
use ndarray::{Array2, ArrayView2, ArrayViewMut2, LinalgScalar};
use std::ffi::{c_char, c_int};

const RIGHT: c_char = b'R' as c_char;

unsafe extern "C" {
    fn dtrsm_(
        side: *const c_char,
        uplo: *const c_char,
        transposed: *const c_char,
        diagonal: *const c_char,
        rows: *const c_int,
        columns: *const c_int,
        factor: *const f64,
        triangle: *const f64,
        triangle_step: *const c_int,
        sides: *mut f64,
        sides_step: *const c_int,
    );
}

/// Replaces every row b of `rows` by the solution of `L x = b`.
pub(crate) fn solve_lower(factor: &Array2<f64>, rows: &mut Array2<f64>) -> Result<(), LapackFailure> {
    solve_lower_in(factor.view(), rows.view_mut())
}

/// [`solve_lower`] in parts of larger matrices.
pub(crate) fn solve_lower_in<T: Precision>(
    factor: ArrayView2<T>,
    rows: ArrayViewMut2<T>,
) -> Result<(), LapackFailure> {
    solve_triangular(factor, rows, TRANSPOSE)
}

/// Replaces every row b of `rows` by the solution of `Lᵀ x = b`.
pub(crate) fn solve_lower_transposed(
    factor: &Array2<f64>,
    rows: &mut Array2<f64>,
) -> Result<(), LapackFailure> {
    solve_lower_transposed_in(factor.view(), rows.view_mut())
}

/// [`solve_lower_transposed`] in parts of larger matrices.
pub(crate) fn solve_lower_transposed_in<T: Precision>(
    factor: ArrayView2<T>,
    rows: ArrayViewMut2<T>,
) -> Result<(), LapackFailure> {
    solve_triangular(factor, rows, NO_TRANSPOSE)
}

/// Replaces every column b of `columns` by the solution of `L x = b`.
pub(crate) fn solve_lower_columns_in(factor: ArrayView2<f64>, mut columns: ArrayViewMut2<f64>) {
    if factor.is_empty() || columns.is_empty() {
        return;
    }
    assert!(factor.is_square() && columns.nrows() == factor.nrows(), "columns of the factor's order");
    let (size, count) = (factor.nrows() as c_int, columns.ncols() as c_int);
    let [between_rows, between_sides] = [row_step(&factor), row_step(&columns.view())];
    // SAFETY: as in `solve_triangular`; BLAS sees `count` by `size` values and multiplies them by the inverse of U from the right.
    unsafe {
        dtrsm_(
            &RIGHT,
            &UPPER,
            &NO_TRANSPOSE,
            &NO_TRANSPOSE, // non-unit diagonal
            &count,
            &size,
            &1.0,
            factor.as_ptr(),
            &between_rows,
            columns.as_mut_ptr(),
            &between_sides,
        );
    }
}

/// `xTRTRS` of LAPACK for real values of this type.
type SolveTriangular<T> = unsafe extern "C" fn(
    *const c_char,
    *const c_char,
    *const c_char,
    *const c_int,
    *const c_int,
    *const T,
    *const c_int,
    *mut T,
    *const c_int,
    *mut c_int,
);

/// A precision that triangular systems are solved in.
pub(crate) trait Precision: LinalgScalar + Send + Sync {
    /// The routine.
    const SOLVE_TRIANGULAR: SolveTriangular<Self>;
}

impl Precision for f64 {
    const SOLVE_TRIANGULAR: SolveTriangular<Self> = lapack::dtrtrs_;
}

impl Precision for f32 {
    const SOLVE_TRIANGULAR: SolveTriangular<Self> = lapack::strtrs_;
}

/// `transposed` is how LAPACK, which sees U = Lᵀ, has to take its matrix.
fn solve_triangular<T: Precision>(
    factor: ArrayView2<T>,
    mut rows: ArrayViewMut2<T>,
    transposed: c_char,
) -> Result<(), LapackFailure> {
    if factor.is_empty() || rows.is_empty() {
        return Ok(());
    }
    assert!(factor.is_square() && rows.ncols() == factor.nrows(), "one row of the factor's order per side");
    let (size, count) = (factor.nrows() as c_int, rows.nrows() as c_int);
    let [between_rows, between_sides] = [row_step(&factor), row_step(&rows.view())];
    let mut info = 0;
    // SAFETY: the factor is square; its rows and those of `rows` hold `size` values side by side and start at the given distance,
    // no less than `size` (`row_step` checks both): column-major matrices with that leading dimension. The routine is the one for `T`.
    unsafe {
        T::SOLVE_TRIANGULAR(
            &UPPER,
            &transposed,
            &NO_TRANSPOSE, // non-unit diagonal
            &size,
            &count,
            factor.as_ptr(),
            &between_rows,
            rows.as_mut_ptr(),
            &between_sides,
            &mut info,
        );
    }
    checked(info)
}

/// Distance of the rows of a matrix whose rows are contiguous and do not overlap; checks both.
fn row_step<T>(matrix: &ArrayView2<T>) -> c_int {
    let (width, [between, within]) = (matrix.ncols(), [0, 1].map(|axis| matrix.strides()[axis]));
    assert!(width <= 1 || within == 1, "contiguous rows");
    if matrix.nrows() == 1 {
        return leading(width as c_int);
    }
    assert!(between >= width as isize, "rows that do not overlap");
    between as c_int
}
