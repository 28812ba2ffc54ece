//! Thin screens in free space, shared by their problems.

use crate::baffled::{air, frequency};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_solver::air::Air;
use panelwright_solver::radiation::Arc;
use panelwright_solver::radiation::screen::{Dipoles, Jump, Screen, ScreenGrid};

/// A screen that moves in a given way at one wavenumber, and what it radiates.
pub struct Moving<'a> {
    grid: &'a ScreenGrid,
    wavenumber: f64,
    jump: Jump,
    /// Force [N] of the screen on the air.
    pub force: Complex64,
    centre: [f64; 2],
}

/// Distance [m] of `point` inside the edge of a disc of radius 1 m around (1 m, 1 m).
pub fn inside_disc([x, y]: [f64; 2]) -> f64 {
    1.0 - (x - 1.0).hypot(y - 1.0)
}

/// A disc of radius 1 m around (1 m, 1 m) with `cells` to the diameter.
pub fn disc(cells: f64) -> ScreenGrid {
    ScreenGrid::within(2.0, 2.0, 2.0 / cells, inside_disc)
}

/// Share of the cell around each node where `inside` holds, by sampling 8 × 8 points.
pub fn covered(grid: &ScreenGrid, inside: impl Fn([f64; 2]) -> bool) -> Array2<Complex64> {
    const POINTS: usize = 8;
    let (x, y) = (&grid.lattice.x, &grid.lattice.y);
    let offset = |i: usize| (i as f64 + 0.5) / POINTS as f64 - 0.5;
    Array2::from_shape_fn(grid.lattice.shape(), |(i, j)| {
        let at = |a: usize, b: usize| {
            [x.nodes[i] + offset(a) * x.weights[i], y.nodes[j] + offset(b) * y.weights[j]]
        };
        let hits =
            (0..POINTS).flat_map(|a| (0..POINTS).map(move |b| at(a, b))).filter(|&p| inside(p)).count();
        Complex64::from(hits as f64 / (POINTS * POINTS) as f64)
    })
}

impl<'a> Moving<'a> {
    /// The screen of `grid` moving with `velocity` [m/s] at `wavenumber` [rad/m].
    pub fn new(
        grid: &'a ScreenGrid,
        wavenumber: f64,
        velocity: &Array2<Complex64>,
        centre: [f64; 2],
    ) -> Self {
        let screen = Screen::new(grid, frequency(wavenumber), &dry(), None);
        let jump = screen.jump(velocity);
        let force = -screen.forces_of(&jump).sum();
        Self { grid, wavenumber, jump, force, centre }
    }

    fn dipoles(&self) -> Dipoles<'a> {
        Dipoles::new(self.grid, frequency(self.wavenumber), None, &self.jump)
    }

    /// Far-field amplitude [Pa·m] at `degrees` from the normal.
    pub fn far(&self, arc: Arc, degrees: &[f64]) -> Vec<Complex64> {
        let angles: Vec<f64> = degrees.iter().map(|angle| angle.to_radians()).collect();
        self.dipoles().far_field_arc(arc, &angles, self.centre, &dry())
    }

    /// Sound power [W], from the far field.
    pub fn power(&self) -> f64 {
        self.dipoles().power(&dry())
    }

    /// Pressure [Pa] on the axis at height `z` [m].
    pub fn on_axis(&self, z: f64) -> Complex64 {
        let lossless = dry().absorption(frequency(self.wavenumber)) * z;
        self.dipoles().pressure(&[[self.centre[0], self.centre[1], z]], &dry())[0] * lossless.exp()
    }
}

/// The medium.
pub fn dry() -> Air {
    air()
}
