//! A small ball before an endless wall: image source and comb; and mirrored panels.

use super::super::centre::{directions, own_centre};
use super::super::field::Stage;
use super::super::grid::DriverGrid;
use super::super::radiator::Radiator;
use super::{panel, scene};
use crate::boundary::SurfaceField;
use crate::listening::{comb, fractional_octaves};
use crate::scene::{Diaphragm, DriverScene, Housing, Seat};
use crate::single_threaded_blas;
use nalgebra::Vector3;
use ndarray::Array2;
use num_complex::Complex64;

const SEAT: [f64; 3] = [0.2, -0.1, 2.5];

/// A ball of 5 mm whose front is 0.1 m before an endless wall.
fn ball() -> DriverScene {
    let mut ball = scene(&[2000.0]);
    ball.driver.diaphragm = Diaphragm::cap(0.003, 0.005);
    ball.driver.housing = Housing::ball(0.005, 0.003, 1e-6);
    ball.driver.place = [0.0, 0.0, 0.1];
    ball
}

/// What the wall makes of its sound at a seat, over that without.
fn ratio(radiator: &Radiator, frequency: f64) -> f64 {
    let layers = radiator.layers(frequency).expect("converges");
    let [x, y, z] = SEAT;
    let heard = |layer: &SurfaceField, z| layer.radiated_at(&[Vector3::new(x, y, z)])[0].pressure;
    ((heard(&layers.walled, z) + heard(&layers.walled, -z)) / heard(&layers.free, z)).norm()
}

/// The ball is a point source, 3/2 of its radius before its middle (as in the tests of blending): what the wall throws back cancels its sound at the
/// frequencies of the comb, doubles it between, and elsewhere takes `|1 + exp(−jkΔ) d/d′|`.
#[test]
fn nulls_and_peaks_are_where_the_ways_say() {
    single_threaded_blas();
    let ball = ball();
    let radiator = Radiator::new(&ball, &ball.surrounds[0]).expect("a sound shape");
    let centre = [0.0, 0.0, 0.1 - 0.004 + 0.0075];
    let comb = comb(centre, SEAT, &ball.air);
    let (null, peak) = (comb.nulls(2000.0)[0], comb.peaks(2000.0)[0]);
    let [direct, reflected] =
        [-1.0, 1.0].map(|side| SEAT[0].hypot(SEAT[1]).hypot(SEAT[2] + side * centre[2]));
    for (frequency, least) in [(0.6 * null, 0.0), (0.9 * null, 0.0), (null, 0.0), (peak, 1.9)] {
        let late = Complex64::cis(-ball.air.wavenumber(frequency) * comb.difference_of_paths);
        let expected = (1.0 + late * direct / reflected).norm();
        let found = ratio(&radiator, frequency);
        assert!((found - expected).abs() < 0.03 && expected >= least, "{frequency} Hz: {found} {expected}");
        assert!(frequency != null || found < 0.1, "{found}");
    }
}

/// Panel and seat are symmetric about the middle, so is the map.
#[test]
fn a_symmetric_panel_has_a_symmetric_map() {
    single_threaded_blas();
    let mut scene = scene(&[2000.0]);
    scene.seats = vec![Seat { name: "middle".into(), position: [0.38, 0.26, 1.7] }];
    let outline = panel();
    let grid = DriverGrid::around([0.76, 0.52], 0.12, 0.09);
    let radiator = Radiator::new(&scene, &scene.surrounds[0]).expect("a sound shape");
    let stage = Stage { outline: &outline, walled: false, seats: &scene.seats, air: &scene.air, grid: &grid };
    let heard = stage.heard(&radiator, 2000.0).expect("converges");
    let (columns, rows) = grid.shape();
    let map = &heard.boarded[0];
    let differing = map.iter().any(|p| (p / map[[0, 0]] - 1.0).norm() > 0.5);
    assert!(differing && columns > 8 && rows > 6, "a map worth the name");
    for ((i, j), p) in map.indexed_iter() {
        for mirrored in [map[[columns - 1 - i, j]], map[[i, rows - 1 - j]]] {
            assert!((mirrored / p - 1.0).norm() < 2e-3, "{i} {j}: {p} {mirrored}");
        }
    }
}

/// In a wall the map is the sound of the driver and its image: the ratio of the paths again, at every place the same wall.
#[test]
fn before_a_wall_every_place_has_the_walls_own_echo() {
    single_threaded_blas();
    let mut ball = ball();
    ball.seats = vec![Seat { name: "seat".into(), position: [0.5, 0.2, 2.5] }];
    let radiator = Radiator::new(&ball, &ball.surrounds[0]).expect("a sound shape");
    let (outline, grid) = (panel(), DriverGrid { x: vec![0.3, 1.4], y: vec![0.3] });
    let stage = Stage { outline: &outline, walled: true, seats: &ball.seats, air: &ball.air, grid: &grid };
    for frequency in [700.0, 1300.0] {
        let heard = stage.heard(&radiator, frequency).expect("converges");
        for (cell, x) in grid.x.iter().enumerate() {
            let [direct, reflected] =
                [-1.0, 1.0].map(|side| (0.5 - x).hypot(0.1).hypot(2.5 + side * (0.1 + BEFORE_THE_FRONT)));
            let late = Complex64::cis(-ball.air.wavenumber(frequency) * (reflected - direct));
            let expected = 1.0 + late * direct / reflected;
            let found = heard.boarded[0][[cell, 0]] / heard.free[0][[cell, 0]];
            assert!((found - expected).norm() < 0.015, "{frequency} Hz at {x}: {found} {expected}");
        }
    }
}

/// A cap that moves along the axis by cos θ over its half angle α: monopole `∫cos θ sin θ dθ`, dipole `∫cos² θ sin θ dθ`, and the rigid ball makes 3/2 of what the
/// dipole says: the centre lies `a (1 − cos³α)/(1 − cos²α)` before the middle of a small ball, here 6.78 mm, 2.78 mm before the front.
const BEFORE_THE_FRONT: f64 = 0.005 * (1.0 - 0.512) / (1.0 - 0.64) - 0.004;

#[test]
fn the_drivers_own_centre_is_that_of_a_ball() {
    single_threaded_blas();
    let mut ball = ball();
    ball.frequencies = (0..4).map(|n| 1800.0 * 1.08f64.powi(n)).collect();
    let radiator = Radiator::new(&ball, &ball.surrounds[0]).expect("a sound shape");
    let far: Vec<Complex64> = (ball.frequencies.iter())
        .flat_map(|&f| radiator.layers(f).expect("converges").free.far(&directions()))
        .collect();
    let far = Array2::from_shape_vec((4, directions().len()), far).expect("one per direction");
    let band = &fractional_octaves(3, 2000.0, 2000.0)[0];
    let own =
        own_centre(&ball.driver, (&ball.frequencies, far.view()), band, &ball.air).expect("a ball has one");
    assert!(own[0].hypot(own[1]) < 2e-4 && (own[2] - BEFORE_THE_FRONT).abs() < 1e-4, "{own:?}");
}
