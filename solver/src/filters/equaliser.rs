//! Bands of a parametric equaliser as second-order sections.
//!
//! With `A = 10^(gain/40)`, the square root of the gain as an amplitude factor, and `p = s / ω_0`:
//!
//! ```text
//! bell        (1 + p A/Q + p²) / (1 + p/(A Q) + p²)
//! low shelf   A (A + p √A/Q + p²) / (1 + p √A/Q + A p²)
//! high shelf  A (1 + p √A/Q + A p²) / (A + p √A/Q + p²)
//! notch       (1 + p²) / (1 + p/Q + p²)
//! all-pass    (1 − p/Q + p²) / (1 + p/Q + p²)
//! ```
//!
//! What makes them the natural choice, each a test: A cut is the inverse of the boost of the same gain, because A → 1/A swaps numerator
//! and denominator. The bell is A² at p = j and 1 at 0 and ∞; on the axis `p + 1/p = jy`, y = f/f_0 − f_0/f, so |H| = A, half the gain in
//! dB, where y = ±1/Q: two frequencies whose difference is f_0/Q. Shelves are A² at one end, 1 at the other and A at p = j.
//! Source of the same prototypes: R. Bristow-Johnson, Cookbook formulae for audio equalizer biquad filter coefficients, from memory;
//! the properties are derived here. The notch's −3 dB points lie at y = ±1/Q as well.

use super::section::Section;
use crate::scene::{BandShape, EqualiserBand};

/// The band as a section.
pub(super) fn section(band: &EqualiserBand) -> Section {
    let (numerator, denominator) = polynomials(band.shape);
    Section { numerator, denominator, corner: band.frequency }
}

fn polynomials(shape: BandShape) -> ([f64; 3], [f64; 3]) {
    match shape {
        BandShape::Peaking { gain_db, q } => {
            let a = root_of_gain(gain_db);
            ([1.0, a / q, 1.0], [1.0, 1.0 / (a * q), 1.0])
        }
        BandShape::LowShelf { gain_db, q } => {
            let a = root_of_gain(gain_db);
            ([a * a, a * a.sqrt() / q, a], [1.0, a.sqrt() / q, a])
        }
        BandShape::HighShelf { gain_db, q } => {
            let a = root_of_gain(gain_db);
            ([a, a * a.sqrt() / q, a * a], [a, a.sqrt() / q, 1.0])
        }
        BandShape::Notch { q } => ([1.0, 0.0, 1.0], [1.0, 1.0 / q, 1.0]),
        BandShape::AllPass { q } => ([1.0, -1.0 / q, 1.0], [1.0, 1.0 / q, 1.0]),
    }
}

/// A.
fn root_of_gain(gain_db: f64) -> f64 {
    10f64.powf(gain_db / 40.0)
}
