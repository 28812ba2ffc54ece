//! Convolution on a regular grid by fast Fourier transform, in single precision.
//!
//! Kernels are made in double precision and even in both directions. The transforms round to about 3e-7 of the largest value, far
//! below the 1e-4 that the iterations around them stop at. Only rows that hold something are transformed, and the spectrum is kept
//! with the second direction first, which saves two of four transpositions.

use ndarray::{Array2, ArrayView2};
use num_complex::{Complex32, Complex64};
use rustfft::{Fft, FftPlanner};
use std::sync::Arc;

/// Edge of the square blocks in which matrices are transposed.
const BLOCK: usize = 16;

/// Transforms for fields of one size, with room that keeps the circular convolution from wrapping around.
#[derive(Clone)]
pub(crate) struct Convolver {
    /// Size of the fields.
    inner: (usize, usize),
    /// Size of the transforms.
    outer: (usize, usize),
    /// Forward and backward along the first direction.
    first: [Arc<dyn Fft<f32>>; 2],
    /// Along the second.
    second: [Arc<dyn Fft<f32>>; 2],
}

/// Transform of a kernel, (second, first), divided by the number of points.
pub(crate) struct Spectrum(Vec<Complex32>);

/// Buffers, one set per thread at work.
pub(crate) struct Workspace {
    rows: Vec<Complex32>,
    columns: Vec<Complex32>,
    scratch: Vec<Complex32>,
}

impl std::fmt::Debug for Convolver {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Convolver").field("inner", &self.inner).field("outer", &self.outer).finish()
    }
}

impl Convolver {
    /// For fields of size `inner` and kernels that reach across them.
    pub fn new(inner: (usize, usize)) -> Self {
        let outer = (good_size(2 * inner.0 - 1), good_size(2 * inner.1 - 1));
        let mut planner = FftPlanner::new();
        let mut pair = |n| [planner.plan_fft_forward(n), planner.plan_fft_inverse(n)];
        Self { inner, outer, first: pair(outer.0), second: pair(outer.1) }
    }

    /// Fresh buffers.
    pub fn workspace(&self) -> Workspace {
        let plans = self.first.iter().chain(&self.second);
        let scratch = plans.map(|plan| plan.get_inplace_scratch_len()).max().unwrap_or(0);
        let zero = Complex32::default();
        Workspace {
            rows: vec![zero; self.outer.0 * self.outer.1],
            columns: vec![zero; self.outer.0 * self.outer.1],
            scratch: vec![zero; scratch],
        }
    }

    /// Spectrum of an even kernel given for offsets 0, 1, … in both directions.
    pub fn kernel(&self, quadrant: ArrayView2<Complex64>) -> Spectrum {
        let mut space = self.workspace();
        let (f1, f2) = self.outer;
        let scale = 1.0 / (f1 * f2) as f64;
        // One half of the rows suffices: the kernel is even, so the transform along a row serves both signs.
        for i in 0..self.inner.0 {
            let row = &mut space.rows[i * f2..(i + 1) * f2];
            for (j, value) in quadrant.row(i).iter().take(self.inner.1).enumerate() {
                let value = single(value * scale);
                row[j] = value;
                row[(f2 - j) % f2] = value;
            }
        }
        self.second[0].process_with_scratch(&mut space.rows[..self.inner.0 * f2], &mut space.scratch);
        transpose(&space.rows, f2, &mut space.columns, f1, (self.inner.0, f2));
        for column in space.columns.chunks_exact_mut(f1) {
            for i in 1..self.inner.0 {
                column[f1 - i] = column[i];
            }
        }
        self.first[0].process_with_scratch(&mut space.columns, &mut space.scratch);
        Spectrum(space.columns)
    }

    /// Spectrum given by `symbol` of the phase steps per point [rad] (0…π) in both directions: the symbol is even.
    pub fn symbol(&self, symbol: impl Fn(f64, f64) -> Complex64) -> Spectrum {
        let (f1, f2) = self.outer;
        let scale = 1.0 / (f1 * f2) as f64;
        let step = |i: usize, n: usize| std::f64::consts::TAU * i as f64 / n as f64;
        let half = Array2::from_shape_fn((f2 / 2 + 1, f1 / 2 + 1), |(j, i)| {
            single(symbol(step(i, f1), step(j, f2)) * scale)
        });
        let values = (0..f2).flat_map(|j| (0..f1).map(move |i| (j, i)));
        Spectrum(values.map(|(j, i)| half[[j.min(f2 - j), i.min(f1 - i)]]).collect())
    }

    /// Convolves `field` (points of the grid in storage order) with a kernel.
    pub fn apply(&self, spectrum: &Spectrum, field: &[Complex64], space: &mut Workspace) -> Vec<Complex64> {
        let ((n1, n2), (f1, f2)) = (self.inner, self.outer);
        let Workspace { rows, columns, scratch } = space;
        let rows = &mut rows[..n1 * f2];
        for (row, values) in rows.chunks_exact_mut(f2).zip(field.chunks_exact(n2)) {
            row.iter_mut().zip(values).for_each(|(r, &v)| *r = single(v));
            row[n2..].fill(Complex32::default());
        }
        self.second[0].process_with_scratch(rows, scratch);
        transpose(rows, f2, columns, f1, (n1, f2));
        columns.chunks_exact_mut(f1).for_each(|column| column[n1..].fill(Complex32::default()));
        self.first[0].process_with_scratch(columns, scratch);
        columns.iter_mut().zip(&spectrum.0).for_each(|(c, s)| *c *= s);
        self.first[1].process_with_scratch(columns, scratch);
        transpose(columns, f1, rows, f2, (f2, n1));
        self.second[1].process_with_scratch(rows, scratch);
        let double = |v: &Complex32| Complex64::new(v.re.into(), v.im.into());
        rows.chunks_exact(f2).flat_map(|row| row[..n2].iter().map(double)).collect()
    }
}

fn single(value: Complex64) -> Complex32 {
    Complex32::new(value.re as f32, value.im as f32)
}

/// `to[j, i] = from[i, j]` for the first `rows` × `columns` entries of `from`; the strides are the lengths of the rows.
fn transpose(
    from: &[Complex32],
    from_stride: usize,
    to: &mut [Complex32],
    to_stride: usize,
    (rows, columns): (usize, usize),
) {
    for i0 in (0..rows).step_by(BLOCK) {
        for j0 in (0..columns).step_by(BLOCK) {
            for j in j0..(j0 + BLOCK).min(columns) {
                for i in i0..(i0 + BLOCK).min(rows) {
                    to[j * to_stride + i] = from[i * from_stride + j];
                }
            }
        }
    }
}

/// Smallest product of 2, 3 and 5 that is at least `minimum`.
fn good_size(minimum: usize) -> usize {
    let is_good = |&n: &usize| {
        let mut rest = n;
        for factor in [2, 3, 5] {
            while rest.is_multiple_of(factor) {
                rest /= factor;
            }
        }
        rest == 1
    };
    (minimum..).find(is_good).unwrap_or(minimum)
}
