//! Sound of closed bodies of any shape, by boundary elements.
//!
//! # Equations
//!
//! `exp(+jωt)`, `G = exp(−jkr)/(4πr)`, normals n out of the body. Outside, with q = ∂p/∂n on the surface,
//!
//! ```text
//! p = ∫ p ∂G/∂n′ − G q dS + p_inc,    q = −jωρ v + jkβ p
//! ```
//!
//! v is the outward normal velocity that is prescribed, β = ρc/Z the normalised admittance: the air that moves into an absorbing wall does so
//! with βp/ρc, hence the sign. On the surface (S, K, K′, D: single layer, double layer, its adjoint, and ∂/∂n of the double layer)
//!
//! ```text
//! (½ − K) p = −S q + p_inc,    −D p = −(½ + K′) q + ∂p_inc/∂n
//! ```
//!
//! Each alone fails at the resonances of the inside. Their sum, the second times α (A. J. Burton & G. F. Miller, Proc. R. Soc. Lond. A 323,
//! 1971), never does for imaginary α: a solution of the homogeneous equation makes a double layer potential u whose inner limit has
//! `u = −α ∂u/∂n`, and `Im ∫ u* ∂u/∂n dS = 0` inside leaves only u = 0. The sign is chosen by the sphere of radius a, where a spherical wave
//! of order n has the eigenvalue `j(ka)² h_n′ (j_n + αk j_n′)`: with **α = −j/k** it tends to 1 for ka ≫ n, with +j/k it turns round the
//! unit circle and spoils the iteration. Below the body's own size |α| stays at its radius R, where D would otherwise swamp the equation:
//! `α = −jκ`, `κ = min(1/k, R)`.
//!
//! # Discretisation
//!
//! Galerkin's method with continuous quadratic functions on six-point curved triangles. At equal accuracy on smooth bodies they need a seventh
//! of the kernel evaluations of linear triangles: on the sphere at ka = 10 the error is 1.4 % with 7 points to the wavelength, which is the
//! *best* that linear triangles reach with 8. Velocities belong to the element's side of an edge, where they may jump. The hypersingular
//! operator is integrated by parts (J.-C. Nédélec, Int. J. Numer. Methods Eng. 18, 1982):
//!
//! ```text
//! −⟨φ, Dψ⟩ = ∫∫ [curl φ · curl ψ − k² φψ n·n′] G dS dS′,    curl φ = n × ∇φ
//! ```
//!
//! # Quadrature
//!
//! Far pairs of elements take the plain sum over six points each, which one kernel evaluation per pair of points serves
//! ([`far`](self)), and which any fast summation of point sources can replace, since it is nothing but a sum over points. Near pairs (middles
//! closer than twice the sum of their radii) split the kernel into `1/(4πr) − k²r/(8π)`, integrated accurately **once per body**, and a smooth
//! rest that the plain sum integrates at each frequency. So touching elements (transformations of Sauter and Schwab) and walls
//! far thinner than their elements (subdivision) cost nothing more at a further frequency.
//!
//! # Validity
//!
//! Homogeneous air at rest, without absorption; closed bodies that do not overlap. Seven points to the wavelength give errors of about 1.4 % on
//! smooth bodies, of order 2.5 in their distance; sharp edges converge more slowly.
//!
//! # Flow
//!
//! [`Body`] (geometry, near field) → [`System`] (one frequency) → [`SurfaceField`] (one [`Drive`]) → pressure anywhere, far field, power.

mod bisection;
mod blocks;
mod body;
mod dense;
mod element;
mod error;
mod far;
mod grid;
mod incident;
mod layers;
mod mirrors;
mod moments;
mod neighbours;
mod operator;
mod pair;
mod parts;
mod potentials;
mod power;
mod precondition;
mod surface_field;
mod system;
mod touching_rule;
mod touching_table;
mod triangle_rule;
mod wave;

#[cfg(test)]
mod tests;

pub use body::Body;
pub use error::BoundaryError;
pub use incident::{IncidentField, ParallelDipoles, PlaneWave, PointSource};
pub use mirrors::Mirrors;
pub use operator::Representation;
pub use parts::Part;
pub use potentials::PointField;
pub use power::Directions;
pub use surface_field::SurfaceField;
pub use system::{Drive, Method, System};
