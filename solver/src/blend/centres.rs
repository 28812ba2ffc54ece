//! Where a driver's wave fronts come from.

use crate::air::Air;
use crate::listening::{Band, indices_in_band, wave_front_centre};
use crate::scene::SmallDriver;
use crate::surrounds::VariantSound;
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::FRAC_PI_3;

/// Distance [m] at which far fields stand for pressures: so far that spheres are plane over any driver, so near that their phase keeps its
/// digits.
const FAR: f64 = 1e3;

/// Centre [m] of the driver's wave fronts in a band, in panel coordinates, from its far field within 60° of its axis; `None` where no single
/// centre explains it, as before a reflecting panel.
pub(super) fn driver_centre(
    driver: &SmallDriver,
    variant: &VariantSound,
    (angles, frequencies): (&[f64], &[f64]),
    band: &Band,
    air: &Air,
) -> Option<[f64; 3]> {
    let range = indices_in_band(frequencies, band);
    let [x, y] = driver.housing.front.half_extents().map(|half| 4.0 * half);
    // The box that centres are looked for in is twice as wide as the housing on each side, its middle the driver's.
    let middle = [0.5 * x, 0.5 * y, 0.0];
    let within: Vec<usize> = (0..angles.len()).filter(|&j| angles[j].abs() <= FRAC_PI_3 + 1e-9).collect();
    let across = within.iter().map(|&j| [FAR * angles[j].sin(), 0.0, FAR * angles[j].cos()]);
    let upright = within.iter().map(|&j| [0.0, FAR * angles[j].sin(), FAR * angles[j].cos()]);
    let points: Vec<[f64; 3]> =
        across.chain(upright).map(|point| [0, 1, 2].map(|c| point[c] + middle[c])).collect();
    let curves = &variant.curves;
    let pressure = Array2::from_shape_fn((range.len(), points.len()), |(i, n)| {
        let row = range.start + i;
        let far = match within.get(n) {
            Some(&j) => curves.horizontal[[row, j]],
            None => curves.vertical[[row, within[n - within.len()]]],
        };
        far / FAR * Complex64::cis(-air.wavenumber(frequencies[row]) * FAR)
    });
    let found = wave_front_centre(&points, &frequencies[range], pressure.view(), air.sound_speed, (x, y))?;
    Some([0, 1, 2].map(|c| found.position[c] - middle[c] + driver.place[c]))
}
