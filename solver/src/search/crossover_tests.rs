//! Advice on parts whose best crossover is known, and against all points of a grid.

use super::*;
use crate::coupling::blend::Pressure;
use crate::filters::Chain;
use crate::scene::{Alignment, Filters, PassFilter};
use crate::search::evenness::Evenness;
use ndarray::Array2;
use std::f64::consts::TAU;

const SPEED: f64 = 340.0;

fn frequencies() -> Vec<f64> {
    (0..120).map(|i| 200.0 * 80f64.powf(f64::from(i) / 119.0)).collect()
}

/// A source at these distances of the seats, with this response and strain.
fn part(distances: &[f64], response: impl Fn(f64) -> Complex64, strain: impl Fn(f64) -> f64) -> Part {
    let f = frequencies();
    let seat = |r: &f64| f.iter().map(|&f| response(f) * Complex64::cis(-TAU * f * r / SPEED) / *r).collect();
    let far = Array2::zeros((f.len(), 1));
    Part {
        name: "part".into(),
        pressure: Pressure {
            seats: distances.iter().map(seat).collect(),
            horizontal: far.clone(),
            vertical: far,
        },
        flight: distances.iter().map(|r| r / SPEED).collect(),
        strain: f.iter().map(|&f| strain(f)).collect(),
    }
}

fn request() -> Request {
    Request {
        corners: [500.0, 5000.0],
        expected_delays: vec![0.0],
        gain_db: [-15.0, 10.0],
        shapes: Shape::usual(),
        starts: vec![],
    }
}

fn averages(parts: &[&Part], weights: &[f64]) -> Averages {
    Averages::of(&frequencies(), parts, weights)
}

fn flat(_: f64) -> Complex64 {
    Complex64::ONE
}

/// Equal flat sources, the second one nearer: a delay of just the difference, and a pair that adds up flat.
#[test]
fn equal_sources_add_up_flat_after_their_delay() {
    let (a, b) = (part(&[2.0], flat, |_| 0.0), part(&[1.9], flat, |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    let delay = 0.1 / SPEED;
    let request = Request { expected_delays: vec![0.9 * delay], ..request() };
    let advice = advise(&averages, &[&a, &b], &request).expect("shapes to choose");
    assert!(advice.unevenness < 1e-3, "{advice:?}");
    let [crossover] = advice.crossovers[..] else { panic!("{advice:?}") };
    assert!((crossover.delay - delay).abs() < 2e-6, "{advice:?}");
    assert!((crossover.gain_db - 20.0 * 0.95f64.log10()).abs() < 0.01, "{advice:?}");
    assert_eq!((advice.limits.as_slice(), crossover.is_split()), (&[f64::NEG_INFINITY; 2][..], false));
}

/// No point of an exhaustive grid is better than what is advised: two unlike sources, two seats, ratings that bind.
#[test]
fn no_point_of_an_exhaustive_grid_is_better() {
    let low = |f: f64| Complex64::ONE / Complex64::new(1.0 - (f / 4000.0).powi(2), f / 4000.0 / 0.8);
    let high = |f: f64| 1.6 / Complex64::new(1.0 - (700.0 / f).powi(2), -700.0 / f);
    let (a, b) = (part(&[2.0, 2.6], low, |_| 0.5), part(&[2.1, 2.5], high, |f| 1.5 * (900.0 / f).powi(2)));
    let averages = averages(&[&a, &b], &[2.0, 1.0]);
    let shapes = vec![
        Shape { alignment: Alignment::LinkwitzRiley, order: 2 },
        Shape { alignment: Alignment::Butterworth, order: 3 },
    ];
    let request = Request { shapes: shapes.clone(), ..request() };
    let mut best = f64::INFINITY;
    for &shape in &shapes {
        for corner in (0..24).map(|i| 500.0 * 10f64.powf(f64::from(i) / 23.0)) {
            for delay in (-20..=20).map(|i| f64::from(i) * 2.5e-5) {
                for gain_db in (-8..=4).map(|i| 1.5 * f64::from(i)) {
                    for reversed in [false, true] {
                        let tried =
                            Crossover { gain_db, reversed, ..Crossover::common(shape, corner, delay) };
                        best = best.min(cost(&averages, &[&a, &b], &responses(&averages, &feeds(&[tried]))));
                    }
                }
            }
        }
    }
    let advice = advise(&averages, &[&a, &b], &request).expect("shapes to choose");
    let common = advice.common.unwrap_or(advice.cost);
    assert!(common <= best && common > 0.3 * best, "{advice:?} against {best}");
    assert!(advice.limits.iter().all(|limit| *limit <= 1e-9), "{advice:?}");
}

/// A second part that stands nothing below 2.5 kHz is crossed over above the corner it would have without its rating.
#[test]
fn ratings_move_the_corner() {
    let (a, b) = (part(&[2.0], flat, |_| 0.1), part(&[2.0], flat, |f| 10.0 * (1000.0 / f).powi(4)));
    let averages = averages(&[&a, &b], &[1.0]);
    let shapes = vec![Shape { alignment: Alignment::LinkwitzRiley, order: 4 }];
    let advice = advise(&averages, &[&a, &b], &Request { shapes, ..request() }).expect("a shape");
    assert!(advice.limits[1] <= 1e-9, "{advice:?}");
    // LR4 and a strain falling alike: 10 (1000/corner)⁴ ≤ 1 far below the corner.
    assert!(advice.crossovers[0].high.corner > 1000.0 * 10f64.powf(0.25) - 1.0, "{advice:?}");
}

/// A part that falls off by itself like a Butterworth of fourth order at 1 kHz would add up flat with another of these, beside a Linkwitz–Riley of eighth
/// order on the other side. Common filters are within 0.22 dB of that, which is less than two different ones are worth.
#[test]
fn filters_do_not_differ_where_that_gains_little() {
    let pass = PassFilter { alignment: Alignment::Butterworth, order: 4, corner: 1000.0 };
    let own = Chain::new(&Filters { high_pass: Some(pass), ..Filters::default() });
    let (a, b) = (part(&[2.0], flat, |_| 0.0), part(&[2.0], |f| own.response(f), |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    let shapes = vec![
        Shape { alignment: Alignment::LinkwitzRiley, order: 8 },
        Shape { alignment: Alignment::Butterworth, order: 4 },
    ];
    let near = Request { shapes, corners: [900.0, 1100.0], ..request() };
    let advice = advise(&averages, &[&a, &b], &near).expect("shapes");
    let [crossover] = advice.crossovers[..] else { panic!("{advice:?}") };
    assert_eq!(crossover.low, crossover.high, "{advice:?}");
    assert!(advice.common.is_none() && advice.cost > 0.05 && advice.cost < WORTH_SPLITTING, "{advice:?}");
}

/// Parts that fall off by themselves beyond 1 kHz, one above and one below it, like the halves of a Linkwitz–Riley crossover: a common corner takes away twice where they
/// meet, corners beyond both ends leave them alone. No point of an exhaustive grid over both corners, delay, gain and polarity is better than what is found, nor is one with a common corner than
/// what is said of those.
#[test]
fn filters_differ_where_that_gains_much() {
    let pass = Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 1000.0 });
    let below = Chain::new(&Filters { low_pass: pass, ..Filters::default() });
    let above = Chain::new(&Filters { high_pass: pass, ..Filters::default() });
    let (a, b) =
        (part(&[2.0], |f| below.response(f), |_| 0.0), part(&[2.05], |f| above.response(f), |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    let shape = Shape { alignment: Alignment::LinkwitzRiley, order: 4 };
    let corners: Vec<f64> = (0..=8).map(|i| 500.0 * 4f64.powf(f64::from(i) / 8.0)).collect();
    let (mut common, mut apart) = (f64::INFINITY, f64::INFINITY);
    for (&low, &high) in corners.iter().flat_map(|low| corners.iter().map(move |high| (low, high))) {
        for delay in (-8..=8).map(|i| -0.05 / SPEED + f64::from(i) * 5e-5) {
            for gain_db in (-4..=4).map(|i| 1.5 * f64::from(i)) {
                for reversed in [false, true] {
                    let tried =
                        Crossover { low: shape.at(low), high: shape.at(high), delay, gain_db, reversed };
                    let cost = cost(&averages, &[&a, &b], &responses(&averages, &feeds(&[tried])));
                    apart = apart.min(cost);
                    common = if low == high { common.min(cost) } else { common };
                }
            }
        }
    }
    let request = Request {
        shapes: vec![shape],
        corners: [500.0, 2000.0],
        expected_delays: vec![-0.05 / SPEED],
        ..request()
    };
    let advice = advise(&averages, &[&a, &b], &request).expect("a shape");
    let [crossover] = advice.crossovers[..] else { panic!("{advice:?}") };
    assert!(advice.cost <= apart && advice.cost > 0.3 * apart, "{advice:?} against {apart}");
    let best_common = advice.common.expect("filters differ");
    assert!(best_common <= common && best_common > 0.5 * common, "{advice:?} against {common}");
    assert!(best_common > advice.cost + WORTH_SPLITTING, "{advice:?}");
    assert!(crossover.low.corner > 1.5 * crossover.high.corner, "{advice:?}");
}

/// Three parts in one place. A Linkwitz–Riley three-way of fourth order adds up flat once the lowest part has the all-pass that the upper
/// crossover makes of the others (S. P. Lipshitz & J. Vanderkooy, J. Audio Eng. Soc. 34 (1986), "in-phase crossover network design"; from memory,
/// and worked out here). With parts that have that all-pass, the search finds crossovers as even as that.
#[test]
fn a_three_way_of_point_sources_is_found_flat() {
    let pass = |corner| Some(PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner });
    let all_pass = |f: f64| {
        let low = Chain::new(&Filters { low_pass: pass(4000.0), ..Filters::default() });
        let high = Chain::new(&Filters { high_pass: pass(4000.0), ..Filters::default() });
        low.response(f) + high.response(f)
    };
    let low = part(&[2.0], all_pass, |_| 0.0);
    // The upper two share the high-pass of the lower crossover; the channel of the highest part has none, so the part brings it along.
    let shared = Chain::new(&Filters { high_pass: pass(800.0), ..Filters::default() });
    let (middle, high) = (part(&[1.93], flat, |_| 0.0), part(&[2.05], |f| 0.7 * shared.response(f), |_| 0.0));
    let parts = [&low, &middle, &high];
    let averages = averages(&parts, &[1.0]);
    let shape = Shape { alignment: Alignment::LinkwitzRiley, order: 4 };
    let known = [
        Crossover {
            gain_db: 20.0 * (1.93f64 / 2.0).log10(),
            ..Crossover::common(shape, 800.0, 0.07 / SPEED)
        },
        Crossover {
            gain_db: 20.0 * (2.05f64 / 1.93 / 0.7).log10(),
            ..Crossover::common(shape, 4000.0, -0.12 / SPEED)
        },
    ];
    let flat_sum = averages.unevenness(&responses(&averages, &feeds(&known)));
    assert!(flat_sum < 1e-6, "the known network is flat: {flat_sum}");
    let request = Request {
        expected_delays: vec![0.06 / SPEED, -0.11 / SPEED],
        shapes: vec![shape, Shape { alignment: Alignment::Butterworth, order: 2 }],
        ..request()
    };
    let advice = advise(&averages, &parts, &request).expect("shapes");
    assert!(advice.unevenness < 0.1, "{advice:?}");
    assert!(advice.crossovers.windows(2).all(|pair| pair[0].corner() < pair[1].corner()), "{advice:?}");
}

/// Two unlike seats, three unlike parts: no point of a coarse but exhaustive grid is better.
#[test]
fn no_point_of_a_grid_over_a_three_way_is_better() {
    let rises = |f: f64| 1.3 / Complex64::new(1.0 - (900.0 / f).powi(2), -900.0 / f);
    let falls = |f: f64| Complex64::ONE / Complex64::new(1.0 - (f / 3000.0).powi(2), f / 3000.0 / 0.7);
    let low = part(&[2.0, 2.5], falls, |_| 0.3);
    let (middle, high) =
        (part(&[2.1, 2.4], flat, |_| 0.2), part(&[1.9, 2.45], rises, |f| 1.2 * (1500.0 / f).powi(2)));
    let parts = [&low, &middle, &high];
    let averages = averages(&parts, &[1.0, 2.0]);
    let shape = Shape { alignment: Alignment::LinkwitzRiley, order: 4 };
    let expected = [-0.03 / SPEED, 0.09 / SPEED];
    let mut best = f64::INFINITY;
    for (first, second) in
        [(600.0, 1500.0), (600.0, 3000.0), (1000.0, 2000.0), (1000.0, 4000.0), (1500.0, 3000.0)]
    {
        for n in 0..36 {
            let [d, e] = [n % 6 - 3, n / 6 - 3].map(f64::from);
            for gains in 0..9 {
                let [g, h] = [gains % 3 - 1, gains / 3 - 1].map(|n| 3.0 * f64::from(n));
                for turned in 0..4 {
                    let tried = [
                        Crossover {
                            gain_db: g,
                            reversed: turned % 2 == 1,
                            ..Crossover::common(shape, first, expected[0] + d / (6.0 * first))
                        },
                        Crossover {
                            gain_db: h,
                            reversed: turned / 2 == 1,
                            ..Crossover::common(shape, second, expected[1] + e / (6.0 * second))
                        },
                    ];
                    best = best.min(cost(&averages, &parts, &responses(&averages, &feeds(&tried))));
                }
            }
        }
    }
    let request = Request { expected_delays: expected.to_vec(), shapes: vec![shape], ..request() };
    let advice = advise(&averages, &parts, &request).expect("a shape");
    let common = advice.common.unwrap_or(advice.cost);
    assert!(common <= best && common > 0.2 * best, "{advice:?} against {best}");
}

/// A part that answers later than its way says, by more than two periods, is not matched a turn away.
#[test]
fn a_part_that_answers_late_is_waited_for() {
    let late = 2.2 / 2000.0;
    let answer = |f: f64| Complex64::cis(-TAU * f * late);
    let (a, b) = (part(&[2.0], answer, |_| 0.0), part(&[2.0], flat, |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    for (alignment, order) in [(Alignment::Butterworth, 1), (Alignment::LinkwitzRiley, 8)] {
        let shapes = vec![Shape { alignment, order }];
        let request = Request { corners: [1999.0, 2001.0], shapes, ..request() };
        let advice = advise(&averages, &[&a, &b], &request).expect("a shape to choose");
        assert!((advice.crossovers[0].delay - late).abs() < 0.02 / 2000.0, "{advice:?}");
        assert!(advice.unevenness < 0.02, "{advice:?}");
    }
}

/// Ways that differ by six periods, further than lateness is looked for: what the request says of them counts.
#[test]
fn ways_that_differ_much_are_made_up_for() {
    let apart = 6.0 / 2000.0;
    let (a, b) = (part(&[2.0 + SPEED * apart], flat, |_| 0.0), part(&[2.0], flat, |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    let shapes = vec![Shape { alignment: Alignment::LinkwitzRiley, order: 4 }];
    let expected_delays = vec![apart];
    let request = Request { corners: [1999.0, 2001.0], shapes, expected_delays, ..request() };
    let advice = advise(&averages, &[&a, &b], &request).expect("a shape to choose");
    assert!((advice.crossovers[0].delay - apart).abs() < 0.02 / 2000.0, "{advice:?}");
}

/// A part whose phase stands a quarter turn ahead everywhere, though it comes in time: a delay of a quarter of a period makes up for that at the corner.
#[test]
fn a_quarter_turn_is_made_up_for_at_the_corner() {
    let (a, b) = (part(&[2.0], flat, |_| 0.0), part(&[2.0], |_| Complex64::I, |_| 0.0));
    let averages = averages(&[&a, &b], &[1.0]);
    let shapes = vec![Shape { alignment: Alignment::LinkwitzRiley, order: 8 }];
    let request = Request { corners: [1999.0, 2001.0], shapes, ..request() };
    let advice = advise(&averages, &[&a, &b], &request).expect("a shape to choose");
    let turns = advice.crossovers[0].delay.abs() * 2000.0;
    assert!((turns - 0.25).abs() < 0.02 && advice.unevenness < 0.1, "{turns} {advice:?}");
}

#[test]
fn nothing_to_choose_is_no_advice() {
    let a = part(&[2.0], flat, |_| 0.0);
    let averages = averages(&[&a, &a], &[1.0]);
    let upside_down = Request { corners: [500.0, 400.0], ..request() };
    assert!(advise(&averages, &[&a, &a], &upside_down).is_none());
    assert!(advise(&averages, &[&a, &a], &Request { shapes: vec![], ..request() }).is_none());
}

/// The averages say what the sum of the pressures says, and for two parts what [`Evenness`] says.
#[test]
fn averaged_energy_is_that_of_the_summed_pressures() {
    let turning = |f: f64| Complex64::new(f / 2e3, 1.0);
    let (a, b, c) = (
        part(&[2.0, 3.0], flat, |_| 0.0),
        part(&[2.2, 2.7], turning, |_| 0.0),
        part(&[1.0, 2.9], flat, |_| 0.0),
    );
    let parts = [&a, &b, &c];
    let f = frequencies();
    let shape = Shape { alignment: Alignment::Bessel, order: 3 };
    let crossovers = [
        Crossover { gain_db: -4.0, reversed: true, ..Crossover::common(shape, 1500.0, -2e-4) },
        Crossover { gain_db: 3.0, reversed: true, ..Crossover::common(shape, 4000.0, 1e-4) },
    ];
    let three = averages(&parts, &[3.0, 1.0]);
    let fed = responses(&three, &feeds(&crossovers));
    for (i, energy) in three.energy(&fed).iter().enumerate() {
        let sum =
            |s: usize| parts.iter().zip(&fed).map(|(p, h)| p.pressure.seats[s][i] * h[i]).sum::<Complex64>();
        let expected = 0.75 * sum(0).norm_sqr() + 0.25 * sum(1).norm_sqr();
        assert!((energy / expected - 1.0).abs() < 1e-10);
    }
    let two = averages(&parts[..2], &[3.0, 1.0]).energy(&fed[..2]);
    let evenness = Evenness::of(&f, [&a, &b], &[3.0, 1.0]).energy(&fed[0], &fed[1]);
    assert!(two.iter().zip(evenness).all(|(a, b)| (a / b - 1.0).abs() < 1e-10));
    // Gains add up, polarities cancel, and nobody is fed before the signal.
    let [first, second, third] = &feeds(&crossovers)[..] else { panic!("three") };
    assert_eq!((third.gain_db, third.reversed, second.reversed), (-1.0, false, true));
    assert!((first.delay - 2e-4).abs() < 1e-18 && second.delay == 0.0 && (third.delay - 1e-4).abs() < 1e-18);
}
