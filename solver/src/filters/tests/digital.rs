//! Biquads: the bilinear transform, and what a processor computes sample by sample.

use super::{alignments, band, digital, frequencies, high_pass, low_pass};
use crate::filters::Chain;
use crate::scene::{BandShape, Biquad, Filters};
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

const RATE: f64 = 48e3;

fn each() -> Vec<Filters> {
    let passes =
        alignments().flat_map(|(kind, order)| [low_pass(kind, order, 1200.0), high_pass(kind, order, 90.0)]);
    let bands = [BandShape::Peaking { gain_db: 9.0, q: 2.0 }, BandShape::LowShelf { gain_db: -5.0, q: 0.7 }];
    passes.chain(bands.into_iter().map(|shape| band(shape, 400.0))).collect()
}

fn corner(filters: &Filters) -> f64 {
    let pass = filters.high_pass.or(filters.low_pass).map(|pass| pass.corner);
    pass.unwrap_or_else(|| filters.equaliser[0].frequency)
}

#[test]
fn a_digital_filter_does_what_the_analogue_one_does_at_the_warped_frequency() {
    for filters in each() {
        let (analogue, corner) = (Chain::new(&filters), corner(&filters));
        let digital = Chain::new(&Filters { made: digital(RATE), ..filters.clone() });
        for f in frequencies() {
            let warped = corner * (PI * f / RATE).tan() / (PI * corner / RATE).tan();
            let (found, expected) = (digital.response(f), analogue.response(warped));
            assert!(
                (found - expected).norm() < 1e-10 * (1.0 + expected.norm()),
                "{filters:?} at {f}: {found} {expected}"
            );
        }
    }
}

#[test]
fn the_response_is_the_transform_of_what_comes_out_for_one_sample() {
    for filters in each() {
        let chain = Chain::new(&Filters { made: digital(RATE), ..filters.clone() });
        let processor = chain.biquads(0.0).expect("has a rate of its own");
        let mut output = vec![0.0; 1 << 14];
        output[0] = 1.0;
        for biquad in &processor.biquads {
            output = biquad.run(&output);
        }
        for f in [37.0, 410.0, 1700.0, 15e3] {
            let turned = |(n, y): (usize, &f64)| Complex64::from_polar(*y, -TAU * f / RATE * n as f64);
            let transformed: Complex64 = output.iter().enumerate().map(turned).sum();
            assert!((transformed - chain.response(f)).norm() < 1e-10, "{filters:?} at {f}");
        }
    }
}

#[test]
fn a_first_order_low_pass_has_its_closed_form() {
    let filters = low_pass(crate::scene::Alignment::Butterworth, 1, RATE / 4.0);
    let processor = Chain::new(&filters).biquads(RATE).expect("the corner is low enough");
    // t = tan(π/4) = 1: (1 + z⁻¹) / 2.
    let Biquad { b, a } = processor.biquads[0];
    for (found, expected) in b.into_iter().chain(a).zip([0.5, 0.5, 0.0, 0.0, 0.0]) {
        assert!((found - expected).abs() < 1e-15);
    }
}
