//! Dense symmetric linear algebra through LAPACK: the solver's only unsafe code.
//!
//! All matrices are row-major (`Array2` in standard layout) and only their lower triangle is read. LAPACK sees the
//! transpose, so "lower" here is `uplo = 'U'` there.

mod complex;
mod eigen;
mod triangular;

pub(crate) use complex::ComplexFactors;
pub(crate) use eigen::{Eigenpairs, eigenpairs_up_to};
pub(crate) use triangular::{
    Precision, solve_lower, solve_lower_columns_in, solve_lower_in, solve_lower_transposed,
    solve_lower_transposed_in,
};

use lapack_sys as lapack;
use ndarray::{Array2, s};
use std::ffi::{c_char, c_int};
use std::sync::Once;

const UPPER: c_char = b'U' as c_char;
const NO_TRANSPOSE: c_char = b'N' as c_char;
const TRANSPOSE: c_char = b'T' as c_char;

unsafe extern "C" {
    fn openblas_set_num_threads(count: c_int);
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
    use ndarray::{Array2, Axis};
    use num_complex::Complex32;

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
