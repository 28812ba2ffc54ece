//! High-pass and low-pass.

use super::super::bessel;
use super::{alignments, digital, frequencies, high_pass, low_pass, response};
use crate::filters::Chain;
use crate::scene::{Alignment, Filters};
use num_complex::Complex64;
use std::f64::consts::{FRAC_1_SQRT_2, PI, TAU};

#[test]
fn corners_have_the_level_that_builders_expect() {
    for (alignment, order) in alignments() {
        let expected = if alignment == Alignment::LinkwitzRiley { 0.5 } else { FRAC_1_SQRT_2 };
        for filters in [low_pass(alignment, order, 1700.0), high_pass(alignment, order, 1700.0)] {
            for made in [Default::default(), digital(48e3)] {
                let level = response(&Filters { made, ..filters.clone() }, 1700.0).norm();
                assert!((level - expected).abs() < 2e-14, "{alignment:?} {order}: {level}");
            }
        }
    }
}

#[test]
fn butterworth_has_its_closed_form() {
    for order in 1..=8 {
        for f in frequencies() {
            let x = (f / 900.0).powi(order as i32);
            let low = response(&low_pass(Alignment::Butterworth, order, 900.0), f).norm();
            let high = response(&high_pass(Alignment::Butterworth, order, 900.0), f).norm();
            assert!((low / x.hypot(1.0).recip() - 1.0).abs() < 1e-13, "{order} at {f}");
            assert!((high / (x / x.hypot(1.0)) - 1.0).abs() < 1e-13, "{order} at {f}");
        }
    }
}

/// `θ_n` by its recurrence `θ_n = (2n − 1) θ_{n−1} + s² θ_{n−2}`, another way than the coefficients.
fn reverse_bessel(order: usize, s: Complex64) -> Complex64 {
    let next =
        |(before, last): (Complex64, Complex64), n: usize| (last, (2 * n - 1) as f64 * last + s * s * before);
    (2..=order).fold((Complex64::ONE, 1.0 + s), next).1
}

#[test]
fn bessel_is_the_reverse_bessel_polynomial_at_a_scaled_frequency() {
    for order in 1..=8 {
        let square = |x: f64| {
            (reverse_bessel(order, Complex64::ZERO) / reverse_bessel(order, Complex64::new(0.0, x)))
                .norm_sqr()
        };
        let (mut low, mut high) = (0.5, 10.0);
        while high - low > 1e-15 * high && 0.5 * (low + high) != low && 0.5 * (low + high) != high {
            let middle = 0.5 * (low + high);
            if square(middle) > 0.5 { low = middle } else { high = middle }
        }
        for f in frequencies() {
            let s = Complex64::new(0.0, low * f / 900.0);
            let expected = reverse_bessel(order, Complex64::ZERO) / reverse_bessel(order, s);
            let found = response(&low_pass(Alignment::Bessel, order, 900.0), f);
            assert!((found / expected - 1.0).norm() < 1e-12, "{order} at {f}: {found} {expected}");
        }
    }
}

/// Zeros of θ_n with positive or no imaginary part, to 17 digits: mpmath, 60 digits, `polyroots` of the coefficients in
/// [`bessel`]'s text; some of them in W. E. Thomson's paper to four.
const ZEROS: [(usize, f64, f64); 9] = [
    (3, -2.3221853546260856, 0.0),
    (3, -1.8389073226869572, 1.7543809597837217),
    (5, -3.6467385953296434, 0.0),
    (7, -4.971786858527936, 0.0),
    (7, -2.6856768789432657, 5.420694130716749),
    (8, -5.587886043263085, 0.8676144453527864),
    (8, -5.204840790636882, 2.6161751526425276),
    (8, -4.368289217202403, 4.414442500471539),
    (8, -2.8389839488976305, 6.353911298604877),
];

#[test]
fn bessel_zeros_have_all_their_digits() {
    for (order, re, im) in ZEROS {
        let expected = Complex64::new(re, im);
        let nearest =
            bessel::zeros(order).iter().map(|z| (z - expected).norm() / expected.norm()).fold(1.0, f64::min);
        assert!(nearest < 3e-16, "{order}: {expected} missed by {nearest:e}");
    }
}

#[test]
fn a_bessel_low_pass_delays_all_that_it_lets_through_alike() {
    // The first 2n − 1 derivatives of the delay vanish at 0: half-way to the corner of order 8 nothing has changed yet.
    let chain = Chain::new(&low_pass(Alignment::Bessel, 8, 1000.0));
    let (start, half) = (chain.group_delay(1.0), chain.group_delay(500.0));
    assert!((half / start - 1.0).abs() < 1e-8, "{start} {half}");
    let steep = Chain::new(&low_pass(Alignment::Butterworth, 8, 1000.0));
    assert!((steep.group_delay(500.0) / steep.group_delay(1.0) - 1.0).abs() > 0.1);
}

#[test]
fn linkwitz_riley_pairs_add_up_flat() {
    for order in [2, 4, 6, 8] {
        let sign = if order % 4 == 2 { -1.0 } else { 1.0 };
        for made in [Default::default(), digital(44.1e3)] {
            let low = Chain::new(&Filters {
                made: made.clone(),
                ..low_pass(Alignment::LinkwitzRiley, order, 2000.0)
            });
            let high = Chain::new(&Filters { made, ..high_pass(Alignment::LinkwitzRiley, order, 2000.0) });
            for f in frequencies() {
                let sum = low.response(f) + sign * high.response(f);
                assert!((sum.norm() - 1.0).abs() < 1e-11, "order {order} at {f}: {}", sum.norm());
                let turn = (low.response(f) * sign / high.response(f)).arg();
                assert!(turn.abs() < 1e-9, "in phase; order {order} at {f}: {turn}");
            }
        }
    }
}

#[test]
fn butterworth_pairs_add_up_in_power_and_odd_ones_in_pressure_too() {
    for order in 1..=8 {
        for f in frequencies() {
            let low = response(&low_pass(Alignment::Butterworth, order, 2000.0), f);
            let high = response(&high_pass(Alignment::Butterworth, order, 2000.0), f);
            assert!((low.norm_sqr() + high.norm_sqr() - 1.0).abs() < 1e-13, "order {order} at {f}");
            if order % 2 == 1 {
                for sum in [low + high, low - high] {
                    assert!((sum.norm() - 1.0).abs() < 1e-13, "order {order} at {f}");
                }
            }
        }
    }
}

#[test]
fn slopes_are_six_decibels_per_octave_and_order() {
    for (alignment, order) in alignments() {
        let octave = |f: f64| {
            let filters = low_pass(alignment, order, 100.0);
            20.0 * (response(&filters, f).norm() / response(&filters, 2.0 * f).norm()).log10()
        };
        let expected = 20.0 * order as f64 * 2f64.log10();
        assert!((octave(50e3) / expected - 1.0).abs() < 1e-4, "{alignment:?} {order}: {}", octave(50e3));
    }
}

#[test]
fn poles_lie_where_they_belong() {
    for order in 1..=8 {
        let chain = Chain::new(&high_pass(Alignment::Butterworth, order, 300.0));
        let poles = chain.poles();
        assert_eq!(poles.len(), order);
        for k in 1..=order {
            let angle = PI * (2 * k + order - 1) as f64 / (2 * order) as f64;
            let expected = Complex64::from_polar(TAU * 300.0, angle);
            let nearest = poles.iter().map(|p| (p - expected).norm() / expected.norm()).fold(1.0, f64::min);
            assert!(nearest < 1e-14, "order {order}, pole {k}: {nearest:e}");
        }
    }
    assert!(!Chain::new(&low_pass(Alignment::Bessel, 3, 300.0)).delayed(1e-4).is_minimum_phase());
    assert!(!Chain::new(&low_pass(Alignment::Bessel, 3, 300.0)).amplified(-1.0).is_minimum_phase());
    for (alignment, order) in alignments() {
        for filters in [low_pass(alignment, order, 300.0), high_pass(alignment, order, 300.0)] {
            for made in [Default::default(), digital(96e3)] {
                let chain = Chain::new(&Filters { made, ..filters.clone() });
                assert!(chain.is_stable() && chain.is_minimum_phase(), "{alignment:?} {order}");
                assert_eq!(chain.poles().len(), order);
            }
        }
    }
}
