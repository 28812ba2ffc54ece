//! The narrow waist between whatever moves and whatever radiates.

use ndarray::{Array2, Zip};
use num_complex::Complex64;
use panelwright_mesh::Lattice;
use std::borrow::Cow;

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

impl SurfaceVelocity<'_> {
    /// Velocity times the share of its cell that is panel (nx, ny) [m/s RMS]: with the product of the axes' weights it gives the
    /// volume velocity of each point. Zero off the panel, whatever is stored there.
    pub fn shared(&self) -> Cow<'_, Array2<Complex64>> {
        let Some(share) = &self.lattice.share else { return Cow::Borrowed(&self.velocity) };
        let product = |v: &Complex64, &share: &f64| if share == 0.0 { Complex64::ZERO } else { v * share };
        Cow::Owned(Zip::from(&self.velocity).and(share).map_collect(product))
    }
}
