//! Convolution on a regular grid by fast Fourier transform.
//!
//! Kernels are made in double precision and even in both directions. Large grids are transformed in single precision, which rounds to about
//! 3e-7 of the largest value, far below the 1e-4 that the iterations around them stop at. Small grids serve low frequencies, where
//! the sound is the little that is left after almost all cancels: they cost little and are transformed in double precision.
//! Only rows that hold something are transformed, and the spectrum is kept with the second direction first, which saves two of
//! four transpositions.

use crate::transform_size::transform_size;
use ndarray::{Array2, ArrayView2};
use num_complex::{Complex, Complex64};
use rustfft::{Fft, FftNum, FftPlanner};
use std::sync::Arc;

/// Edge of the square blocks in which matrices are transposed.
const BLOCK: usize = 16;
/// Points of the largest small grid.
const SMALL: usize = 4096;

/// Transforms for fields of one size, with room that keeps the circular convolution from wrapping around.
#[derive(Clone, Debug)]
pub(crate) enum Convolver {
    Single(Transforms<f32>),
    Double(Transforms<f64>),
}

/// Transform of a kernel, (second, first), divided by the number of points.
pub(crate) enum Spectrum {
    Single(Vec<Complex<f32>>),
    Double(Vec<Complex<f64>>),
}

/// Buffers, one set per thread at work.
pub(crate) enum Workspace {
    Single(Buffers<f32>),
    Double(Buffers<f64>),
}

impl Convolver {
    /// For fields of size `inner` and kernels that reach across them.
    pub fn new(inner: (usize, usize)) -> Self {
        if inner.0 * inner.1 <= SMALL {
            Self::Double(Transforms::new(inner))
        } else {
            Self::Single(Transforms::new(inner))
        }
    }

    /// Fresh buffers.
    pub fn workspace(&self) -> Workspace {
        match self {
            Self::Single(transforms) => Workspace::Single(transforms.buffers()),
            Self::Double(transforms) => Workspace::Double(transforms.buffers()),
        }
    }

    /// Spectrum of an even kernel given for offsets 0, 1, … in both directions.
    pub fn kernel(&self, quadrant: ArrayView2<Complex64>) -> Spectrum {
        match self {
            Self::Single(transforms) => Spectrum::Single(transforms.kernel(quadrant)),
            Self::Double(transforms) => Spectrum::Double(transforms.kernel(quadrant)),
        }
    }

    /// Spectrum given by `symbol` of the phase steps per point [rad] (0…π) in both directions: the symbol is even.
    pub fn symbol(&self, symbol: impl Fn(f64, f64) -> Complex64) -> Spectrum {
        match self {
            Self::Single(transforms) => Spectrum::Single(transforms.symbol(symbol)),
            Self::Double(transforms) => Spectrum::Double(transforms.symbol(symbol)),
        }
    }

    /// Convolves `field` (points of the grid in storage order) with a kernel.
    ///
    /// # Panics
    /// When spectrum or buffers are those of a convolver of another size.
    pub fn apply(&self, spectrum: &Spectrum, field: &[Complex64], space: &mut Workspace) -> Vec<Complex64> {
        match (self, spectrum, space) {
            (Self::Single(transforms), Spectrum::Single(spectrum), Workspace::Single(space)) => {
                transforms.apply(spectrum, field, space)
            }
            (Self::Double(transforms), Spectrum::Double(spectrum), Workspace::Double(space)) => {
                transforms.apply(spectrum, field, space)
            }
            _ => panic!("spectrum and buffers belong to a grid of another size"),
        }
    }
}

/// A number to transform in.
pub(crate) trait Real: FftNum + Into<f64> {
    fn rounded(value: f64) -> Self;
}

impl Real for f32 {
    fn rounded(value: f64) -> Self {
        value as f32
    }
}

impl Real for f64 {
    fn rounded(value: f64) -> Self {
        value
    }
}

/// A [`Convolver`] of one precision.
#[derive(Clone)]
pub(crate) struct Transforms<T> {
    /// Size of the fields.
    inner: (usize, usize),
    /// Size of the transforms.
    outer: (usize, usize),
    /// Forward and backward along the first direction.
    first: [Arc<dyn Fft<T>>; 2],
    /// Along the second.
    second: [Arc<dyn Fft<T>>; 2],
}

/// [`Workspace`] of one precision.
pub(crate) struct Buffers<T> {
    rows: Vec<Complex<T>>,
    columns: Vec<Complex<T>>,
    scratch: Vec<Complex<T>>,
}

impl<T> std::fmt::Debug for Transforms<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Transforms").field("inner", &self.inner).field("outer", &self.outer).finish()
    }
}

impl<T: Real> Transforms<T> {
    fn new(inner: (usize, usize)) -> Self {
        let outer = (transform_size(2 * inner.0 - 1), transform_size(2 * inner.1 - 1));
        let mut planner = FftPlanner::new();
        let mut pair = |n| [planner.plan_fft_forward(n), planner.plan_fft_inverse(n)];
        Self { inner, outer, first: pair(outer.0), second: pair(outer.1) }
    }

    fn buffers(&self) -> Buffers<T> {
        let plans = self.first.iter().chain(&self.second);
        let scratch = plans.map(|plan| plan.get_inplace_scratch_len()).max().unwrap_or(0);
        let zero = zero();
        Buffers {
            rows: vec![zero; self.outer.0 * self.outer.1],
            columns: vec![zero; self.outer.0 * self.outer.1],
            scratch: vec![zero; scratch],
        }
    }

    fn kernel(&self, quadrant: ArrayView2<Complex64>) -> Vec<Complex<T>> {
        let mut space = self.buffers();
        let (f1, f2) = self.outer;
        let scale = 1.0 / (f1 * f2) as f64;
        // One half of the rows suffices: the kernel is even, so the transform along a row serves both signs.
        for i in 0..self.inner.0 {
            let row = &mut space.rows[i * f2..(i + 1) * f2];
            for (j, value) in quadrant.row(i).iter().take(self.inner.1).enumerate() {
                let value = rounded(value * scale);
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
        space.columns
    }

    fn symbol(&self, symbol: impl Fn(f64, f64) -> Complex64) -> Vec<Complex<T>> {
        let (f1, f2) = self.outer;
        let scale = 1.0 / (f1 * f2) as f64;
        let step = |i: usize, n: usize| std::f64::consts::TAU * i as f64 / n as f64;
        let half = Array2::from_shape_fn((f2 / 2 + 1, f1 / 2 + 1), |(j, i)| {
            rounded(symbol(step(i, f1), step(j, f2)) * scale)
        });
        let values = (0..f2).flat_map(|j| (0..f1).map(move |i| (j, i)));
        values.map(|(j, i)| half[[j.min(f2 - j), i.min(f1 - i)]]).collect()
    }

    fn apply(&self, spectrum: &[Complex<T>], field: &[Complex64], space: &mut Buffers<T>) -> Vec<Complex64> {
        let ((n1, n2), (f1, f2)) = (self.inner, self.outer);
        let Buffers { rows, columns, scratch } = space;
        let rows = &mut rows[..n1 * f2];
        for (row, values) in rows.chunks_exact_mut(f2).zip(field.chunks_exact(n2)) {
            row.iter_mut().zip(values).for_each(|(r, &v)| *r = rounded(v));
            row[n2..].fill(zero());
        }
        self.second[0].process_with_scratch(rows, scratch);
        transpose(rows, f2, columns, f1, (n1, f2));
        columns.chunks_exact_mut(f1).for_each(|column| column[n1..].fill(zero()));
        self.first[0].process_with_scratch(columns, scratch);
        columns.iter_mut().zip(spectrum).for_each(|(c, s)| *c = *c * *s);
        self.first[1].process_with_scratch(columns, scratch);
        transpose(columns, f1, rows, f2, (f2, n1));
        self.second[1].process_with_scratch(rows, scratch);
        let double = |v: &Complex<T>| Complex64::new(v.re.into(), v.im.into());
        rows.chunks_exact(f2).flat_map(|row| row[..n2].iter().map(double)).collect()
    }
}

fn rounded<T: Real>(value: Complex64) -> Complex<T> {
    Complex::new(T::rounded(value.re), T::rounded(value.im))
}

fn zero<T: Real>() -> Complex<T> {
    Complex::new(T::zero(), T::zero())
}

/// `to[j, i] = from[i, j]` for the first `rows` × `columns` entries of `from`; the strides are the lengths of the rows.
fn transpose<T: Copy>(
    from: &[T],
    from_stride: usize,
    to: &mut [T],
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
