//! Against the driver solved together with the board, place by place.

use super::super::Checked;
use super::{panel, scene};
use crate::single_threaded_blas;

fn deviation(frequency: f64, place: [f64; 2]) -> f64 {
    single_threaded_blas();
    Checked::at(&scene(&[frequency]), &panel(), place, frequency).expect("a sound shape").deviation
}

/// Over the panel, 20 mm from its edge, over the edge and 40 mm beyond it, at corners and beside: within 4 % of the driver's own sound (0.3 dB where
/// the board takes nothing away). With all of the wall's echo, or none, some of these places are off by 9 or 8 %.
#[test]
fn the_map_is_what_driver_and_board_are_together() {
    for (frequency, place) in [
        (1000.0, [0.38, 0.26]),
        (1000.0, [0.38, 0.50]),
        (1600.0, [0.38, 0.52]),
        (1600.0, [0.38, 0.56]),
        (1600.0, [0.70, 0.50]),
        (3000.0, [0.75, 0.46]),
        (3000.0, [0.77, 0.53]),
        (3000.0, [0.82, 0.26]),
    ] {
        let off = deviation(frequency, place);
        assert!(off < 0.04, "{frequency} Hz at {place:?}: {off}");
    }
}

/// 1.5 mm before the board, cells of 6 mm: within 6 %, beside the edge.
#[test]
fn a_narrow_gap_takes_no_finer_grid() {
    single_threaded_blas();
    let mut scene = scene(&[5000.0]);
    scene.driver.place[2] = 0.0365;
    for place in [[0.38, 0.30], [0.383, 0.47], [0.385, 0.53], [0.38, 0.55]] {
        let off = Checked::at(&scene, &panel(), place, 5000.0).expect("a sound shape").deviation;
        assert!(off < 0.065, "{place:?}: {off}");
    }
}
