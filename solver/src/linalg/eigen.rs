//! Symmetric eigenproblems.

use super::{LapackFailure, NO_TRANSPOSE, UPPER, checked, leading, order};
use lapack_sys as lapack;
use ndarray::{Array1, Array2, ArrayViewMut2, Axis, s};
use rayon::prelude::*;
use std::ffi::{c_char, c_int};

const LEFT: c_char = b'L' as c_char;

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
