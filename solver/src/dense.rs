//! Dense kernels on all cores.
//!
//! Every matrix is cut into stripes of a fixed size, whatever the number of threads, so that results do not depend on it. As in
//! [`linalg`], matrices are row-major and only the lower triangle of a factor is read.

use crate::linalg::{self, LapackFailure, Precision};
use ndarray::linalg::general_mat_mul;
use ndarray::{Array2, ArrayView2, ArrayViewMut2, Axis as Along, Zip, s};
use rayon::prelude::*;
use std::ops::Range;

/// Rows that one task works on: enough for the kernels beneath to run at full speed.
const STRIPE: usize = 192;

/// The stripes of so many rows, at least one, which may be empty.
pub(crate) fn stripe_ranges(rows: usize) -> Vec<Range<usize>> {
    (0..rows.max(1)).step_by(STRIPE).map(|start| start..(start + STRIPE).min(rows)).collect()
}

/// Stripes of a matrix with the rows they hold.
fn stripes<'a, T: Send + Sync>(
    matrix: &'a mut ArrayViewMut2<T>,
) -> impl IndexedParallelIterator<Item = (Range<usize>, ArrayViewMut2<'a, T>)> {
    matrix
        .axis_chunks_iter_mut(Along(0), STRIPE)
        .into_par_iter()
        .enumerate()
        .map(|(k, rows)| (k * STRIPE..k * STRIPE + rows.nrows(), rows))
}

/// `A B`.
pub(crate) fn product(a: &Array2<f64>, b: &Array2<f64>) -> Array2<f64> {
    let mut product = Array2::zeros((a.nrows(), b.ncols()));
    stripes(&mut product.view_mut())
        .for_each(|(own, mut rows)| general_mat_mul(1.0, &a.slice(s![own, ..]), b, 0.0, &mut rows));
    product
}

/// `A Bᵀ` of which the lower triangle is wanted; above the diagonal it is not complete.
pub(crate) fn lower_product<T: Precision>(a: &Array2<T>, b: &Array2<T>) -> Array2<T> {
    let mut product = Array2::zeros((a.nrows(), b.nrows()));
    stripes(&mut product.view_mut()).for_each(|(own, mut rows)| {
        let left = b.slice(s![..own.end, ..]);
        let mut lower = rows.slice_mut(s![.., ..own.end]);
        general_mat_mul(T::one(), &a.slice(s![own, ..]), &left.t(), T::zero(), &mut lower);
    });
    product
}

/// The same in single precision.
pub(crate) fn single(matrix: &Array2<f64>) -> Array2<f32> {
    Zip::from(matrix).par_map_collect(|&value| value as f32)
}

/// Side of the tiles that are turned: two of them stay in the innermost cache.
const TILE: usize = 32;

/// Transposed, contiguous.
pub(crate) fn transposed(matrix: &ArrayView2<f64>) -> Array2<f64> {
    let mut across = Array2::zeros((matrix.ncols(), matrix.nrows()));
    across.axis_chunks_iter_mut(Along(0), TILE).into_par_iter().enumerate().for_each(|(k, mut rows)| {
        let columns = k * TILE..k * TILE + rows.nrows();
        let tiles = rows.axis_chunks_iter_mut(Along(1), TILE);
        for (mut tile, source) in tiles.zip(matrix.axis_chunks_iter(Along(0), TILE)) {
            tile.assign(&source.slice(s![.., columns.clone()]).t());
        }
    });
    across
}

/// The whole of a symmetric matrix from its lower triangle, contiguous.
pub(crate) fn symmetric(lower: &ArrayView2<f64>) -> Array2<f64> {
    let mut whole = transposed(lower);
    whole
        .axis_iter_mut(Along(0))
        .into_par_iter()
        .zip(lower.axis_iter(Along(0)))
        .enumerate()
        .for_each(|(i, (mut row, left))| row.slice_mut(s![..=i]).assign(&left.slice(s![..=i])));
    whole
}

/// Replaces every row b of `rows` by the solution of `L x = b`.
pub(crate) fn solve_lower<T: Precision>(
    factor: ArrayView2<T>,
    rows: &mut Array2<T>,
) -> Result<(), LapackFailure> {
    stripes(&mut rows.view_mut()).try_for_each(|(_, rows)| linalg::solve_lower_in(factor, rows))
}

/// Replaces every row b of `rows` by the solution of `Lᵀ x = b`.
pub(crate) fn solve_lower_transposed<T: Precision>(
    factor: ArrayView2<T>,
    rows: &mut Array2<T>,
) -> Result<(), LapackFailure> {
    stripes(&mut rows.view_mut()).try_for_each(|(_, rows)| linalg::solve_lower_transposed_in(factor, rows))
}

/// Replaces every column b of `columns` by the solution of `L x = b`.
pub(crate) fn solve_lower_columns(factor: ArrayView2<f64>, columns: &mut Array2<f64>) {
    let stripes = columns.axis_chunks_iter_mut(Along(1), STRIPE).into_par_iter();
    stripes.for_each(|columns| linalg::solve_lower_columns_in(factor, columns));
}

/// Lower triangle of `L⁻¹ A L⁻ᵀ` in place of a symmetric matrix that is filled on both sides of its diagonal.
pub(crate) fn congruent(factor: ArrayView2<f64>, matrix: &mut Array2<f64>) -> Result<(), LapackFailure> {
    solve_lower_columns(factor, matrix);
    // Of every row only what is left of the diagonal.
    stripes(&mut matrix.view_mut()).try_for_each(|(own, mut rows)| {
        let left = factor.slice(s![..own.end, ..own.end]);
        linalg::solve_lower_in(left, rows.slice_mut(s![.., ..own.end]))
    })
}

/// Lower Cholesky factor `A = L Lᵀ`, in place; what is above the diagonal is no part of it.
pub(crate) fn cholesky(matrix: &mut Array2<f64>) -> Result<(), LapackFailure> {
    const PANEL: usize = 256; // columns at a time
    let size = matrix.nrows();
    for start in (0..size).step_by(PANEL) {
        let own = start..(start + PANEL).min(size);
        let mut corner = matrix.slice(s![own.clone(), own.clone()]).as_standard_layout().into_owned();
        linalg::cholesky(&mut corner)?;
        matrix.slice_mut(s![own.clone(), own.clone()]).assign(&corner);
        let mut panel = matrix.slice(s![own.end.., own.clone()]).as_standard_layout().into_owned();
        solve_lower(corner.view(), &mut panel)?;
        matrix.slice_mut(s![own.end.., own.clone()]).assign(&panel);
        stripes(&mut matrix.slice_mut(s![own.end.., own.end..])).for_each(|(rest, mut rows)| {
            let left = panel.slice(s![..rest.end, ..]);
            let mut lower = rows.slice_mut(s![.., ..rest.end]);
            general_mat_mul(-1.0, &panel.slice(s![rest, ..]), &left.t(), 1.0, &mut lower);
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::single_threaded_blas;

    /// More than two stripes and panels, and not a whole number of them.
    const SIZE: usize = 601;

    fn definite() -> Array2<f64> {
        Array2::from_shape_fn((SIZE, SIZE), |(i, j)| {
            (-(i.abs_diff(j) as f64)).exp() + 0.1 * ((i * j) as f64).cos() / SIZE as f64
        })
    }

    fn rows() -> Array2<f64> {
        Array2::from_shape_fn((401, SIZE), |(i, j)| ((3 * i + j) as f64).sin())
    }

    fn factor() -> Array2<f64> {
        let mut factor = definite();
        cholesky(&mut factor).expect("positive definite");
        factor
    }

    fn lower(matrix: &Array2<f64>) -> Array2<f64> {
        Array2::from_shape_fn(matrix.dim(), |(i, j)| if j <= i { matrix[(i, j)] } else { 0.0 })
    }

    fn assert_close(a: &Array2<f64>, b: &Array2<f64>) {
        assert_eq!(a.dim(), b.dim());
        assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-11), "{}", (a - b).mapv(f64::abs).sum());
    }

    #[test]
    fn products_and_transposes_are_those_of_the_library() {
        single_threaded_blas();
        let (a, b) = (rows(), rows() * 0.3 + 1.0);
        assert_close(&product(&a, &definite()), &a.dot(&definite()));
        assert_close(&lower(&lower_product(&a, &b)), &lower(&a.dot(&b.t())));
        assert_eq!(transposed(&a.view()), a.t());
        let leftover = definite() + Array2::from_shape_fn((SIZE, SIZE), |(i, j)| f64::from(u8::from(j > i)));
        assert_close(&symmetric(&leftover.view()), &symmetric(&definite().view()));
        assert_close(&symmetric(&leftover.view()), &symmetric(&leftover.view()).t().to_owned());
    }

    #[test]
    fn a_factor_times_itself_is_the_matrix() {
        single_threaded_blas();
        let factor = lower(&factor());
        assert_close(&factor.dot(&factor.t()), &definite());
        let mut indefinite = definite();
        indefinite[(550, 550)] = -1.0;
        assert!(cholesky(&mut indefinite).is_err());
    }

    #[test]
    fn solutions_solve() {
        single_threaded_blas();
        let (factor, before) = (factor(), rows());
        let mut solved = before.clone();
        solve_lower(factor.view(), &mut solved).expect("regular");
        assert_close(&solved.dot(&lower(&factor).t()), &before);
        let mut solved = before.clone();
        solve_lower_transposed(factor.view(), &mut solved).expect("regular");
        assert_close(&solved.dot(&lower(&factor)), &before);
        let mut solved = transposed(&before.view());
        solve_lower_columns(factor.view(), &mut solved);
        assert_close(&lower(&factor).dot(&solved), &before.t().to_owned());
    }

    #[test]
    fn congruence_makes_the_matrix_of_the_factor_one() {
        single_threaded_blas();
        let mut unit = definite();
        congruent(factor().view(), &mut unit).expect("regular");
        assert_close(&lower(&unit), &Array2::eye(SIZE));
    }
}
