//! Where a surround is listened to.

use super::sphere::Sphere;
use crate::scene::{Behind, DriverScene};
use nalgebra::Vector3;
use num_complex::Complex64;
use std::f64::consts::{FRAC_PI_2, PI};

/// Microphones, seats and directions in the driver's coordinates: its axis is the z axis, z is the scene's.
#[derive(Clone, Debug)]
pub(super) struct Places {
    /// Middle of the driver's front.
    pub front: Vector3<f64>,
    /// The near microphone, then the seats.
    pub points: Vec<Vector3<f64>>,
    /// Angles [rad] of both arcs.
    pub angles: Vec<f64>,
    /// Unit vectors of the horizontal arc, then of the vertical one.
    pub directions: Vec<Vector3<f64>>,
    /// Directions all round.
    pub sphere: Sphere,
}

impl Places {
    pub fn of(scene: &DriverScene) -> Self {
        let [x, y, z] = scene.driver.place;
        let front = Vector3::new(0.0, 0.0, z);
        let near = front + Vector3::z() * scene.near;
        let seats = scene.seats.iter().map(|seat| Vector3::from(seat.position) - Vector3::new(x, y, 0.0));
        let angles = angles(scene);
        let across = angles.iter().map(|angle| Vector3::new(angle.sin(), 0.0, angle.cos()));
        let upright = angles.iter().map(|angle| Vector3::new(0.0, angle.sin(), angle.cos()));
        Self {
            front,
            points: std::iter::once(near).chain(seats).collect(),
            directions: across.chain(upright).collect(),
            angles,
            sphere: Sphere::of(scene),
        }
    }

    /// What takes the time of flight from the driver's front out of every pressure, then of every far field, at wavenumber `k` [rad/m].
    pub fn without_flight(&self, k: f64) -> Vec<Complex64> {
        let to_points = self.points.iter().map(|point| Complex64::cis(k * (point - self.front).norm()));
        let far = self.directions.iter().map(|direction| Complex64::cis(-k * direction.dot(&self.front)));
        to_points.chain(far).collect()
    }
}

/// From −90° to 90° in front of an endless plane, else all round; symmetric, with the axis in the middle.
fn angles(scene: &DriverScene) -> Vec<f64> {
    let most = if scene.behind == Behind::Plane { FRAC_PI_2 } else { PI };
    let steps = (most / scene.arc.step).round().max(1.0) as i32;
    (-steps..=steps).map(|i| most * f64::from(i) / f64::from(steps)).collect()
}
