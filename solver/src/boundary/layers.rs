//! Sounds of a surface as layers of sources that can be taken elsewhere.

use super::body::Body;
use super::surface_field::SurfaceField;
use num_complex::Complex64;

impl<'a> SurfaceField<'a> {
    /// The same layers on `other`, a body of the same surface with other mirror planes: what the surface itself sends out, when the planes that
    /// made its sound what it is throw nothing back.
    ///
    /// # Panics
    /// When the bodies are not of the same surface.
    pub fn on<'b>(self, other: &'b Body) -> SurfaceField<'b> {
        assert!(self.body.nodes == other.nodes, "bodies of one surface");
        let Self { wave, inertia, pressure, slopes, incident, steps, residual, .. } = self;
        SurfaceField { body: other, wave, inertia, pressure, slopes, incident, steps, residual }
    }

    /// The sound times a factor; nothing may arrive in it.
    ///
    /// # Panics
    /// When something arrives.
    pub fn times(mut self, factor: Complex64) -> Self {
        assert!(self.incident.is_empty(), "what arrives is not the body's to scale");
        self.pressure.iter_mut().for_each(|p| *p *= factor);
        self.slopes.iter_mut().flatten().for_each(|q| *q *= factor);
        self
    }
}
