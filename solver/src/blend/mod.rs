//! A panel and small drivers as one source.
//!
//! ```text
//! BlendScene ─▶ predict ─┐
//!               compare ─┴▶ Ensemble: parts, centres ─▶ listening, search ─▶ BlendFindings
//! ```
//!
//! Both simulations start at the same time (the signal enters the channels) and use the panel's coordinates. Each part is computed with the
//! unfiltered voltage of its amplifier; filters, gain and delay of its channel multiply what it radiates, exactly, as everything is linear.
//!
//! A measured response takes the place of what would be heard of a part at a seat; arcs and centres stay computed.
//!
//! What is left out: the panel's sound goes past the driver's body as if that were not there, the driver does not move the panel nor hear another driver, and a floor
//! is not heard. The panel behind the driver reflects as the case says (`behind`).

mod advice;
mod alone;
mod centres;
mod clicks;
mod ensemble;
mod findings;
mod measured;
mod measured_words;
#[cfg(test)]
mod tests;
mod together;
mod voice;
mod words;

pub use advice::BlendAdvice;
pub(crate) use alone::{chain, parts_alone};
pub use clicks::{Click, clicks};
pub use ensemble::{BlendError, Ensemble, ensemble};
pub use findings::{BlendFindings, Blended, SAMPLE_RATE, blend_findings};
pub use measured::MeasuredAt;
pub(crate) use measured_words::told as measured_told;
pub(crate) use voice::Voice;
