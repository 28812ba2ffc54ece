//! The small driver: how its diaphragm moves, and what a voltage makes of it.
//!
//! # Equations
//!
//! The diaphragm's axial velocity is a sum of motions, `v(x) = Σ qₘ φₘ(x)`: one for a stiff diaphragm (φ = 1) or a ring, the modes of a free
//! plate for a bending disc. With c the motions' values at the coil, S their swept areas `∫ φₘ dA`,
//!
//! ```text
//! coil         v_c = c·q,   E = (R_s + R_e + jωL_e) i + Bl v_c
//! motion       [D + Z_air + (ρc²/V) S Sᵀ/jω + (jωM + R_ms + K/jω) c cᵀ] q = c Bl i
//! ```
//!
//! D is the impedance of the plate (modes of unit mass: `(ωₘ²(1 + jη) − ω²)/jω`, balancing masses at their rings), Z_air the reaction of the air
//! outside from boundary elements, V the volume of a sealed box. `exp(+jωt)`, RMS, positive towards +z.
//!
//! Linear (small excursion), lumped coil and suspension, Bl and L_e constant; the air in the box is a spring (box small against the wavelength).
//! L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers, 2012, ch. 6 and 7.

pub mod assembly;
mod disc;
mod motions;
mod motor;

pub use assembly::{Assembly, AssemblyFault, SURROUND};
pub use motions::Motions;
#[cfg(test)]
pub(crate) use motor::tests as motor_tests;
pub use motor::{AirReaction, Leads, Motor, Moved};
