//! Filters of a channel: crossover, equaliser, biquads; their response, group delay, poles, and what they do in time.
//!
//! ```text
//! Filters ─▶ Section, in p = s/ω_c ──▶ Chain (analogue)  ─▶ response, group delay, poles
//! scene      │ bilinear, prewarped
//!            └▶ Biquad, in z⁻¹ ──────▶ Chain (digital)
//! ```
//!
//! Every filter is a product of real sections of first and second order in `p = s / ω_c`, s = jω, time factor `exp(+jωt)`. A signal
//! processor gets each through the bilinear transform
//!
//! ```text
//! p = (1/t) (1 − z⁻¹) / (1 + z⁻¹),   t = tan(π f_c / f_s)
//! ```
//!
//! which is exact at 0 and at f_c and squeezes everything above into what is left below f_s / 2: at f the digital filter does what
//! the analogue one does at `f_c tan(π f / f_s) / t`.
//!
//! Linear and time-invariant; coefficients of biquads in double precision, as a processor with 64-bit floating-point numbers has them.
//! Source: A. V. Oppenheim & R. W. Schafer, Discrete-Time Signal Processing, 3rd ed. 2010, § 7.2 (bilinear transform), from memory;
//! each prototype's source stands where it is made.

mod bessel;
mod biquad;
mod butterworth;
mod chain;
mod check;
mod convolution;
mod equaliser;
mod impulse;
mod pass;
mod sampled;
mod section;

pub use chain::{Chain, Processor};
pub use check::{FilterError, HIGHEST_ORDER, check_band, check_biquad, check_pass};
pub use convolution::convolved;
pub use impulse::{Impulse, ImpulseError, ImpulseRequest, impulse_response};
pub use sampled::Sampled;
pub use section::Section;

#[cfg(test)]
mod tests;
