//! Filters against closed forms, against each other, and against time.

mod bands;
mod checks;
mod delay;
mod digital;
mod impulse;
mod passes;

use super::Chain;
use crate::scene::{Alignment, EqualiserBand, Filters, PassFilter, Realisation};
use num_complex::Complex64;

/// Frequencies [Hz] from 10 Hz to 20 kHz.
fn frequencies() -> impl Iterator<Item = f64> {
    (0..=200).map(|i| 10.0 * 2000f64.powf(f64::from(i) / 200.0))
}

fn digital(sample_rate: f64) -> Realisation {
    Realisation::Digital { sample_rate, biquads: vec![] }
}

fn low_pass(alignment: Alignment, order: usize, corner: f64) -> Filters {
    Filters { low_pass: Some(PassFilter { alignment, order, corner }), ..Filters::default() }
}

fn high_pass(alignment: Alignment, order: usize, corner: f64) -> Filters {
    Filters { high_pass: Some(PassFilter { alignment, order, corner }), ..Filters::default() }
}

fn band(shape: crate::scene::BandShape, frequency: f64) -> Filters {
    Filters { equaliser: vec![EqualiserBand { frequency, shape }], ..Filters::default() }
}

fn response(filters: &Filters, frequency: f64) -> Complex64 {
    Chain::new(filters).response(frequency)
}

/// Every alignment and order.
fn alignments() -> impl Iterator<Item = (Alignment, usize)> {
    let of = |alignment: Alignment| {
        let step = if alignment == Alignment::LinkwitzRiley { 2 } else { 1 };
        (step..=super::HIGHEST_ORDER).step_by(step).map(move |order| (alignment, order))
    };
    [Alignment::Butterworth, Alignment::Bessel, Alignment::LinkwitzRiley].into_iter().flat_map(of)
}
