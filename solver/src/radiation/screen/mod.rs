//! The open-backed panel: a thin screen in free space, or in front of a wall.
//!
//! Both faces move with the same velocity v (towards +z), so the pressure is that of a double layer whose strength is the jump
//! μ = p(front) − p(back), zero at the edge:
//!
//! ```text
//! p(r) = ∫ μ(s) ∂G/∂n_s dS,    A μ = jωρ v on the screen,    A = −∂/∂n_r ∫ · ∂G/∂n_s dS = −(∂²/∂x² + ∂²/∂y² + k²) ∫ G · dS
//! ```
//!
//! `G = exp(−jkR)/(4πR)`, `exp(+jωt)`, normal +z. On an infinite plane A multiplies a wave of wavenumber κ by `√(κ² − k²)/2`, so μ = 2ρc v for
//! a uniform motion. (A. J. Burton & G. F. Miller, Proc. R. Soc. Lond. A 323, 1971; for screens E. P. Stephan, Integral Equations
//! Operator Theory 10, 1987.)
//!
//! A wall at distance d behind throws back R of the pressure, as from an image of opposite sense at 2d, which makes the symbol of A
//!
//! ```text
//! (γ/2) (1 − R exp(−2γd)),    γ = √(κ² − k²),  jk_z for waves that travel
//! ```
//!
//! For R = 1 and a gap small against the wave it is `(κ² − k²) d`: the gap is a layer of air open at its rim. Its zeros `k_z d = nπ` are the waves
//! that the gap guides: only what they lose at the rim limits them.
//!
//! A is discretised by Galerkin's method with hats on a regular grid ([`ScreenGrid`]), where it is a convolution, and solved by
//! [`gmres`](crate::gmres) with the inverse of the infinite plane's symbol as preconditioner: 5 to 12 steps at any frequency in free space,
//! 7 to 20 before a wall at 60 mm, up to 50 at 10 mm (0.76 × 0.52 m plywood, 50 Hz to 20 kHz).
//! Valid for panels thin against the wavelength and their own size. The error is of second order in the cell: with eight cells
//! to the wavelength the far field is right to 0.1 dB.

mod field;
mod grid;
mod kernel;
mod plane;

pub use field::{Dipoles, heard_from_nodes};
pub use grid::ScreenGrid;
pub use plane::PlaneSampler;

use super::convolution::{Convolver, Spectrum, Workspace};
use crate::air::Air;
use crate::gmres::{Stop, gmres};
use ndarray::Array2;
use num_complex::Complex64;
use std::cell::RefCell;
use std::f64::consts::TAU;

/// Relative error of μ at which the iteration stops: a tenth of what eight cells to the wavelength leave in the far field. A screen
/// small against the wavelength radiates by a small part of μ only, `∝ (kL)³`, and one close to a wall by `(2kd)²` of that, so there the
/// iteration goes on, as far as the precision of the transforms carries.
const RESIDUAL: f64 = 1e-4;
const SMALL_SCREEN: f64 = 10.0;
const LEAST_RESIDUAL: f64 = 1e-8;
const LEAST_RESIDUAL_SINGLE: f64 = 2e-6;
/// Resonances add a step or two each.
const STEPS: usize = 200;
/// Loss of the preconditioner's medium: keeps its symbol from vanishing where waves graze the screen. A gap guides waves from rim to rim, where
/// they leave: the loss may not hold them up much more than that does, so before a wall it is at most this over kL, L² the screen's area.
/// (Found by trial for gaps of 10 mm to 0.8 m; half or twice as much takes a few steps more.)
const GRAZING_LOSS: f64 = 0.1;
const GUIDED_LOSS: f64 = 1.0;

/// A wall behind the screen and parallel to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParallelWall {
    /// From the screen to the wall [m].
    pub distance: f64,
    /// Pressure reflection factor; 1 for a hard wall.
    pub reflection: f64,
}

/// A screen at one frequency.
pub struct Screen<'a> {
    grid: &'a ScreenGrid,
    /// Where the iteration stops.
    stop: Stop,
    /// jωρ.
    drive: Complex64,
    operator: Spectrum,
    preconditioner: Spectrum,
    space: RefCell<Workspace>,
}

/// Pressure jump of a screen.
#[derive(Clone, Debug)]
pub struct Jump {
    /// Coefficients of the hats [Pa RMS], zero outside the outline.
    pub hats: Array2<Complex64>,
    /// Steps the iteration took.
    pub steps: usize,
    /// Relative residual it reached.
    pub residual: f64,
    /// Relative residual it was to reach.
    pub sought: f64,
}

impl<'a> Screen<'a> {
    /// The screen of `grid` at `frequency` [Hz], before a wall if there is one.
    pub fn new(grid: &'a ScreenGrid, frequency: f64, air: &Air, wall: Option<ParallelWall>) -> Self {
        let (k, cell, shape) = (air.wavenumber(frequency), grid.cell(), grid.lattice.shape());
        let mut kernel = kernel::screen(shape, cell, k);
        if let Some(wall) = wall {
            kernel.scaled_add(wall.reflection.into(), &kernel::image(shape, cell, k, 2.0 * wall.distance));
        }
        let size = k * grid.lattice.weights().sum::<f64>().sqrt();
        let round_trip = wall.map_or(1.0, |wall| (2.0 * k * wall.distance).min(1.0));
        let least = match grid.convolver {
            Convolver::Single(_) => LEAST_RESIDUAL_SINGLE,
            Convolver::Double(_) => LEAST_RESIDUAL,
        };
        let residual = (RESIDUAL * (size * round_trip).powi(2) / SMALL_SCREEN).clamp(least, RESIDUAL);
        let loss = wall.map_or(GRAZING_LOSS, |_| GRAZING_LOSS.min(GUIDED_LOSS / size));
        let plane = InfinitePlane { cell, k, loss, wall };
        Self {
            grid,
            stop: Stop { residual, steps: STEPS },
            drive: Complex64::new(0.0, TAU * frequency * air.density),
            operator: grid.convolver.kernel(kernel.view()),
            preconditioner: grid.convolver.symbol(|x, y| plane.inverse_symbol([x, y])),
            space: RefCell::new(grid.convolver.workspace()),
        }
    }

    /// The same screen, its iteration stopping at another relative error of μ.
    pub fn stopping_at(self, residual: f64) -> Self {
        Self { stop: Stop { residual, ..self.stop }, ..self }
    }

    /// Jump under a prescribed `velocity` [m/s RMS] at the nodes.
    pub fn jump(&self, velocity: &Array2<Complex64>) -> Jump {
        self.solve(velocity, |_| None)
    }

    /// Jump on a surface that gives way: `free` is its velocity in a vacuum, `answer(forces)` the velocity that the forces on the
    /// nodes [N, towards +z] add to it, both at the nodes.
    pub fn jump_giving_way(
        &self,
        free: &Array2<Complex64>,
        answer: impl Fn(&Array2<Complex64>) -> Array2<Complex64>,
    ) -> Jump {
        self.solve(free, |jump| Some(answer(&self.forces(jump))))
    }

    /// Forces of the air on the nodes [N, towards +z] under hats of the jump.
    pub fn forces_of(&self, jump: &Jump) -> Array2<Complex64> {
        self.forces(&values(&jump.hats))
    }

    fn forces(&self, hats: &[Complex64]) -> Array2<Complex64> {
        let [hx, hy] = self.grid.cell();
        let mut forces = self.grid.point_values(hats);
        forces.iter_mut().for_each(|force| *force *= -hx * hy);
        self.on_grid(forces)
    }

    fn solve(
        &self,
        velocity: &Array2<Complex64>,
        answer: impl Fn(&[Complex64]) -> Option<Array2<Complex64>>,
    ) -> Jump {
        let loaded = |velocity: &Array2<Complex64>| {
            let mut seen = self.grid.seen_by_hats(&values(velocity));
            seen.iter_mut().for_each(|v| *v *= self.drive);
            seen
        };
        let operator = |jump: &[Complex64]| {
            let mut sum = self.convolve(&self.operator, jump);
            self.grid.add_edge(jump, &mut sum);
            if let Some(velocity) = answer(jump) {
                sum.iter_mut().zip(loaded(&velocity)).for_each(|(sum, v)| *sum -= v);
            }
            self.precondition(&sum)
        };
        let right = self.precondition(&loaded(velocity));
        let solved = gmres(operator, right, self.stop);
        Jump {
            hats: self.on_grid(solved.x),
            steps: solved.steps,
            residual: solved.residual,
            sought: self.stop.residual,
        }
    }

    fn precondition(&self, field: &[Complex64]) -> Vec<Complex64> {
        let mut answer = self.convolve(&self.preconditioner, field);
        self.grid.trim(&mut answer);
        answer
    }

    fn convolve(&self, spectrum: &Spectrum, field: &[Complex64]) -> Vec<Complex64> {
        self.grid.convolver.apply(spectrum, field, &mut self.space.borrow_mut())
    }

    fn on_grid(&self, field: Vec<Complex64>) -> Array2<Complex64> {
        Array2::from_shape_vec(self.grid.lattice.shape(), field).expect("one value per node")
    }
}

/// Values in storage order.
fn values(field: &Array2<Complex64>) -> Vec<Complex64> {
    field.iter().copied().collect()
}

/// The infinite plane in a lossy medium.
struct InfinitePlane {
    cell: [f64; 2],
    k: f64,
    loss: f64,
    wall: Option<ParallelWall>,
}

impl InfinitePlane {
    /// `2/(γ (1 − R exp(−2γd)))` over the symbol of the hats' correlation, at phase steps per cell in both directions.
    fn inverse_symbol(&self, steps: [f64; 2]) -> Complex64 {
        let square: f64 = steps.iter().zip(self.cell).map(|(step, h)| (step / h).powi(2)).sum();
        let correlation: f64 = steps.iter().map(|step| (2.0 + step.cos()) / 3.0).product();
        let k_square = self.k * self.k * Complex64::new(1.0, -self.loss);
        let gamma = (square - k_square).sqrt();
        let image = |wall: ParallelWall| wall.reflection * (-2.0 * gamma * wall.distance).exp();
        2.0 / (gamma * correlation * (1.0 - self.wall.map_or(Complex64::ZERO, image)))
    }
}

impl Jump {
    /// The relative residual where the iteration stopped short of what was sought; nothing where it got there.
    pub fn shortfall(&self) -> Option<f64> {
        (self.residual > self.sought).then_some(self.residual)
    }

    /// `Σ factor · jump`.
    ///
    /// # Panics
    /// Without any jump.
    pub fn superposed(jumps: &[Jump], factors: &[Complex64]) -> Self {
        let mut hats = Array2::zeros(jumps[0].hats.dim());
        for (jump, factor) in jumps.iter().zip(factors) {
            hats.scaled_add(*factor, &jump.hats);
        }
        let worst = jumps.iter().map(|jump| jump.residual).fold(0.0, f64::max);
        Self {
            hats,
            steps: jumps.iter().map(|jump| jump.steps).sum(),
            residual: worst,
            sought: jumps[0].sought,
        }
    }
}

#[cfg(test)]
mod tests;
