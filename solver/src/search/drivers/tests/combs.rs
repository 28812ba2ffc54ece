//! A small ball before an endless wall: image source and comb; and mirrored panels.

use super::super::field::Stage;
use super::super::grid::DriverGrid;
use super::super::radiator::Radiator;
use super::{panel, scene};
use crate::boundary::SurfaceField;
use crate::listening::comb;
use crate::scene::{Diaphragm, DriverScene, Housing, Seat};
use crate::single_threaded_blas;
use nalgebra::Vector3;
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
    let stage = Stage { outline: &outline, seats: &scene.seats, air: &scene.air, grid: &grid };
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
