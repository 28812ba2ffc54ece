//! Dense symmetric linear algebra through LAPACK: the solver's only unsafe code.
//!
//! All matrices are row-major (`Array2` in standard layout) and only their lower triangle is read. LAPACK sees the
//! transpose, so "lower" here is `uplo = 'U'` there.

use lapack_sys as lapack;
use ndarray::{Array1, Array2, ArrayView2, ArrayViewMut2, Axis, LinalgScalar, s};
use num_complex::Complex32;
use rayon::prelude::*;
use std::ffi::{c_char, c_int};
use std::sync::Once;

const UPPER: c_char = b'U' as c_char;
const LEFT: c_char = b'L' as c_char;
const RIGHT: c_char = b'R' as c_char;
const NO_TRANSPOSE: c_char = b'N' as c_char;
const TRANSPOSE: c_char = b'T' as c_char;

unsafe extern "C" {
    fn openblas_set_num_threads(count: c_int);
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

/// Keeps OpenBLAS on one thread, once per process. Parallelism is rayon's, which makes results independent of the
/// thread count; OpenBLAS's own threads inside rayon workers overflow their stacks.
pub fn single_threaded_blas() {
    static ONCE: Once = Once::new();
    // SAFETY: a setter of OpenBLAS without preconditions; `Once` rules out concurrent calls.
    ONCE.call_once(|| unsafe { openblas_set_num_threads(1) });
}

/// LAPACK's `info` when it is not zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct LapackFailure(pub i32);

/// Eigenvalues in ascending order and eigenvectors as the *rows* of a matrix.
pub(crate) struct Eigenpairs {
    pub values: Array1<f64>,
    pub vectors: Array2<f64>,
}

/// Eigenpairs of a symmetric matrix with eigenvalues up to and including `limit`.
///
/// Householder tridiagonalisation (`dsytrd`), divide and conquer (`dstedc`: M. Gu & S. C. Eisenstat, SIAM J. Matrix
/// Anal. Appl. 16 (1995) 172–191) and back-transformation of the wanted vectors only (`dormtr`). Plates have
/// clustered eigenvalues, on which the relatively robust representations of `dstemr` failed now and then.
pub(crate) fn eigenpairs_up_to(mut matrix: Array2<f64>, limit: f64) -> Result<Eigenpairs, LapackFailure> {
    let size = matrix.nrows();
    if size == 0 {
        return Ok(Eigenpairs { values: Array1::zeros(0), vectors: Array2::zeros((0, 0)) });
    }
    let (mut diagonal, mut off_diagonal, reflectors) = tridiagonalise(&mut matrix)?;
    let mut pairs = tridiagonal_eigenpairs(&mut diagonal, &mut off_diagonal, limit)?;
    let stripes = pairs.vectors.axis_chunks_iter_mut(Axis(0), 128).into_par_iter();
    stripes.try_for_each(|vectors| apply_reflectors(&matrix, &reflectors, vectors))?;
    Ok(pairs)
}

/// Lower Cholesky factor `A = L Lᵀ`, in place; the upper triangle is left as it was.
pub(crate) fn cholesky(matrix: &mut Array2<f64>) -> Result<(), LapackFailure> {
    let size = order(matrix);
    let mut info = 0;
    // SAFETY: `matrix` is square and contiguous (`order` checks both), so `size` is its order and its leading dimension.
    unsafe { lapack::dpotrf_(&UPPER, &size, matrix.as_mut_ptr(), &leading(size), &mut info) };
    checked(info)
}

/// Lower Cholesky factor, by `factorise`, of a matrix that may be indefinite by rounding: then as little is added to its diagonal as helps,
/// in steps from `1e-14 unit` on.
pub(crate) fn nearly_cholesky(
    matrix: &Array2<f64>,
    unit: f64,
    factorise: impl Fn(&mut Array2<f64>) -> Result<(), LapackFailure>,
) -> Result<Array2<f64>, LapackFailure> {
    let with = |share: f64| {
        let mut sum = matrix.clone();
        sum.diag_mut().map_inplace(|value| *value += share * unit);
        Ok(sum)
    };
    nearly(with, factorise)
}

/// The same by any factorisation; `matrix` gives the matrix with a share of its unit added to its diagonal.
pub(crate) fn nearly(
    matrix: impl Fn(f64) -> Result<Array2<f64>, LapackFailure>,
    factorise: impl Fn(&mut Array2<f64>) -> Result<(), LapackFailure>,
) -> Result<Array2<f64>, LapackFailure> {
    let attempt = |share: f64| {
        let mut factor = matrix(share)?;
        factorise(&mut factor).map(|()| factor)
    };
    (-14..20).map(|k| 10f64.powi(k)).fold(attempt(0.0), |found, share| found.or_else(|_| attempt(share)))
}

/// Independent functions picked from a set by the pivoted Cholesky factor of their Gram matrix.
#[derive(Clone, Debug)]
pub(crate) struct Selection {
    /// Indices of the picked functions, the most independent first.
    pub picked: Vec<usize>,
    /// Lower factor of the Gram matrix of the picked functions in that order; above the diagonal are leftovers.
    pub factor: Array2<f64>,
    /// Indices of the other functions.
    pub others: Vec<usize>,
    /// The rows that would go on the factor: what the others are made of, (others, picked).
    pub shares: Array2<f64>,
}

/// Picks functions until what is left of every other one has a square norm below `tolerance` (`dpstrf`: N. J. Higham,
/// Analysis of the Cholesky decomposition of a semi-definite matrix, in Reliable Numerical Computation, 1990).
/// Only the lower triangle of `gram` is read.
pub(crate) fn independent(mut gram: Array2<f64>, tolerance: f64) -> Result<Selection, LapackFailure> {
    let size = order(&gram);
    let mut pivots = vec![0 as c_int; gram.nrows()];
    let mut work = vec![0.0; 2 * gram.nrows().max(1)];
    let (mut rank, mut info) = (0, 0);
    // SAFETY: the matrix is square and contiguous; `pivots` holds `size` and `work` twice `size` values.
    unsafe {
        lapack::dpstrf_(
            &UPPER,
            &size,
            gram.as_mut_ptr(),
            &leading(size),
            pivots.as_mut_ptr(),
            &mut rank,
            &tolerance,
            work.as_mut_ptr(),
            &mut info,
        );
    }
    checked(info.min(0))?; // 1 says that the rank is not full, which is what is asked
    // The routine takes its first pivot whatever its size.
    let largest = leading_value(&gram);
    let rank = if largest <= tolerance.sqrt() { 0 } else { rank as usize };
    let mut picked: Vec<usize> = pivots.iter().map(|&pivot| pivot as usize - 1).collect();
    let others = picked.split_off(rank);
    let [factor, shares] = [s![..rank, ..rank], s![rank.., ..rank]].map(|part| gram.slice(part).to_owned());
    Ok(Selection { picked, factor, others, shares })
}

/// First diagonal value of a factor, 0 of an empty one.
fn leading_value(factor: &Array2<f64>) -> f64 {
    factor.get((0, 0)).copied().unwrap_or(0.0)
}

/// Lower factor of the Gram matrix, `Vᵀ V = L Lᵀ`, without forming that product: nearly dependent columns stay apart as
/// long as they differ by more than rounding. The diagonal of L may be negative.
pub(crate) fn gram_factor(mut columns: Array2<f64>) -> Result<Array2<f64>, LapackFailure> {
    let (length, count) = columns.dim();
    assert!(columns.is_standard_layout() && length >= count, "at least as many rows as columns");
    let mut reflectors = vec![0.0; count];
    let mut work = vec![0.0; 64 * count.max(1)];
    let mut info = 0;
    // SAFETY: a contiguous row-major V is LAPACK's column-major Vᵀ of `count` by `length`; `reflectors` has min(both)
    // values and `work` the stated length.
    unsafe {
        lapack::dgelqf_(
            &(count as c_int),
            &(length as c_int),
            columns.as_mut_ptr(),
            &leading(count as c_int),
            reflectors.as_mut_ptr(),
            work.as_mut_ptr(),
            &(work.len() as c_int),
            &mut info,
        );
    }
    checked(info)?;
    Ok(Array2::from_shape_fn((count, count), |(i, j)| if i >= j { columns[(j, i)] } else { 0.0 }))
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

type Tridiagonal = (Array1<f64>, Array1<f64>, Array1<f64>);

fn tridiagonalise(matrix: &mut Array2<f64>) -> Result<Tridiagonal, LapackFailure> {
    let size = order(matrix);
    let count = size as usize;
    let (mut diagonal, mut off_diagonal) = (Array1::zeros(count), Array1::zeros(count));
    let mut reflectors = Array1::zeros(count);
    let mut work = vec![0.0; 64 * count];
    let mut info = 0;
    // SAFETY: the matrix is square and contiguous; the vectors hold at least `size` values; `work` has the stated length.
    unsafe {
        lapack::dsytrd_(
            &UPPER,
            &size,
            matrix.as_mut_ptr(),
            &leading(size),
            diagonal.as_mut_ptr(),
            off_diagonal.as_mut_ptr(),
            reflectors.as_mut_ptr(),
            work.as_mut_ptr(),
            &(work.len() as c_int),
            &mut info,
        );
    }
    checked(info)?;
    Ok((diagonal, off_diagonal, reflectors))
}

/// All eigenpairs of a symmetric tridiagonal matrix, then only those up to `limit`.
fn tridiagonal_eigenpairs(
    diagonal: &mut Array1<f64>,
    off_diagonal: &mut Array1<f64>,
    limit: f64,
) -> Result<Eigenpairs, LapackFailure> {
    let count = diagonal.len();
    let size = count as c_int;
    let mut vectors = Array2::zeros((count, count));
    let mut work = vec![0.0; 1 + 4 * count + count * count];
    let mut integer_work = vec![0 as c_int; 3 + 5 * count];
    let mut info = 0;
    // SAFETY: array lengths are those the routine documents for COMPZ = 'I': work 1 + 4n + n², iwork 3 + 5n.
    unsafe {
        lapack::dstedc_(
            &(b'I' as c_char),
            &size,
            diagonal.as_mut_ptr(),
            off_diagonal.as_mut_ptr(),
            vectors.as_mut_ptr(),
            &leading(size),
            work.as_mut_ptr(),
            &(work.len() as c_int),
            integer_work.as_mut_ptr(),
            &(integer_work.len() as c_int),
            &mut info,
        );
    }
    checked(info)?;
    let found = diagonal.iter().take_while(|&&value| value <= limit).count();
    Ok(Eigenpairs {
        values: diagonal.slice(s![..found]).to_owned(),
        vectors: vectors.slice_move(s![..found, ..]),
    })
}

fn apply_reflectors(
    matrix: &Array2<f64>,
    reflectors: &Array1<f64>,
    mut vectors: ArrayViewMut2<f64>,
) -> Result<(), LapackFailure> {
    let size = order(matrix);
    assert!(vectors.is_standard_layout(), "contiguous vectors");
    let count = vectors.nrows() as c_int;
    let mut work = vec![0.0; 64 * vectors.nrows().max(1) + 65 * 64];
    let mut info = 0;
    // SAFETY: `matrix` and `reflectors` come from `dsytrd_`; `vectors` holds `count` contiguous vectors of `size` values.
    unsafe {
        lapack::dormtr_(
            &LEFT,
            &UPPER,
            &NO_TRANSPOSE,
            &size,
            &count,
            matrix.as_ptr(),
            &leading(size),
            reflectors.as_ptr(),
            vectors.as_mut_ptr(),
            &leading(size),
            work.as_mut_ptr(),
            &(work.len() as c_int),
            &mut info,
        );
    }
    checked(info)
}

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

    /// Replaces a right side by the solution.
    pub fn solve(&self, side: &mut [Complex32]) {
        let size = self.pivots.len() as c_int;
        assert_eq!(side.len(), self.pivots.len(), "one value per row");
        let mut info = 0;
        // SAFETY: factors and pivots come from `cgetrf_`; `side` holds `size` values. LAPACK's matrix is the transpose of ours.
        unsafe {
            lapack::cgetrs_(
                &TRANSPOSE,
                &size,
                &1,
                self.factors.as_ptr().cast(),
                &leading(size),
                self.pivots.as_ptr(),
                side.as_mut_ptr().cast(),
                &leading(size),
                &mut info,
            );
        }
        debug_assert_eq!(info, 0);
    }
}

/// Order of a matrix as LAPACK wants it; checks that it is square and contiguous.
fn order(matrix: &Array2<f64>) -> c_int {
    assert!(matrix.is_square() && matrix.is_standard_layout(), "a square, contiguous matrix");
    matrix.nrows() as c_int
}

fn leading(size: c_int) -> c_int {
    size.max(1)
}

fn checked(info: c_int) -> Result<(), LapackFailure> {
    if info == 0 { Ok(()) } else { Err(LapackFailure(info)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use ndarray::Array2;

    /// Second-difference matrix: eigenvalues `2 − 2 cos(kπ/(n+1))`.
    fn second_difference(size: usize) -> Array2<f64> {
        Array2::from_shape_fn((size, size), |(i, j)| match i.abs_diff(j) {
            0 => 2.0,
            1 => -1.0,
            _ => 0.0,
        })
    }

    #[test]
    fn eigenpairs_of_the_second_difference() {
        single_threaded_blas();
        let size = 50;
        let pairs = eigenpairs_up_to(second_difference(size), 2.0).expect("converges");
        assert_eq!(pairs.values.len(), 25);
        for (k, value) in pairs.values.iter().enumerate() {
            let angle = (k + 1) as f64 * std::f64::consts::PI / (size + 1) as f64;
            assert_relative_eq!(*value, 2.0 - 2.0 * angle.cos(), max_relative = 1e-12);
        }
        let residual = pairs.vectors.dot(&second_difference(size))
            - &pairs.values.view().insert_axis(Axis(1)) * &pairs.vectors;
        assert!(residual.iter().all(|r| r.abs() < 1e-13));
    }

    #[test]
    fn dependent_functions_are_left_out() {
        single_threaded_blas();
        // Columns e₁, e₂, e₁ + e₂, 2 e₃ of a space of three dimensions.
        let columns = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [1.0, 1.0, 0.0], [0.0, 0.0, 2.0]];
        let gram = Array2::from_shape_fn((4, 4), |(i, j)| {
            (0..3).map(|k| columns[i][k] * columns[j][k]).sum::<f64>()
        });
        let selection = independent(gram.clone(), 1e-12).expect("semi-definite");
        assert_eq!(selection.picked[..2], [3, 2]);
        assert_eq!(selection.picked.len(), 3);
        // Factor and shares give back every product, and nothing is left of the function that was not picked.
        let order: Vec<usize> = selection.picked.iter().chain(&selection.others).copied().collect();
        let row = |k: usize, j: usize| match k < 3 {
            true => selection.factor[(k, j)] * f64::from(u8::from(j <= k)),
            false => selection.shares[(k - 3, j)],
        };
        for (i, j) in (0..4).flat_map(|i| (0..4).map(move |j| (i, j))) {
            let product: f64 = (0..3).map(|k| row(i, k) * row(j, k)).sum();
            assert!((product - gram[(order[i], order[j])]).abs() < 1e-14, "{i} {j}");
        }
    }

    #[test]
    fn complex_factors_solve() {
        single_threaded_blas();
        let value = |i: usize, j: usize| {
            let phase = (3 * i * i + 7 * j + i * j) as f32;
            Complex32::new(phase.sin(), phase.cos()) + if i == j { 4.0 } else { 0.0 }
        };
        let matrix = Array2::from_shape_fn((9, 9), |(i, j)| value(i, j));
        let exact: Vec<Complex32> = (0..9).map(|i| Complex32::new(i as f32, 1.0)).collect();
        let mut side: Vec<Complex32> = (0..9).map(|i| (0..9).map(|j| value(i, j) * exact[j]).sum()).collect();
        ComplexFactors::new(matrix.clone()).expect("regular").solve(&mut side);
        assert!(side.iter().zip(&exact).all(|(a, b)| (a - b).norm() < 1e-4), "{side:?}");
        let mut singular = matrix;
        singular.row_mut(3).fill(Complex32::ZERO);
        assert!(ComplexFactors::new(singular).is_err());
    }

    #[test]
    fn cholesky_then_solve_gives_the_energy_of_a_load() {
        single_threaded_blas();
        let mut factor = second_difference(9);
        cholesky(&mut factor).expect("positive definite");
        let mut rows = Array2::zeros((1, 9));
        rows[(0, 4)] = 1.0;
        solve_lower(&factor, &mut rows).expect("regular");
        // Middle of a string of 9 masses: compliance x (n + 1 − x) / (n + 1) with x = 5.
        assert_relative_eq!(rows.iter().map(|y| y * y).sum::<f64>(), 2.5, max_relative = 1e-14);
    }
}
