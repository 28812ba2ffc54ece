//! Sound on a plane parallel to a screen, at many points at once.
//!
//! On the screen's own grid, continued beyond its edges, the sum over dipoles is a convolution; between grid points a polynomial
//! of fifth degree in each direction is laid. At eight cells to the wavelength it is right to 0.1 %.

use super::super::attenuation;
use super::super::convolution::Convolver;
use super::{Dipoles, ScreenGrid, kernel};
use crate::air::Air;
use ndarray::{Array2, s};
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};

/// Points of an interpolating polynomial.
const POINTS: usize = 6;

/// Points on a plane, prepared for one grid.
pub struct PlaneSampler<'a> {
    points: &'a Lattice,
    /// Where the screen's first node lies in the continued grid.
    first: [usize; 2],
    shape: (usize, usize),
    /// For every x and every y: the first grid point and the weights of the following.
    weights: [Vec<(usize, [f64; POINTS])>; 2],
    convolver: Convolver,
}

impl<'a> PlaneSampler<'a> {
    /// For the `points` of a lattice and screens on `grid`.
    pub fn new(grid: &ScreenGrid, points: &'a Lattice) -> Self {
        let x = Continued::new(&grid.lattice.x, &points.x);
        let y = Continued::new(&grid.lattice.y, &points.y);
        let shape = (x.count, y.count);
        Self {
            points,
            first: [x.first, y.first],
            shape,
            weights: [x.weights, y.weights],
            convolver: Convolver::new(shape),
        }
    }

    /// Pressure [Pa RMS] (x, y) of `dipoles` on the plane at `height` [m] in front, in moist air.
    pub fn pressure(&self, dipoles: &Dipoles, height: f64, air: &Air) -> Array2<Complex64> {
        let (nx, ny) = dipoles.strengths.dim();
        let [ix, iy] = self.first;
        let mut field = Array2::zeros(self.shape);
        field.slice_mut(s![ix..ix + nx, iy..iy + ny]).assign(&dipoles.strengths);
        let (cell, k) = (dipoles.grid.cell(), air.wavenumber(dipoles.frequency));
        let mut kernel = kernel::dipole(self.shape, cell, k, height);
        if let Some(wall) = dipoles.wall {
            let image = kernel::dipole(self.shape, cell, k, height + 2.0 * wall.distance);
            kernel.scaled_add((-wall.reflection).into(), &image);
        }
        let spectrum = self.convolver.kernel(kernel.view());
        let on_grid =
            self.convolver.apply(&spectrum, &super::values(&field), &mut self.convolver.workspace());
        let (centre, absorption) = (dipoles.grid.centre(), air.absorption(dipoles.frequency));
        Array2::from_shape_fn(self.points.shape(), |(i, j)| {
            let receiver = [self.points.x.nodes[i], self.points.y.nodes[j], height];
            self.interpolated(&on_grid, i, j) * attenuation(centre, receiver, absorption)
        })
    }

    fn interpolated(&self, on_grid: &[Complex64], i: usize, j: usize) -> Complex64 {
        let ((ix, wx), (iy, wy)) = (&self.weights[0][i], &self.weights[1][j]);
        let row = |a: usize| -> Complex64 {
            let start = (ix + a) * self.shape.1 + iy;
            on_grid[start..start + POINTS].iter().zip(wy).map(|(p, w)| p * w).sum()
        };
        wx.iter().enumerate().map(|(a, w)| row(a) * w).sum()
    }
}

/// One direction of a grid, continued far enough to interpolate at given points.
struct Continued {
    first: usize,
    count: usize,
    weights: Vec<(usize, [f64; POINTS])>,
}

impl Continued {
    fn new(nodes: &Axis, points: &Axis) -> Self {
        let (origin, step) = (nodes.nodes[0], nodes.weights[0]);
        let place = |x: &f64| (x - origin) / step;
        let start = |place: f64| place.floor() as isize - (POINTS as isize / 2 - 1);
        let starts: Vec<isize> = points.nodes.iter().map(|x| start(place(x))).collect();
        let low = starts.iter().copied().min().unwrap_or(0).min(0);
        let high = starts.iter().map(|s| s + POINTS as isize).max().unwrap_or(0).max(nodes.len() as isize);
        let weights =
            |(x, &start): (&f64, &isize)| ((start - low) as usize, lagrange(place(x) - start as f64));
        Self {
            first: (-low) as usize,
            count: (high - low) as usize,
            weights: points.nodes.iter().zip(&starts).map(weights).collect(),
        }
    }
}

/// Weights of values at 0, 1, …, 5 that interpolate at `t`.
fn lagrange(t: f64) -> [f64; POINTS] {
    std::array::from_fn(|i| {
        let others = (0..POINTS).filter(|&j| j != i);
        others.map(|j| (t - j as f64) / (i as f64 - j as f64)).product()
    })
}
