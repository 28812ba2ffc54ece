//! Bands of the equaliser: the properties that its text names.

use super::{band, digital, frequencies, response};
use crate::filters::Chain;
use crate::scene::{BandShape, Filters};
use num_complex::Complex64;

const QS: [f64; 3] = [0.5, std::f64::consts::FRAC_1_SQRT_2, 4.3];

fn bell(gain_db: f64, q: f64) -> BandShape {
    BandShape::Peaking { gain_db, q }
}

fn low_shelf(gain_db: f64, q: f64) -> BandShape {
    BandShape::LowShelf { gain_db, q }
}

fn high_shelf(gain_db: f64, q: f64) -> BandShape {
    BandShape::HighShelf { gain_db, q }
}

/// Level [dB] of a band at 1 kHz.
fn level(shape: BandShape, frequency: f64) -> f64 {
    20.0 * response(&band(shape, 1000.0), frequency).norm().log10()
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-10, "{found} instead of {expected}");
}

#[test]
fn a_bell_has_its_gain_at_the_centre_and_half_of_it_at_the_width_that_q_says() {
    for q in QS {
        for gain in [-12.0, -3.0, 6.0, 15.0] {
            near(level(bell(gain, q), 1000.0), gain);
            near(level(bell(gain, q), 0.0), 0.0);
            assert!(level(bell(gain, q), 1e9).abs() < 1e-9);
            // y = f/f0 − f0/f = ±1/Q: two frequencies, f0/Q apart, f0 their geometric mean.
            let half = 0.5 / q;
            let (lower, upper) = (half.hypot(1.0) - half, half.hypot(1.0) + half);
            near(upper - lower, 1.0 / q);
            near(level(bell(gain, q), 1000.0 * lower), 0.5 * gain);
            near(level(bell(gain, q), 1000.0 * upper), 0.5 * gain);
        }
    }
}

#[test]
fn shelves_have_their_gain_on_one_side_and_half_of_it_at_their_frequency() {
    for q in QS {
        for gain in [-9.0, 4.0, 12.0] {
            near(level(low_shelf(gain, q), 0.0), gain);
            near(level(low_shelf(gain, q), 1000.0), 0.5 * gain);
            assert!(level(low_shelf(gain, q), 1e9).abs() < 1e-9);
            near(level(high_shelf(gain, q), 0.0), 0.0);
            near(level(high_shelf(gain, q), 1000.0), 0.5 * gain);
            assert!((level(high_shelf(gain, q), 1e9) - gain).abs() < 1e-9);
        }
    }
}

/// A tap at f and 1/f: low and high shelf of one gain together lift everything by it.
#[test]
fn a_low_and_a_high_shelf_together_are_a_gain() {
    for f in frequencies() {
        for q in QS {
            let together = response(&band(low_shelf(7.0, q), 1000.0), f)
                * response(&band(high_shelf(7.0, q), 1000.0), f);
            assert!((together - 10f64.powf(0.35)).norm() < 1e-12, "{q} at {f}: {together}");
        }
    }
}

#[test]
fn shelves_do_not_overshoot_up_to_one_over_root_two() {
    let overshoot =
        |q: f64| frequencies().map(|f| level(low_shelf(12.0, q), f)).fold(f64::MIN, f64::max) - 12.0;
    assert!(overshoot(std::f64::consts::FRAC_1_SQRT_2) < 1e-12);
    assert!(overshoot(0.75) > 1e-3);
}

#[test]
fn a_cut_undoes_a_boost_analogue_and_digital() {
    for shape in [bell, low_shelf, high_shelf] {
        for made in [Default::default(), digital(48e3)] {
            let of = |gain: f64| Chain::new(&Filters { made: made.clone(), ..band(shape(gain, 1.3), 700.0) });
            for f in frequencies() {
                let both = of(8.0).response(f) * of(-8.0).response(f);
                assert!((both - 1.0).norm() < 1e-11, "at {f}: {both}");
            }
        }
    }
}

#[test]
fn digital_bands_keep_the_gain_at_both_ends_and_at_the_centre() {
    let of = |shape: BandShape| Chain::new(&Filters { made: digital(48e3), ..band(shape, 5000.0) });
    let level = |chain: &Chain, f: f64| 20.0 * chain.response(f).norm().log10();
    for (shape, expected) in [
        (bell(6.0, 2.0), [0.0, 6.0, 0.0]),
        (low_shelf(6.0, 0.7), [6.0, 3.0, 0.0]),
        (high_shelf(6.0, 0.7), [0.0, 3.0, 6.0]),
    ] {
        for (f, expected) in [0.0, 5000.0, 24e3].into_iter().zip(expected) {
            near(level(&of(shape), f), expected);
        }
    }
}

#[test]
fn a_notch_is_silent_at_its_centre_and_half_its_power_at_the_width_that_q_says() {
    let filters = band(BandShape::Notch { q: 5.0 }, 1000.0);
    assert_eq!(response(&filters, 1000.0), Complex64::ZERO);
    let upper = 0.1f64.hypot(1.0) + 0.1;
    for f in [1000.0 * upper, 1000.0 / upper] {
        near(response(&filters, f).norm_sqr(), 0.5);
    }
    near(response(&filters, 0.0).norm(), 1.0);
}

#[test]
fn an_all_pass_turns_the_phase_alone() {
    for made in [Default::default(), digital(48e3)] {
        let chain = Chain::new(&Filters { made, ..band(BandShape::AllPass { q: 0.8 }, 1000.0) });
        for f in frequencies() {
            near(chain.response(f).norm(), 1.0);
        }
        assert!((chain.response(1000.0) + 1.0).norm() < 1e-12);
        assert!(chain.response(500.0).im < 0.0, "the phase falls from 0");
        assert!(chain.is_stable() && !chain.is_minimum_phase());
    }
}
