//! The housing's shadow against the panel's sound solved on the housing itself.

use super::super::field::Stage;
use super::super::grid::DriverGrid;
use super::super::radiator::Radiator;
use super::super::shadow::Moving;
use super::{panel, plywood, scene};
use crate::boundary::{Drive, IncidentField, PointField, PointSource};
use crate::plate::Modes;
use crate::scene::*;
use crate::single_threaded_blas;
use nalgebra::Vector3;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};
use std::f64::consts::{PI, TAU};
use std::num::NonZeroUsize;

/// Point sources in the plane, each with its volume velocity over 2π for itself and its image together.
struct Sources(Vec<PointSource>);

impl IncidentField for Sources {
    fn at(&self, point: Vector3<f64>, k: f64) -> PointField {
        self.0.iter().fold(PointField::default(), |sum, source| sum.plus(&source.at(point, k)))
    }
}

fn modes() -> Modes {
    let section = plywood();
    let edges = Edges::all(EdgeCondition::Free);
    Modes::solve(&Panel { outline: panel(), section, edges, back: Back::Baffled }, 300.0).expect("a plate")
}

#[test]
fn the_shadow_is_what_the_panels_sound_on_the_housing_makes() {
    single_threaded_blas();
    let frequency = 2500.0;
    let scene = scene(&[frequency]);
    let (outline, modes) = (panel(), modes());
    let velocity: Vec<Complex64> = (0..modes.len()).map(|m| Complex64::new(1.0, m as f64 - 3.0)).collect();
    let radiator = Radiator::new(&scene, &scene.surrounds[0]).expect("a sound shape");
    // Three by two places: the directions between must be interpolated.
    let grid = DriverGrid { x: vec![0.05, 0.2, 0.6], y: vec![0.1, 0.42] };
    let stage = Stage { outline: &outline, walled: false, seats: &scene.seats, air: &scene.air, grid: &grid };
    let moving = Moving { modes: &modes, velocity: &velocity };
    let found = stage.shadowed(&radiator, &moving, frequency).expect("converges");

    let cells =
        |length: f64| Axis::cells(0.0, length, NonZeroUsize::new((length / 0.01) as usize).expect("some"));
    let lattice = Lattice::new(cells(0.76), cells(0.52));
    let flow = modes.sampled(&lattice).superpose(&velocity);
    let (omega, k) = (TAU * frequency, scene.air.wavenumber(frequency));
    let area: Vec<f64> = lattice.weights().collect();
    let amplitude = |(q, area): (&Complex64, &f64)| {
        Complex64::new(0.0, omega * scene.air.density / (4.0 * PI)) * q * *area
    };
    let obstacle = radiator.obstacle(frequency).expect("regular");
    let mut most: f64 = 0.0;
    for ((i, j), with) in found.with.indexed_iter() {
        let place = Vector3::new(grid.x[i], grid.y[j], 0.0);
        let at = |[x, y]: [f64; 2]| Vector3::new(x, y, 0.0) - place;
        let sources: Vec<PointSource> = (lattice.points().zip(flow.iter().zip(&area)))
            .map(|(point, flow)| PointSource { amplitude: amplitude(flow), position: at(point) })
            .collect();
        let bare = |seat: &Vector3<f64>| {
            2.0 * sources.iter().map(|source| source.at(*seat, k).pressure).sum::<Complex64>()
        };
        let seats: Vec<Vector3<f64>> =
            scene.seats.iter().map(|seat| Vector3::from(seat.position) - place).collect();
        let without: f64 = seats.iter().map(|seat| bare(seat).norm_sqr()).sum();
        assert!((found.bare / without - 1.0).abs() < 0.02, "{} {without}", found.bare);
        let field = obstacle.solve(Drive::arriving(Sources(sources))).expect("converges");
        let solved: f64 = field.at(&seats).iter().map(|field| field.pressure.norm_sqr()).sum();
        let [level, expected] = [with / found.bare, solved / without].map(|ratio| 10.0 * ratio.log10());
        assert!((level - expected).abs() < 0.05 + 0.05 * expected.abs(), "{i} {j}: {level} {expected} dB");
        most = most.max(expected.abs());
    }
    assert!(most > 0.2, "a shadow worth the name: {most} dB");
}
