//! Where the driver's own wave fronts come from, with nothing behind it: it moves with the driver.

use crate::air::Air;
use crate::listening::{Band, indices_in_band, wave_front_centre};
use crate::scene::SmallDriver;
use nalgebra::Vector3;
use ndarray::{Array2, ArrayView2};
use num_complex::Complex64;
use std::f64::consts::FRAC_PI_3;

/// Directions on each side of the axis, sideways and upright, out to 60°.
const STEPS: i32 = 8;
/// Distance [m] at which far fields stand for pressures: spheres are plane there over any driver, and their phase keeps its digits.
const FAR: f64 = 1e3;

/// Unit vectors over a horizontal and an upright arc about the driver's axis.
pub(super) fn directions() -> Vec<Vector3<f64>> {
    let angles = || (-STEPS..=STEPS).map(|n| FRAC_PI_3 * f64::from(n) / f64::from(STEPS));
    let across = angles().map(|a| Vector3::new(a.sin(), 0.0, a.cos()));
    across.chain(angles().map(|a| Vector3::new(0.0, a.sin(), a.cos()))).collect()
}

/// From the middle of the driver's front to the centre of its wave fronts in a band [m]; `None` where no single centre explains them. `far` is its far field
/// (frequencies, [`directions`]), `r p exp(jkr)` [Pa m RMS] about the place where its axis goes through the panel's plane.
pub(super) fn own_centre(
    driver: &SmallDriver,
    (frequencies, far): (&[f64], ArrayView2<Complex64>),
    band: &Band,
    air: &Air,
) -> Option<[f64; 3]> {
    let range = indices_in_band(frequencies, band);
    // Centres are looked for in a box twice as wide as the housing on each side, its middle the driver's.
    let [x, y] = driver.housing.front.half_extents().map(|half| 4.0 * half);
    let middle = Vector3::new(0.5 * x, 0.5 * y, 0.0);
    let directions = directions();
    let points: Vec<[f64; 3]> = directions.iter().map(|d| (d * FAR + middle).into()).collect();
    let pressure = Array2::from_shape_fn((range.len(), points.len()), |(i, n)| {
        let k = air.wavenumber(frequencies[range.start + i]);
        // About the front, which lies before the plane.
        let nearer = directions[n].z * driver.place[2];
        far[[range.start + i, n]] / FAR * Complex64::cis(-k * (FAR + nearer))
    });
    let found = wave_front_centre(&points, &frequencies[range], pressure.view(), air.sound_speed, (x, y))?;
    Some([0, 1, 2].map(|c| found.position[c] - middle[c]))
}
