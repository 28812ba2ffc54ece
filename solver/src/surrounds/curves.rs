//! Motor and air together: what the voltage makes of a surround.

use super::places::Places;
use super::solution::Values;
use crate::driver::{Motions, Motor, Moved};
use crate::scene::DriverScene;
use ndarray::{Array2, Array3, Axis};
use num_complex::Complex64;

/// A driver over frequency under its voltage.
#[derive(Clone, Debug, Default)]
pub struct DriverCurves {
    /// Pressure [Pa RMS] at the near microphone, without the time of flight from the driver's front: `p exp(jkr)`.
    pub near: Vec<Complex64>,
    /// The same at every seat, (seats, frequencies).
    pub seats: Vec<Vec<Complex64>>,
    /// Distance [m] of the near microphone, then of the seats, from the driver's front.
    pub distances: Vec<f64>,
    /// `r p exp(jkr)` [Pa m RMS] far away over the horizontal arc, (frequencies, angles).
    pub horizontal: Array2<Complex64>,
    /// The same over the vertical arc.
    pub vertical: Array2<Complex64>,
    /// The same all round, (frequencies, polar angles, azimuths).
    pub sphere: Array3<Complex64>,
    /// Radiated power [W].
    pub power: Vec<f64>,
    /// Electrical impedance [Ω].
    pub impedance: Vec<Complex64>,
    /// Peak excursion of the coil [m].
    pub excursion: Vec<f64>,
    /// How the driver moves.
    pub moved: Vec<Moved>,
}

/// The curves from the values, the far fields all round and the [radiated power](super::radiated) of every frequency.
pub(super) fn curves(
    scene: &DriverScene,
    (motions, places): (&Motions, &Places),
    values: &[Vec<Complex64>],
    (all_round, powers): (&[Vec<Complex64>], &[Array2<Complex64>]),
) -> DriverCurves {
    let motor = Motor::new(&scene.driver, motions, &scene.air);
    let (points, angles) = (places.points.len(), places.angles.len());
    let shape = (values.len(), angles);
    let mut curves = DriverCurves {
        seats: vec![vec![]; points - 1],
        distances: places.points.iter().map(|point| (point - places.front).norm()).collect(),
        horizontal: Array2::zeros(shape),
        vertical: Array2::zeros(shape),
        sphere: Array3::zeros((values.len(), places.sphere.polar.len(), places.sphere.azimuth.len())),
        ..DriverCurves::default()
    };
    for (i, ((&frequency, values), powers)) in scene.frequencies.iter().zip(values).zip(powers).enumerate() {
        let values = Values { values, motions: motions.count() };
        let reaction = values.reaction();
        let moved = motor.driven(scene.driver.voltage, frequency, &reaction);
        let heard = values.heard(&moved.amplitudes);
        curves.near.push(heard[0]);
        curves.seats.iter_mut().zip(&heard[1..points]).for_each(|(seat, p)| seat.push(*p));
        for j in 0..angles {
            curves.horizontal[[i, j]] = heard[points + j];
            curves.vertical[[i, j]] = heard[points + angles + j];
        }
        let round = superposed(&all_round[i], &moved.amplitudes);
        curves.sphere.index_axis_mut(Axis(0), i).iter_mut().zip(round).for_each(|(far, value)| *far = value);
        let q = &moved.amplitudes;
        let power = |((m, n), h): ((usize, usize), &Complex64)| (q[m].conj() * h * q[n]).re;
        curves.power.push(powers.indexed_iter().map(power).sum());
        curves.impedance.push(motor.leads(&moved, scene.driver.voltage));
        curves.excursion.push(moved.excursion(frequency));
        curves.moved.push(moved);
    }
    curves
}

/// What the parts of motions of unit amplitude, one behind the other, add up to with these amplitudes.
fn superposed(parts: &[Complex64], amplitudes: &[Complex64]) -> Vec<Complex64> {
    let count = parts.len() / amplitudes.len().max(1);
    let of = |i: usize| amplitudes.iter().enumerate().map(|(m, q)| q * parts[m * count + i]).sum();
    (0..count).map(of).collect()
}
