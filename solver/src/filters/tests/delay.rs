//! Group delay from derivatives against the slope of the phase.

use super::{alignments, band, digital, frequencies, high_pass, low_pass};
use crate::filters::Chain;
use crate::scene::{BandShape, Biquad, Filters, Realisation};
use std::f64::consts::TAU;

/// −Δφ/Δω across a small step about `frequency` [Hz]; error of second order in the step.
fn slope(chain: &Chain, frequency: f64) -> f64 {
    let step = 2e-4 * frequency;
    let turned = chain.response(frequency + step) / chain.response(frequency - step);
    -turned.arg() / (2.0 * TAU * step)
}

fn agrees(filters: &Filters) {
    for made in [Realisation::Analogue, digital(48e3)] {
        let chain = Chain::new(&Filters { made, ..filters.clone() }).delayed(0.13e-3);
        for f in frequencies().filter(|&f| f < 19e3) {
            let (found, expected) = (chain.group_delay(f), slope(&chain, f));
            let scale = expected.abs().max(1e-3 / f);
            assert!((found - expected).abs() < 2e-5 * scale, "{filters:?} at {f}: {found} {expected}");
        }
    }
}

#[test]
fn group_delay_is_the_slope_of_the_phase() {
    for (alignment, order) in alignments() {
        agrees(&low_pass(alignment, order, 1200.0));
        agrees(&high_pass(alignment, order, 1200.0));
    }
    for shape in [
        BandShape::Peaking { gain_db: 9.0, q: 2.0 },
        BandShape::LowShelf { gain_db: -5.0, q: 0.7 },
        BandShape::HighShelf { gain_db: 5.0, q: 1.1 },
        BandShape::Notch { q: 3.0 },
        BandShape::AllPass { q: 0.7 },
    ] {
        agrees(&band(shape, 801.0));
    }
}

#[test]
fn closed_forms() {
    // 1/(1 + p): 1/ω_c at 0, half of it at the corner.
    let chain = Chain::new(&low_pass(crate::scene::Alignment::Butterworth, 1, 100.0));
    assert!((chain.group_delay(0.0) * TAU * 100.0 - 1.0).abs() < 1e-15);
    assert!((chain.group_delay(100.0) * TAU * 100.0 - 0.5).abs() < 1e-15);
    // z⁻²: two samples.
    let late =
        Realisation::Digital { sample_rate: 8e3, biquads: vec![Biquad { b: [0.0, 0.0, 1.0], a: [0.0; 2] }] };
    let chain = Chain::new(&Filters { made: late, ..Filters::default() });
    assert!((chain.group_delay(700.0) - 2.0 / 8e3).abs() < 1e-18);
}

#[test]
fn a_notch_delays_alike_on_both_sides_of_its_centre_and_at_it() {
    let chain = Chain::new(&band(BandShape::Notch { q: 3.0 }, 800.0));
    let [below, at, above] = [799.9999, 800.0, 800.0001].map(|f| chain.group_delay(f));
    assert!((below / at - 1.0).abs() < 1e-5 && (above / at - 1.0).abs() < 1e-5);
}
