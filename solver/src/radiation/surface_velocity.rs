//! The narrow waist between whatever moves and whatever radiates.

use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Lattice;

/// Normal velocity of a flat surface in z = 0, facing +z, sampled on a lattice at one frequency.
/// Radiation knows nothing else about its maker.
#[derive(Clone, Debug)]
pub struct SurfaceVelocity<'a> {
    /// Frequency [Hz].
    pub frequency: f64,
    /// Where it is sampled, with quadrature weights.
    pub lattice: &'a Lattice,
    /// Velocity (nx, ny) [m/s RMS], positive towards +z.
    pub velocity: Array2<Complex64>,
}
