//! Sums of the smooth part of the kernel over all pairs of points, by a grid.
//!
//! Strengths are spread to the grid under the [window](super::window), convolved with the kernel, and read under the window again. The window's
//! effect on the spectrum is divided out of the kernel's. Dipoles and normal derivatives use the window's slope. What the images of a point read is
//! what the point itself reads in the field folded at the mirror planes, which the grid is symmetric to.

use super::convolution::{Convolution, padded};
use super::smeared::{CONCENTRATION, Smeared};
use super::window::{FINENESS, WIDTH, Weights, transform};
use multiversion::multiversion;
use nalgebra::Vector3;
use ndarray::{Array3, Axis};
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;
use std::f64::consts::PI;

/// Cells beyond the largest distance over which the kernel goes on as it is, and then to zero: what wraps around must not be seen by the
/// inverse of the window.
const GUARD: usize = 6;
const TAPER: usize = 6;
/// Highest wavenumber kept, over that where the smooth part is concentrated.
const KEPT: f64 = 1.17;

/// Radius [m] of the smeared sources that a grid of this spacing [m] can carry.
pub(super) fn radius(spacing: f64) -> f64 {
    spacing * FINENESS * CONCENTRATION / PI
}

/// A place on the grid, and a direction [grid's own axes] with a length that normal derivatives and dipoles there are multiplied by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stencil {
    weights: [Weights; 3],
    /// Over the spacing.
    along: [f32; 3],
}

/// What stands at a point.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Strength {
    pub monopole: Complex32,
    /// Times the point's direction.
    pub dipole: Complex32,
}

/// A box of grid points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    origin: Vector3<f64>,
    spacing: f64,
    count: [usize; 3],
}

impl Grid {
    /// Holds all points between two corners with a window around each, its middle between the corners.
    pub fn around([low, high]: [Vector3<f64>; 2], spacing: f64) -> Self {
        let room = 0.5 * WIDTH as f64 + 1.0;
        let count =
            [0, 1, 2].map(|axis| ((high[axis] - low[axis]) / spacing + 2.0 * room).ceil() as usize + 1);
        let half = Vector3::from(count.map(|count| 0.5 * (count - 1) as f64 * spacing));
        let origin = 0.5 * (low + high) - half;
        Self { origin, spacing, count }
    }

    /// Points of the transforms.
    pub fn transformed(&self) -> usize {
        padded(self.count, 2 * (GUARD + TAPER)).iter().product()
    }

    pub fn stencil(&self, position: Vector3<f64>, direction: Vector3<f64>) -> Stencil {
        let place = (position - self.origin) / self.spacing;
        Stencil {
            weights: [0, 1, 2].map(|axis| Weights::at(place[axis])),
            along: [0, 1, 2].map(|axis| (direction[axis] / self.spacing) as f32),
        }
    }
}

/// The sum for one set of sources.
pub(super) struct SmoothSum {
    convolution: Convolution,
    sources: Vec<Stencil>,
    /// Sources whose window begins at each x, in their order.
    by_plane: Vec<Vec<u32>>,
    /// Axes across which the field is folded.
    folded: [bool; 3],
}

impl SmoothSum {
    /// `folded` are the axes whose mirror planes, through the middle of the grid, the receivers have images beyond.
    pub fn new(grid: &Grid, split: &Smeared, sources: Vec<Stencil>, folded: [bool; 3]) -> Self {
        let padded = padded(grid.count, 2 * (GUARD + TAPER));
        let fade = |offset: usize, axis: usize| {
            let beyond = offset.saturating_sub(grid.count[axis] + GUARD) as f64;
            let width = (padded[axis] / 2 - grid.count[axis] - GUARD) as f64;
            (0.5 * PI * (beyond / width).min(1.0)).cos().powi(2)
        };
        let kernel = |offset: [usize; 3]| {
            let r = grid.spacing * offset.map(|n| (n * n) as f64).iter().sum::<f64>().sqrt();
            let faded: f64 = (0..3).map(|axis| fade(offset[axis], axis)).product();
            let value = split.smooth(r)[0] * faded;
            Complex32::new(value.re as f32, value.im as f32)
        };
        let cut = KEPT * PI / FINENESS;
        let response = |angles: [f64; 3]| {
            let folded = angles.map(|angle| angle.min(2.0 * PI - angle));
            if folded.iter().map(|angle| angle * angle).sum::<f64>() > cut * cut {
                return 0.0;
            }
            folded.iter().map(|&angle| transform(angle).powi(-2)).product::<f64>() as f32
        };
        let mut by_plane = vec![vec![]; grid.count[0]];
        sources
            .iter()
            .enumerate()
            .for_each(|(i, source)| by_plane[source.weights[0].first as usize].push(i as u32));
        Self {
            convolution: Convolution::new(grid.count, padded, kernel, response),
            sources,
            by_plane,
            folded,
        }
    }

    /// The field on the grid of strengths at the sources, folded.
    pub fn field(&self, strengths: &[Strength]) -> Array3<Complex32> {
        let mut field = self.convolution.field();
        let width = field.dim().2;
        field.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(x, mut plane)| {
            let plane = plane.as_slice_mut().unwrap_or_default();
            for first in (x + 1).saturating_sub(WIDTH)..=x {
                for &i in &self.by_plane[first] {
                    spread(&self.sources[i as usize], x - first, strengths[i as usize], plane, width);
                }
            }
        });
        self.convolution.apply(&mut field);
        (0..3).filter(|&axis| self.folded[axis]).for_each(|axis| self.fold(&mut field, axis));
        field
    }

    /// The field and its derivative along its direction at every source and all its images together.
    pub fn at_sources(&self, field: &Array3<Complex32>) -> Vec<[Complex64; 2]> {
        self.sources.par_iter().map(|source| source.read(field)).collect()
    }

    /// Adds to the field its image beyond the middle of an axis.
    fn fold(&self, field: &mut Array3<Complex32>, axis: usize) {
        let count = self.convolution.inner[axis];
        let across = Axis(usize::from(axis == 0));
        field.axis_iter_mut(across).into_par_iter().for_each(|mut plane| {
            let lines = Axis(usize::from(axis == 2));
            for mut line in plane.lanes_mut(lines) {
                for (low, high) in (0..count / 2).map(|low| (low, count - 1 - low)) {
                    let both = line[low] + line[high];
                    (line[low], line[high]) = (both, both);
                }
                if count % 2 == 1 {
                    line[count / 2] *= 2.0;
                }
            }
        });
    }
}

/// Adds a strength to one plane, its rows of this width, under the window. A dipole is the derivative by its own place: the window moves the other way.
#[multiversion(targets = "simd")]
fn spread(stencil: &Stencil, x: usize, strength: Strength, plane: &mut [Complex32], width: usize) {
    let Stencil { weights: [wx, wy, wz], along } = stencil;
    let even: Row = std::array::from_fn(|i| {
        strength.monopole * wz.values[i] - strength.dipole * (along[2] * wz.slopes[i])
    });
    let odd: Row = std::array::from_fn(|i| strength.dipole * wz.values[i]);
    for y in 0..WIDTH {
        let flat = wx.values[x] * wy.values[y];
        let across = -along[0] * wx.slopes[x] * wy.values[y] - along[1] * wx.values[x] * wy.slopes[y];
        let row = &mut plane[(wy.first as usize + y) * width + wz.first as usize..][..WIDTH];
        for i in 0..WIDTH {
            row[i] += even[i] * flat + odd[i] * across;
        }
    }
}

/// Grid points under the window in one row.
type Row = [Complex32; WIDTH];

impl Stencil {
    /// The field here and its derivative along the point's direction, times that direction's length.
    pub fn read(&self, field: &Array3<Complex32>) -> [Complex64; 2] {
        let (_, height, width) = field.dim();
        let [flat, across] = summed(self, field.as_slice().unwrap_or_default(), height, width);
        let wz = &self.weights[2];
        let (mut value, mut slope) = (Complex32::ZERO, Complex32::ZERO);
        for i in 0..WIDTH {
            value += flat[i] * wz.values[i];
            slope -= across[i] * wz.values[i] + flat[i] * (self.along[2] * wz.slopes[i]);
        }
        [value, slope].map(|sum| Complex64::new(sum.re.into(), sum.im.into()))
    }
}

/// Rows under the window summed over x and y: with its values, and with its slope along the point's direction.
#[multiversion(targets = "simd")]
fn summed(stencil: &Stencil, field: &[Complex32], height: usize, width: usize) -> [Row; 2] {
    let Stencil { weights: [wx, wy, wz], along } = stencil;
    let mut sums = [[Complex32::ZERO; WIDTH]; 2];
    for x in 0..WIDTH {
        for y in 0..WIDTH {
            let start =
                ((wx.first as usize + x) * height + wy.first as usize + y) * width + wz.first as usize;
            let row = &field[start..][..WIDTH];
            let flat = wx.values[x] * wy.values[y];
            let across = along[0] * wx.slopes[x] * wy.values[y] + along[1] * wx.values[x] * wy.slopes[y];
            for i in 0..WIDTH {
                sums[0][i] += row[i] * flat;
                sums[1][i] += row[i] * across;
            }
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points and unit directions in a box.
    fn points(count: usize) -> Vec<[Vector3<f64>; 2]> {
        (0..count)
            .map(|i| {
                let t = i as f64;
                let place =
                    Vector3::new(0.2 * (7.1 * t).sin(), 0.15 * (3.3 * t).cos(), 0.1 * (1.7 * t).sin());
                [place, Vector3::new((2.0 * t).sin(), (5.0 * t).cos(), (9.0 * t).sin()).normalize()]
            })
            .collect()
    }

    /// Largest errors of potential and normal derivative over the root mean square of the exact ones.
    fn errors(k: f64, spacing: f64, dipoles: bool) -> [f64; 2] {
        let split = Smeared::new(radius(spacing), k);
        let points = points(300);
        let extent = [-1.0, 1.0].map(|sign| Vector3::new(0.2, 0.15, 0.1) * sign);
        let grid = Grid::around(extent, spacing);
        let stencils: Vec<Stencil> =
            points.iter().map(|[place, direction]| grid.stencil(*place, *direction)).collect();
        let sum = SmoothSum::new(&grid, &split, stencils.clone(), [false; 3]);
        let strength = |i: usize| {
            let value = Complex32::cis(i as f32);
            if dipoles {
                Strength { dipole: value, ..Default::default() }
            } else {
                Strength { monopole: value, ..Default::default() }
            }
        };
        let strengths: Vec<Strength> = (0..points.len()).map(strength).collect();
        let field = sum.field(&strengths);
        let (mut worst, mut squares) = ([0.0f64; 2], [0.0; 2]);
        for (stencil, [x, n]) in stencils.iter().zip(&points) {
            let found = stencil.read(&field);
            let mut exact = [Complex64::ZERO; 2];
            for ([y, m], strength) in points.iter().zip(&strengths) {
                let apart = x - y;
                let r = apart.norm();
                let [g, falling, bend] = split.smooth(r);
                // Second derivatives of a radial function: (n·m) g′/r + (n·d)(m·d) (g″ − g′/r)/r², with g″ = −bend − 2g′/r.
                let steep = if r > 1e-9 { (-bend + 3.0 * falling) / (r * r) } else { Complex64::ZERO };
                let pair = if r > 1e-9 {
                    -(falling * -n.dot(m) + steep * (n.dot(&apart) * m.dot(&apart)))
                } else {
                    bend * (n.dot(m) / 3.0)
                };
                let q = |c: Complex32| Complex64::new(c.re.into(), c.im.into());
                exact[0] += q(strength.monopole) * g + q(strength.dipole) * falling * m.dot(&apart);
                exact[1] += -q(strength.monopole) * falling * n.dot(&apart) + q(strength.dipole) * pair;
            }
            for part in 0..2 {
                worst[part] = worst[part].max((found[part] - exact[part]).norm());
                squares[part] += exact[part].norm_sqr() / points.len() as f64;
            }
        }
        [0, 1].map(|part| worst[part] / squares[part].sqrt())
    }

    #[test]
    fn the_grid_carries_the_smooth_part() {
        for (k, spacing) in [(0.0, 0.02), (5.0, 0.02), (40.0, 0.02), (52.0, 0.02), (100.0, 0.01)] {
            for dipoles in [false, true] {
                let [value, slope] = errors(k, spacing, dipoles);
                assert!(value < 4e-3 && slope < 8e-3, "{k} {spacing} {dipoles}: {value:e} {slope:e}");
            }
        }
    }
}
