//! Convolution on a regular grid in space by fast Fourier transform, in single precision.
//!
//! The grid is padded to twice its size for the transforms, so that nothing wraps around, but only along y and z in memory: along x every line is
//! padded, transformed, multiplied and transformed back in one go. Lines are worked on in parallel, each by itself, so that results
//! do not depend on the number of threads.

use crate::transform_size::transform_size;
use ndarray::{Array3, ArrayViewMut2, ArrayViewMut3, Axis, s};
use num_complex::Complex32;
use rayon::prelude::*;
use rustfft::{Fft, FftPlanner};
use std::sync::Arc;

/// Lines that are copied together, so that whole cache lines are read.
const TILE: usize = 16;

/// Transforms of one direction.
#[derive(Clone)]
struct Transform {
    forward: Arc<dyn Fft<f32>>,
    inverse: Arc<dyn Fft<f32>>,
}

/// A convolution with one even kernel.
pub(super) struct Convolution {
    /// Grid points that hold something, along x, y and z.
    pub inner: [usize; 3],
    /// Points of the transforms.
    padded: [usize; 3],
    transforms: [Transform; 3],
    /// Transform of the kernel over the number of points; even in every direction, so only its first half of each: `padded/2 + 1`.
    spectrum: Array3<Complex32>,
}

/// Least even number of points from `least` on that transforms like.
fn friendly(least: usize) -> usize {
    2 * transform_size(least.div_ceil(2))
}

/// Points of the transforms for a grid and a margin that the kernel needs beyond its size.
pub(super) fn padded(inner: [usize; 3], margin: usize) -> [usize; 3] {
    inner.map(|count| friendly(2 * count + margin))
}

impl Convolution {
    /// `kernel` gives the value at an offset in grid points (up to half of `padded`), `response` what the transform of the kernel is to be
    /// multiplied by at the angles [rad per point] of the three directions.
    pub fn new(
        inner: [usize; 3],
        padded: [usize; 3],
        kernel: impl Fn([usize; 3]) -> Complex32 + Sync,
        response: impl Fn([f64; 3]) -> f32 + Sync,
    ) -> Self {
        let mut planner = FftPlanner::new();
        let transforms = padded.map(|count| Transform {
            forward: planner.plan_fft_forward(count),
            inverse: planner.plan_fft_inverse(count),
        });
        let half = padded.map(|count| count / 2 + 1);
        let mut spectrum = Array3::zeros(half);
        spectrum.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(x, mut plane)| {
            plane.indexed_iter_mut().for_each(|((y, z), value)| *value = kernel([x, y, z]));
        });
        for (axis, transform) in transforms.iter().enumerate() {
            even_transforms(spectrum.view_mut(), axis, transform);
        }
        let points = padded.iter().product::<usize>() as f32;
        let angle = |axis: usize, n: usize| std::f64::consts::TAU * n as f64 / padded[axis] as f64;
        spectrum.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(x, mut plane)| {
            plane.indexed_iter_mut().for_each(|((y, z), value)| {
                *value *= response([angle(0, x), angle(1, y), angle(2, z)]) / points;
            });
        });
        Self { inner, padded, transforms, spectrum }
    }

    /// Zeros, with room for the transforms: (x, padded y, padded z).
    pub fn field(&self) -> Array3<Complex32> {
        Array3::zeros([self.inner[0], self.padded[1], self.padded[2]])
    }

    /// Convolves what is on the grid, in place; beyond the grid the field is overwritten.
    pub fn apply(&self, field: &mut Array3<Complex32>) {
        let [_, y, _] = self.inner;
        let [_, along_y, along_z] = &self.transforms;
        let rows = |plane: ArrayViewMut2<Complex32>, transform: &Arc<dyn Fft<f32>>| {
            let mut rows = plane;
            for mut row in rows.slice_mut(s![..y, ..]).rows_mut() {
                transform.process(row.as_slice_mut().expect("contiguous rows"));
            }
        };
        field.axis_iter_mut(Axis(0)).into_par_iter().for_each(|mut plane| {
            rows(plane.view_mut(), &along_z.forward);
            columns(plane, &along_y.forward);
        });
        field.axis_iter_mut(Axis(1)).into_par_iter().enumerate().for_each(|(y, plane)| self.across(y, plane));
        field.axis_iter_mut(Axis(0)).into_par_iter().for_each(|mut plane| {
            columns(plane.view_mut(), &along_y.inverse);
            rows(plane, &along_z.inverse);
        });
    }

    /// Along x: transform, multiplication and inverse transform of all lines of one y, from (x, z).
    fn across(&self, y: usize, mut plane: ArrayViewMut2<Complex32>) {
        let mirrored = |n: usize, axis: usize| n.min(self.padded[axis] - n);
        let (count, depth) = (self.padded[0], plane.ncols());
        let spectrum = self.spectrum.index_axis(Axis(1), mirrored(y, 1));
        let transform = &self.transforms[0];
        let mut lines = vec![Complex32::ZERO; TILE * count];
        for start in (0..depth).step_by(TILE) {
            let own = start..(start + TILE).min(depth);
            let used = own.len() * count;
            lines.fill(Complex32::ZERO);
            for (x, row) in plane.slice(s![.., own.clone()]).rows().into_iter().enumerate() {
                row.iter().enumerate().for_each(|(line, value)| lines[line * count + x] = *value);
            }
            transform.forward.process(&mut lines[..used]);
            for (line, z) in lines.chunks_exact_mut(count).zip(own.clone()) {
                let z = mirrored(z, 2);
                line.iter_mut().enumerate().for_each(|(x, value)| *value *= spectrum[(mirrored(x, 0), z)]);
            }
            transform.inverse.process(&mut lines[..used]);
            for (x, mut row) in plane.slice_mut(s![.., own]).rows_mut().into_iter().enumerate() {
                row.iter_mut().enumerate().for_each(|(line, value)| *value = lines[line * count + x]);
            }
        }
    }
}

/// Transforms every column.
fn columns(mut plane: ArrayViewMut2<Complex32>, transform: &Arc<dyn Fft<f32>>) {
    let (count, width) = plane.dim();
    let mut lines = vec![Complex32::ZERO; TILE * count];
    for start in (0..width).step_by(TILE) {
        let own = start..(start + TILE).min(width);
        let used = own.len() * count;
        for (y, row) in plane.slice(s![.., own.clone()]).rows().into_iter().enumerate() {
            row.iter().enumerate().for_each(|(line, value)| lines[line * count + y] = *value);
        }
        transform.process(&mut lines[..used]);
        for (y, mut row) in plane.slice_mut(s![.., own]).rows_mut().into_iter().enumerate() {
            row.iter_mut().enumerate().for_each(|(line, value)| *value = lines[line * count + y]);
        }
    }
}

/// Transforms along one axis of an even function given by its first half.
fn even_transforms(mut half: ArrayViewMut3<Complex32>, axis: usize, transform: &Transform) {
    let count = transform.forward.len();
    let across = if axis == 0 { 1 } else { 0 };
    half.axis_iter_mut(Axis(across)).into_par_iter().for_each(|mut plane| {
        let lines = if axis == 2 { Axis(1) } else { Axis(0) };
        let mut whole = vec![Complex32::ZERO; count];
        for mut line in plane.lanes_mut(lines) {
            (0..count).for_each(|n| whole[n] = line[n.min(count - n)]);
            transform.forward.process(&mut whole);
            line.iter_mut().zip(&whole).for_each(|(value, transformed)| *value = *transformed);
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sum_over_all_pairs() {
        let inner = [5, 3, 7];
        let padded = padded(inner, 0);
        let kernel = |[x, y, z]: [usize; 3]| {
            Complex32::new(1.0 / (1.0 + (x + 2 * y) as f32), 0.1 * (z as f32) - 0.03 * (x * y) as f32)
        };
        let convolution = Convolution::new(inner, padded, kernel, |_| 1.0);
        let value =
            |x: usize, y: usize, z: usize| Complex32::new((x as f32).sin() + y as f32, (z as f32).cos());
        let mut field = convolution.field();
        let places: Vec<[usize; 3]> =
            (0..5).flat_map(|x| (0..3).flat_map(move |y| (0..7).map(move |z| [x, y, z]))).collect();
        places.iter().for_each(|&[x, y, z]| field[(x, y, z)] = value(x, y, z));
        convolution.apply(&mut field);
        for &[x, y, z] in &places {
            let term = |&[a, b, c]: &[usize; 3]| {
                kernel([x.abs_diff(a), y.abs_diff(b), z.abs_diff(c)]) * value(a, b, c)
            };
            let exact: Complex32 = places.iter().map(term).sum();
            assert!((field[(x, y, z)] - exact).norm() < 1e-4 * exact.norm().max(10.0), "{x} {y} {z}");
        }
    }

    #[test]
    fn friendly_numbers_are_even_and_smooth() {
        assert_eq!([2, 7, 31, 121, 211].map(friendly), [2, 8, 32, 128, 216]);
    }
}
