//! Panel motion → sound pressure: a flat source in an infinite rigid baffle.

mod surface_velocity;

pub use surface_velocity::SurfaceVelocity;
