//! Two sources that are the same but for delay, gain and polarity.

use super::super::matched::{Span, equal_levels, matched};
use crate::coupling::blend::{Part, Pressure};
use crate::filters::Chain;
use crate::scene::{Alignment, Filters, PassFilter};
use crate::search::evenness::Evenness;
use ndarray::Array2;
use num_complex::Complex64;
use std::f64::consts::TAU;

const CORNER: f64 = 2000.0;

fn frequencies() -> Vec<f64> {
    (0..49).map(|i| 500.0 * 2f64.powf(f64::from(i) / 12.0)).collect()
}

/// A point source at one seat, times a factor, later by a time [s].
fn source(factor: f64, later: f64) -> Part {
    let at = |f: f64| Complex64::from_polar(1.0, -TAU * f * (5e-3 + later)) * factor;
    let far = Array2::zeros((0, 0));
    Part {
        name: "source".into(),
        pressure: Pressure {
            seats: vec![frequencies().into_iter().map(at).collect()],
            horizontal: far.clone(),
            vertical: far,
        },
        flight: vec![5e-3 + later],
        strain: vec![],
    }
}

fn responses() -> [Vec<Complex64>; 2] {
    let pass = Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: CORNER });
    let low = Chain::new(&Filters { low_pass: pass, ..Filters::default() });
    let high = Chain::new(&Filters { high_pass: pass, ..Filters::default() });
    [low, high].map(|chain| frequencies().into_iter().map(|f| chain.response(f)).collect())
}

/// Linkwitz–Riley halves of equal sources add up flat: what makes them unequal is found and undone, a lateness of more than a period, too.
#[test]
fn delay_gain_and_polarity_are_undone() {
    let [h, g] = responses();
    for (factor, later) in
        [(1.0, 0.0), (-0.5, 0.13e-3), (0.8, -0.21e-3), (-1.4, 0.05e-3), (0.9, 1.7 / CORNER)]
    {
        let evenness = Evenness::of(&frequencies(), [&source(1.0, 0.0), &source(factor, later)], &[1.0]);
        let as_set = evenness.unevenness(&h, &g);
        let span = Span { ways: 0.0, periods: [1.0 / CORNER; 2], plays: [CORNER, f64::INFINITY] };
        let found = matched(&evenness, [&h, &g], span);
        assert!(found.unevenness < 0.02, "{factor} {later}: {found:?}");
        assert_eq!(found.reversed, factor < 0.0, "{found:?}");
        assert!((found.delay + later).abs() < 4e-6, "{found:?}");
        assert!((found.gain_db + 20.0 * factor.abs().log10()).abs() < 0.1, "{found:?}");
        let alike = (factor, later) == (1.0, 0.0);
        assert!(if alike { as_set < 1e-9 } else { as_set > 1.0 }, "{factor} {later}: {as_set}");
    }
}

/// A rest of 0 dB below the corner and 20 dB above it, a driver of 10 dB everywhere: it is to be 10 dB quieter where it plays.
#[test]
fn levels_are_made_alike_each_where_it_plays() {
    let frequencies = frequencies();
    let mut rest = source(1.0, 0.0);
    rest.pressure.seats[0]
        .iter_mut()
        .zip(&frequencies)
        .filter(|(_, f)| **f > CORNER)
        .for_each(|(p, _)| *p *= 10.0);
    let evenness = Evenness::of(&frequencies, [&rest, &source(10f64.sqrt(), 0.0)], &[1.0]);
    let open = vec![Complex64::ONE; frequencies.len()];
    let gain = |plays| equal_levels(&evenness, [&open, &open], plays);
    let above = gain([CORNER * 1.001, f64::INFINITY]);
    assert!((above + 10.0).abs() < 1e-9, "{above}");
    let below = gain([0.0, CORNER * 1.001]);
    assert!((below - 10.0).abs() < 1e-9, "{below}");
}

/// Delays are tried in steps of the shortest period, no farther than half the longest.
#[test]
fn first_delays_stay_within_half_the_longest_period() {
    let span = Span { ways: 0.0, periods: [1.0 / 700.0, 1.0 / 1600.0], plays: [700.0, 1600.0] };
    let delays: Vec<f64> = span.delays(1e-3).collect();
    assert!(delays.iter().all(|delay| (delay - 1e-3).abs() <= 0.5 / 700.0 + 1e-12), "{delays:?}");
    assert_eq!(delays.len(), 2 * 9 + 1);
}
