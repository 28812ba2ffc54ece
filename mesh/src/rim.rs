//! The boundary of an outline, for integrals along it.

/// A node of a quadrature rule along the boundary: `∫ f ds ≈ Σ weight f(position)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RimPoint {
    /// Where [m].
    pub position: [f64; 2],
    /// Unit normal, out of the material: away from the panel at the outer contour, into the hole at a cut-out.
    pub normal: [f64; 2],
    /// Length it stands for [m].
    pub weight: f64,
    /// Contour: 0 is the outer one, then the cut-outs.
    pub contour: usize,
    /// Length along the contour from its start [m].
    pub along: f64,
}
