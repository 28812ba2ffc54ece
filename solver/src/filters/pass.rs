//! High-pass and low-pass as sections.

use super::section::Section;
use super::{bessel, butterworth};
use crate::scene::{Alignment, PassFilter};

/// The low-pass `Π d₀ / (d₀ + d₁ p + d₂ p²)`: 0 dB at 0 Hz.
pub(super) fn low(filter: &PassFilter) -> Vec<Section> {
    let section =
        |d: [f64; 3]| Section { numerator: [d[0], 0.0, 0.0], denominator: d, corner: filter.corner };
    factors(filter).into_iter().map(section).collect()
}

/// The high-pass: the low-pass with p replaced by 1/p, 0 dB far above the corner.
pub(super) fn high(filter: &PassFilter) -> Vec<Section> {
    let section = |[d0, d1, d2]: [f64; 3]| match d2 == 0.0 {
        true => Section { numerator: [0.0, d0, 0.0], denominator: [d1, d0, 0.0], corner: filter.corner },
        false => Section { numerator: [0.0, 0.0, d0], denominator: [d2, d1, d0], corner: filter.corner },
    };
    factors(filter).into_iter().map(section).collect()
}

fn factors(filter: &PassFilter) -> Vec<[f64; 3]> {
    match filter.alignment {
        Alignment::Butterworth => butterworth::factors(filter.order),
        Alignment::Bessel => bessel::factors(filter.order),
        Alignment::LinkwitzRiley => butterworth::squared(filter.order),
    }
}
