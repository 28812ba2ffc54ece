//! What every seat hears of the driver at every place before a finite board.

use super::centre::directions;
use super::correlation::{Correlator, Transformed};
use super::echo::echo_share;
use super::grid::DriverGrid;
use super::radiator::{Layers, Radiator};
use crate::air::Air;
use crate::boundary::{IncidentField, PointSource, SurfaceField};
use crate::radiation::screen::{Dipoles, Screen, ScreenGrid};
use crate::scene::Seat;
use crate::surrounds::CompareError;
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Outline;
use std::f64::consts::{PI, TAU};

/// Cells to the wavelength, and to the shorter side at least.
const CELLS_PER_WAVELENGTH: f64 = 8.0;
const CELLS_PER_SIDE: f64 = 24.0;
/// Cells to the gap, dipoles that many steps away sound like a sheet; or to the body's radius, where that makes larger ones: a seat's wave makes a jump so
/// smooth that the sum need not follow what is under the housing (1.5 mm before the board at 5 kHz: 3 % of the driver's sound instead of 2, measured).
const CELLS_PER_GAP: f64 = 1.5;
const CELLS_PER_RADIUS: f64 = 4.0;

/// A board, who listens, and where the driver may hang.
pub(super) struct Stage<'a> {
    pub outline: &'a Outline,
    /// True when a rigid wall without end continues the board.
    pub walled: bool,
    pub seats: &'a [Seat],
    pub air: &'a Air,
    pub grid: &'a DriverGrid,
}

/// Pressures [Pa RMS] at the seats for every place of the grid, (columns, rows) per seat.
pub(super) struct Heard {
    /// With the board.
    pub boarded: Vec<Array2<Complex64>>,
    /// Of the driver alone, with nothing behind it.
    pub free: Vec<Array2<Complex64>>,
    /// Far field of the driver alone in the [`directions`].
    pub far: Vec<Complex64>,
}

impl Stage<'_> {
    /// All places at `frequency` [Hz].
    pub fn heard(&self, radiator: &Radiator, frequency: f64) -> Result<Heard, CompareError> {
        let layers = radiator.layers(frequency)?;
        let far = layers.free.far(&directions());
        let sounds = match self.walled {
            true => self.before_a_wall(&layers),
            false => self.before_a_board(radiator, &layers, frequency),
        };
        let (boarded, free) = sounds.into_iter().unzip();
        Ok(Heard { boarded, free, far })
    }

    /// Seat by seat with the wall, and without.
    fn before_a_wall(&self, layers: &Layers) -> Vec<(Array2<Complex64>, Array2<Complex64>)> {
        let of_seat = |seat: &Seat| {
            let [x, y, z] = seat.position;
            let image = Seat { name: seat.name.clone(), position: [x, y, -z] };
            let walled = self.direct(&layers.walled, seat) + self.direct(&layers.walled, &image);
            (walled, self.direct(&layers.free, seat))
        };
        self.seats.iter().map(of_seat).collect()
    }

    /// Seat by seat with the board, and without.
    fn before_a_board(
        &self,
        radiator: &Radiator,
        layers: &Layers,
        frequency: f64,
    ) -> Vec<(Array2<Complex64>, Array2<Complex64>)> {
        let k = self.air.wavenumber(frequency);
        let board = ScreenGrid::new(self.outline, self.step(radiator, k));
        let lattice = &board.lattice;
        let correlator = Correlator::new(
            [lattice.x.nodes[0], lattice.y.nodes[0]],
            board.cell(),
            lattice.shape(),
            [&self.grid.x, &self.grid.y],
        );
        let [free, walled] = [&layers.free, &layers.walled].map(|layer| slopes(layer, &correlator));
        let share = self.shares(radiator, k);
        let of_seat = |seat: &Seat| {
            let jump = correlator.weights(&self.jump(&board, seat, frequency));
            let alone = self.direct(&layers.free, seat);
            let as_free = &alone + &correlator.correlated(&free, &jump);
            let as_walled = self.direct(&layers.walled, seat) + correlator.correlated(&walled, &jump);
            (&as_free + &share * &(as_walled - &as_free), alone)
        };
        self.seats.iter().map(of_seat).collect()
    }

    fn step(&self, radiator: &Radiator, k: f64) -> f64 {
        let (width, height) = self.outline.bounding_box();
        let gap = radiator.heights()[0];
        let near = (gap / CELLS_PER_GAP).max(radiator.radius() / CELLS_PER_RADIUS);
        (TAU / k / CELLS_PER_WAVELENGTH).min(width.min(height) / CELLS_PER_SIDE).min(near)
    }

    /// Shares of the echo of an endless wall.
    fn shares(&self, radiator: &Radiator, k: f64) -> Array2<Complex64> {
        let [low, high] = radiator.heights();
        self.grid.map(|place| echo_share(self.outline, place, 0.5 * (low + high), k))
    }

    /// Strengths [m] of the dipoles that the board makes of a unit source `G` at a seat. By reciprocity they are what it passes on to the seat.
    fn jump(&self, board: &ScreenGrid, seat: &Seat, frequency: f64) -> Array2<Complex64> {
        let k = self.air.wavenumber(frequency);
        let source = PointSource { amplitude: (1.0 / (4.0 * PI)).into(), position: seat.position.into() };
        let inertia = Complex64::new(0.0, TAU * frequency * self.air.density);
        let slopes =
            board.lattice.points().map(|[x, y]| source.at(Vector3::new(x, y, 0.0), k).gradient[2] / inertia);
        let slopes =
            Array2::from_shape_vec(board.lattice.shape(), slopes.collect()).expect("one value per node");
        let jump = Screen::new(board, frequency, self.air, None).jump(&slopes);
        Dipoles::new(board, frequency, None, &jump).strengths
    }

    /// What a seat hears of a layer at every place straight away.
    fn direct(&self, layer: &SurfaceField, seat: &Seat) -> Array2<Complex64> {
        let [x, y, z] = seat.position;
        let seen: Vec<Vector3<f64>> =
            self.grid.places().map(|[u, v]| Vector3::new(x - u, y - v, z)).collect();
        let heard = layer.radiated_at(&seen).iter().map(|field| field.pressure).collect();
        Array2::from_shape_vec(self.grid.shape(), heard).expect("one value per place")
    }
}

/// Derivative along z of a layer's sound in the plane of the board, around the driver's axis.
fn slopes(layer: &SurfaceField, correlator: &Correlator) -> Transformed {
    let [x, y] = correlator.offsets();
    let points: Vec<Vector3<f64>> =
        x.iter().flat_map(|&x| y.iter().map(move |&y| Vector3::new(x, y, 0.0))).collect();
    let slopes = layer.radiated_at(&points).iter().map(|field| field.gradient[2]).collect();
    correlator.pattern(&Array2::from_shape_vec((x.len(), y.len()), slopes).expect("one value per offset"))
}
