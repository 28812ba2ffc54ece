//! What is refused.

use super::digital;
use crate::filters::{Chain, FilterError, check_band, check_biquad, check_pass};
use crate::scene::{Alignment, BandShape, Biquad, EqualiserBand, Filters, PassFilter, Realisation};

fn pass(alignment: Alignment, order: usize, corner: f64) -> PassFilter {
    PassFilter { alignment, order, corner }
}

#[test]
fn orders_and_corners_outside_what_can_be_made_are_refused() {
    let made = Realisation::Analogue;
    assert_eq!(check_pass(&pass(Alignment::Bessel, 8, 24e3), &made), Ok(()));
    for order in [0, 9] {
        assert_eq!(
            check_pass(&pass(Alignment::Bessel, order, 1e3), &made),
            Err(FilterError::Order { order })
        );
    }
    assert_eq!(
        check_pass(&pass(Alignment::LinkwitzRiley, 3, 1e3), &made),
        Err(FilterError::Odd { order: 3 })
    );
    assert!(check_pass(&pass(Alignment::Butterworth, 3, 0.0), &made).is_err());
    assert!(check_pass(&pass(Alignment::Butterworth, 3, f64::NAN), &made).is_err());
    let high = pass(Alignment::Butterworth, 2, 24e3);
    let expected = FilterError::AboveHalfTheRate { frequency: 24e3, sample_rate: 48e3 };
    assert_eq!(check_pass(&high, &digital(48e3)), Err(expected.clone()));
    assert_eq!(expected.to_string(), "24000 Hz is not below half the sample rate of 48000 Hz");
    let analogue = Chain::new(&Filters { low_pass: Some(high), ..Filters::default() });
    assert_eq!(analogue.biquads(48e3), Err(expected));
    assert!(analogue.biquads(96e3).is_ok());
}

#[test]
fn bands_need_a_positive_frequency_and_quality_factor() {
    let band = |frequency: f64, q: f64, gain_db: f64| EqualiserBand {
        frequency,
        shape: BandShape::Peaking { gain_db, q },
    };
    assert_eq!(check_band(&band(1e3, 1.0, -3.0), &digital(48e3)), Ok(()));
    for wrong in
        [band(0.0, 1.0, 0.0), band(1e3, 0.0, 0.0), band(1e3, 1.0, f64::INFINITY), band(30e3, 1.0, 0.0)]
    {
        assert!(check_band(&wrong, &digital(48e3)).is_err(), "{wrong:?}");
    }
}

#[test]
fn biquads_are_stable_exactly_when_their_poles_lie_inside_the_unit_circle() {
    // Unequal offsets keep the grid off the sides of the triangle.
    let along = |offset: f64| (-21..=21).map(move |i| f64::from(i) * 0.1 + offset);
    for (a1, a2) in along(0.037).flat_map(|a1| along(0.013).map(move |a2| (a1, a2))) {
        let biquad = Biquad { b: [1.0, 0.0, 0.0], a: [a1, a2] };
        let inside = biquad.poles().iter().all(|pole| pole.norm() < 1.0);
        assert_eq!(biquad.is_stable(), inside, "{a1} {a2}");
        assert_eq!(check_biquad(&biquad).is_ok(), inside);
    }
    let growing = Biquad { b: [1.0, 0.0, 0.0], a: [-2.5, 1.0] };
    assert_eq!(check_biquad(&growing), Err(FilterError::Unstable { a: [-2.5, 1.0], radius: 2.0 }));
    assert_eq!(check_biquad(&Biquad { b: [f64::NAN, 0.0, 0.0], a: [0.0; 2] }), Err(FilterError::NoNumber));
}

#[test]
fn an_unstable_biquad_is_no_stable_chain() {
    let made = |biquads: Vec<Biquad>| Realisation::Digital { sample_rate: 48e3, biquads };
    let chain = |biquad: Biquad| Chain::new(&Filters { made: made(vec![biquad]), ..Filters::default() });
    assert!(!chain(Biquad { b: [1.0, 0.0, 0.0], a: [0.0, 1.21] }).is_stable());
    assert!(chain(Biquad::PLAIN).is_stable());
    assert!(!chain(Biquad { b: [0.0, 1.0, 0.0], a: [0.0, 0.0] }).is_minimum_phase(), "a sample late");
}
