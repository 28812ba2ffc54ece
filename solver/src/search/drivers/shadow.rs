//! What the driver's housing takes from the panel's sound.
//!
//! # Equations
//!
//! `exp(+jωt)`. The panel moves with v in a wall without end, the housing stands before it, rigid. A source G at a seat makes, scattered by the housing, the pressure s
//! on the wall; by reciprocity the housing changes what the seat hears of the panel by
//!
//! ```text
//! Δp = jωρ ∫ s v dS,    p = jωρ ∫ 2G v dS
//! ```
//!
//! Seen from the housing the seat is far: its wave is plane there, and s is G at the place times a pattern about the housing's axis, which depends on the direction
//! alone. Patterns are solved for a few directions per seat (Chebyshev points over those that places see the seat in) and
//! interpolated; each place is then one value of the correlation of a pattern with v.
//!
//! # Validity
//!
//! Seats many housings away. Beyond the panel's edge the wall that is taken for it is not there: what is said of places there is an upper bound by experience, not a
//! theorem. The housing does not push back on the panel.

use super::correlation::{Correlator, Transformed};
use super::field::Stage;
use super::radiator::Radiator;
use crate::boundary::{BoundaryError, Drive, PlaneWave, System};
use crate::coupling::panel_on_driver::Face;
use crate::plate::Modes;
use crate::scene::Seat;
use crate::surrounds::CompareError;
use nalgebra::Vector3;
use ndarray::{Array1, Array2};
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};
use std::num::NonZeroUsize;

/// Cells to the wavelength, to the shorter side, and to the radius of the housing.
const CELLS: [f64; 3] = [8.0, 24.0, 2.0];
/// What the interpolation between directions may be off, of the wave that arrives.
const INTERPOLATION: f64 = 0.01;
/// Directions per coordinate at most.
const MOST: usize = 9;

/// Energies at the seats [Pa²] of the panel's sound at one frequency.
pub(super) struct Shadowed {
    /// Without the housing, summed over the seats.
    pub bare: f64,
    /// With the housing at every place of the grid.
    pub with: Array2<f64>,
}

/// A moving panel.
pub(super) struct Moving<'a> {
    pub modes: &'a Modes,
    /// Modal velocities at the frequency.
    pub velocity: &'a [Complex64],
}

impl Stage<'_> {
    /// What a housing takes at `frequency` [Hz].
    pub fn shadowed(
        &self,
        radiator: &Radiator,
        panel: &Moving,
        frequency: f64,
    ) -> Result<Shadowed, CompareError> {
        let k = self.air.wavenumber(frequency);
        let lattice = self.face(radiator, k);
        let mut flow = panel.modes.sampled(&lattice).superpose(panel.velocity);
        flow.iter_mut().zip(lattice.weights()).for_each(|(v, area)| *v *= area);
        let housing = Housing::new(self, radiator.obstacle(frequency)?, &lattice, &flow);
        let (mut bare, mut with) = (0.0, Array2::zeros(self.grid.shape()));
        for seat in self.seats {
            let towards = |([x, y], q): ([f64; 2], &Complex64)| q * green(seat, [x, y], k);
            let own = 2.0 * lattice.points().zip(&flow).map(towards).sum::<Complex64>();
            let fan = Fan::new(self, seat, k * radiator.reach());
            let scattered = housing.all(&fan).map_err(|fault| radiator.refused(fault))?;
            bare += own.norm_sqr();
            for (cell, with) in with.indexed_iter_mut() {
                let place = [self.grid.x[cell.0], self.grid.y[cell.1]];
                let shares = fan.shares(place);
                let change: Complex64 =
                    shares.iter().zip(&scattered).map(|(share, of)| of[cell] * *share).sum();
                *with += (own + change * green(seat, place, k)).norm_sqr();
            }
        }
        let inertia = (TAU * frequency * self.air.density).powi(2);
        Ok(Shadowed { bare: bare * inertia, with: with * inertia })
    }

    /// Points on the panel.
    fn face(&self, radiator: &Radiator, k: f64) -> Lattice {
        let (width, height) = self.outline.bounding_box();
        let step = (TAU / k / CELLS[0]).min(width.min(height) / CELLS[1]).min(radiator.radius() / CELLS[2]);
        let cells = |length: f64| {
            let count = NonZeroUsize::new((length / step).ceil() as usize).unwrap_or(NonZeroUsize::MIN);
            Axis::cells(0.0, length, count)
        };
        Lattice::over(self.outline, cells(width), cells(height))
    }
}

/// The rigid housing, and what it has to do with the panel's motion at every place.
struct Housing<'a> {
    obstacle: System<'a>,
    /// The wall around its axis.
    around: Face,
    correlator: Correlator,
    flow: Transformed,
}

impl<'a> Housing<'a> {
    fn new(stage: &Stage, obstacle: System<'a>, lattice: &Lattice, flow: &Array2<Complex64>) -> Self {
        let origin = [lattice.x.nodes[0], lattice.y.nodes[0]];
        let cell = [lattice.x.weights[0], lattice.y.weights[0]];
        let correlator = Correlator::new(origin, cell, lattice.shape(), [&stage.grid.x, &stage.grid.y]);
        let plain = |nodes: Vec<f64>| Axis { weights: Array1::ones(nodes.len()), nodes: nodes.into() };
        let [x, y] = correlator.offsets().map(plain);
        let flow = correlator.weights(flow);
        Self { obstacle, around: Face::about_the_axis(Lattice::new(x, y)), correlator, flow }
    }

    /// `∫ s v dS` at every place, for waves along every direction of a fan.
    fn all(&self, fan: &Fan) -> Result<Vec<Array2<Complex64>>, BoundaryError> {
        fan.directions.par_iter().map(|direction| self.one(*direction)).collect()
    }

    fn one(&self, direction: Vector3<f64>) -> Result<Array2<Complex64>, BoundaryError> {
        let wave = PlaneWave { amplitude: Complex64::ONE, direction };
        let field = self.obstacle.solve(Drive::arriving(wave))?;
        let pattern = self.around.strengths(&field, self.obstacle.body());
        Ok(self.correlator.correlated(&self.correlator.pattern(&pattern), &self.flow))
    }
}

/// G between a seat and a place in the plane.
fn green(seat: &Seat, [x, y]: [f64; 2], k: f64) -> Complex64 {
    let [a, b, c] = seat.position;
    let r = (a - x).hypot(b - y).hypot(c);
    Complex64::from_polar(1.0 / (4.0 * PI * r), -k * r)
}

/// Directions that a seat's sound arrives from at the places, and a few that stand for them.
struct Fan<'a> {
    seat: &'a Seat,
    /// Chebyshev points of the cosines to x and to y.
    cosines: [Vec<f64>; 2],
    /// Unit vectors that the waves travel along.
    directions: Vec<Vector3<f64>>,
}

impl<'a> Fan<'a> {
    /// `size` is k times the radius of the housing.
    fn new(stage: &Stage, seat: &'a Seat, size: f64) -> Self {
        let all: Vec<Vector3<f64>> = stage.grid.places().map(|place| direction(seat, place)).collect();
        let cosines = [0, 1].map(|along| {
            let [least, most] =
                [f64::min, f64::max].map(|pick| all.iter().map(|d| d[along]).reduce(pick).unwrap_or(0.0));
            let count = points(size * 0.5 * (most - least));
            let angle = |i: usize| PI * (i as f64 + 0.5) / count as f64;
            (0..count)
                .map(|i| 0.5 * (least + most) - 0.5 * (most - least) * angle(i).cos())
                .collect::<Vec<f64>>()
        });
        let [x, y] = &cosines;
        let towards = |x: f64, y: f64| {
            // Corners of the box of cosines may lie beyond the horizon: there the wave grazes.
            let flat = x.hypot(y).max(1.0);
            Vector3::new(x / flat, y / flat, -(1.0 - (x * x + y * y) / (flat * flat)).max(0.0).sqrt())
        };
        let directions = x.iter().flat_map(|&x| y.iter().map(move |&y| towards(x, y))).collect();
        Self { seat, directions, cosines }
    }

    /// Share of every direction at a place.
    fn shares(&self, place: [f64; 2]) -> Vec<f64> {
        let at = direction(self.seat, place);
        let [x, y] = [0, 1].map(|along| lagrange(&self.cosines[along], at[along]));
        x.iter().flat_map(|a| y.iter().map(move |b| a * b)).collect()
    }
}

/// From a seat to a place in the plane.
fn direction(seat: &Seat, [x, y]: [f64; 2]) -> Vector3<f64> {
    (Vector3::new(x, y, 0.0) - Vector3::from(seat.position)).normalize()
}

/// Chebyshev points n that follow `exp(−jφt)`, |t| ≤ 1, to within `2 (φ/2)ⁿ/n!`.
fn points(phase: f64) -> usize {
    let mut bound = 2.0;
    for n in 1..=MOST {
        bound *= 0.5 * phase / n as f64;
        if bound < INTERPOLATION {
            return n;
        }
    }
    MOST
}

/// Weights of values at the points of a polynomial that goes through them, at x.
fn lagrange(points: &[f64], x: f64) -> Vec<f64> {
    let factor = |i: usize, j: usize| (x - points[j]) / (points[i] - points[j]);
    let weight = |i: usize| (0..points.len()).filter(|&j| j != i).map(|j| factor(i, j)).product();
    (0..points.len()).map(weight).collect()
}
