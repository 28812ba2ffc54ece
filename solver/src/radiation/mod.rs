//! Panel motion → sound pressure: a flat source in an infinite rigid baffle, or a thin screen in free space.

pub mod cavity;
pub(crate) mod convolution;
mod directivity;
mod fourier;
#[cfg(test)]
mod invariants;
mod point_sources;
mod power;
mod rayleigh;
mod rayleigh_many;
mod sampling;
pub mod screen;
mod surface_intensity;
mod surface_velocity;
mod transfer;

pub use directivity::{Arc, far_field, far_field_arc, far_field_of_sources};
pub use point_sources::PointSources;
pub use power::radiated_power;
use power::radiated_power_weighted;
pub use rayleigh::{pressure, rayleigh_integral};
pub use rayleigh_many::pressure_many;
pub use sampling::{Tier, lattice_for, nearest_distance, panel_tiers, tiers, too_near};
pub use surface_intensity::{FacePressure, intensity_cells, surface_intensity, surface_pressure};
pub use surface_velocity::SurfaceVelocity;
pub use transfer::Transfer;

/// `exp(−αR₀)`: loss of amplitude on the way from the middle of the surface to `receiver`, α = `absorption` [Np/m].
fn attenuation(centre: [f64; 2], [x, y, z]: [f64; 3], absorption: f64) -> f64 {
    let distance = ((x - centre[0]).powi(2) + (y - centre[1]).powi(2) + z * z).sqrt();
    (-absorption * distance).exp()
}
