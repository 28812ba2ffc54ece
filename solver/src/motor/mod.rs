//! Voice coil, suspension, magnet, and the wiring between coils and amplifiers.
//!
//! ```text
//!   amplifier            coil                 foot ─── panel
//!  E ─ R_s ──┬─ R_e ─ jωL_e ─┐            v ↑   m_c
//!            │            (Bl)            S │ = k (1 + jη) / jω
//!            └───────────────┘            u ↑   m_m  magnet, floating or held (u = 0)
//! ```
//!
//! With the current i into the plus lead, the velocities v of coil and foot and u of the magnet, both positive towards
//! the listener, and F the force on the panel:
//!
//! ```text
//! voltage at the leads   e = (R_e + jωL_e) i + Bl (v − u)
//! coil and foot          jω m_c v = Bl i − S (v − u) − F
//! magnet, floating       jω m_m u = −Bl i + S (v − u)
//! ```
//!
//! Eliminating u shows what a floating magnet does. With `a = jω m_m / (jω m_m + S)`
//!
//! ```text
//! F = a Bl i − (jω m_c + a S) v,      e = (R_e + jωL_e + Bl² / (jω m_m + S)) i + a Bl v
//! ```
//!
//! so the effective force factor is `a Bl`: well above the magnet's resonance √(k/m_m) it is Bl, well below it falls as
//! `−ω² m_m / k`, and a held magnet has a = 1. The same factor stands in both lines (reciprocity). The program does not
//! eliminate u: `jω m_m + S` vanishes at the resonance of a lossless suspension, the three lines above never divide.
//!
//! Linear (small excursion), lumped (parts small against the wavelengths inside them), Bl and L_e constant.
//! Source: L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers, 2012, ch. 3 (moving-coil transducer);
//! the floating magnet is the same circuit with a second mass, worked out here.

pub(crate) mod transducer;
mod wiring;

pub use transducer::Transducer;
pub use wiring::{Loop, Source, current_loops};
