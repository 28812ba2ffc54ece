//! Advice on parts whose best crossover is known, and against all points of a grid.

use super::*;
use crate::coupling::blend::Pressure;
use ndarray::Array2;

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
    Request { corners: [500.0, 5000.0], expected_delay: 0.0, gain_db: [-15.0, 10.0], shapes: Shape::usual() }
}

fn flat(_: f64) -> Complex64 {
    Complex64::ONE
}

/// Equal flat sources, the second one nearer: a delay of just the difference, and a pair that adds up flat.
#[test]
fn equal_sources_add_up_flat_after_their_delay() {
    let (a, b) = (part(&[2.0], flat, |_| 0.0), part(&[1.9], flat, |_| 0.0));
    let evenness = Evenness::of(&frequencies(), [&a, &b], &[1.0]);
    let delay = 0.1 / SPEED;
    let request = Request { expected_delay: 0.9 * delay, ..request() };
    let advice = advise(&evenness, [&a, &b], &request).expect("shapes to choose");
    assert!(advice.unevenness < 1e-3, "{advice:?}");
    assert!((advice.crossover.delay - delay).abs() < 2e-6, "{advice:?}");
    assert!((advice.crossover.gain_db - 20.0 * 0.95f64.log10()).abs() < 0.01, "{advice:?}");
    assert_eq!(advice.limits, Limits { first: f64::NEG_INFINITY, second: f64::NEG_INFINITY });
}

/// No point of an exhaustive grid is better than what is advised: two unlike sources, two seats, ratings that bind.
#[test]
fn no_point_of_an_exhaustive_grid_is_better() {
    let low = |f: f64| Complex64::ONE / Complex64::new(1.0 - (f / 4000.0).powi(2), f / 4000.0 / 0.8);
    let high = |f: f64| 1.6 / Complex64::new(1.0 - (700.0 / f).powi(2), -700.0 / f);
    let (a, b) = (part(&[2.0, 2.6], low, |_| 0.5), part(&[2.1, 2.5], high, |f| 1.5 * (900.0 / f).powi(2)));
    let evenness = Evenness::of(&frequencies(), [&a, &b], &[2.0, 1.0]);
    let shapes = vec![
        Shape { alignment: Alignment::LinkwitzRiley, order: 2 },
        Shape { alignment: Alignment::Butterworth, order: 3 },
    ];
    let request = Request { shapes: shapes.clone(), ..request() };
    let search = Search { evenness: &evenness, strains: [&a.strain, &b.strain], request: &request };
    let mut best = f64::INFINITY;
    for &shape in &shapes {
        for corner in (0..24).map(|i| 500.0 * 10f64.powf(f64::from(i) / 23.0)) {
            for delay in (-20..=20).map(|i| f64::from(i) * 2.5e-5) {
                for gain_db in (-8..=4).map(|i| 1.5 * f64::from(i)) {
                    for reversed in [false, true] {
                        let crossover = Crossover { shape, corner, delay, gain_db, reversed };
                        let [h, g] = search.responses(&crossover);
                        let Limits { first, second } = search.limits(&h, &g);
                        let over = first.max(0.0) + second.max(0.0);
                        best = best.min(evenness.unevenness(&h, &g) + OVERLOAD * over);
                    }
                }
            }
        }
    }
    let advice = advise(&evenness, [&a, &b], &request).expect("shapes to choose");
    assert!(advice.unevenness <= best && advice.unevenness > 0.3 * best, "{advice:?} against {best}");
    assert!(advice.limits.first <= 0.0 && advice.limits.second <= 1e-9, "{advice:?}");
}

/// A second part that stands nothing below 2.5 kHz is crossed over above the corner it would have without its rating.
#[test]
fn ratings_move_the_corner() {
    let (a, b) = (part(&[2.0], flat, |_| 0.1), part(&[2.0], flat, |f| 10.0 * (1000.0 / f).powi(4)));
    let evenness = Evenness::of(&frequencies(), [&a, &b], &[1.0]);
    let shapes = vec![Shape { alignment: Alignment::LinkwitzRiley, order: 4 }];
    let advice = advise(&evenness, [&a, &b], &Request { shapes, ..request() }).expect("a shape");
    assert!(advice.limits.second <= 1e-9, "{advice:?}");
    // LR4 and a strain falling alike: 10 (1000/corner)⁴ ≤ 1 far below the corner.
    assert!(advice.crossover.corner > 1000.0 * 10f64.powf(0.25) - 1.0, "{advice:?}");
}

#[test]
fn nothing_to_choose_is_no_advice() {
    let a = part(&[2.0], flat, |_| 0.0);
    let evenness = Evenness::of(&frequencies(), [&a, &a], &[1.0]);
    let upside_down = Request { corners: [500.0, 400.0], ..request() };
    assert!(advise(&evenness, [&a, &a], &upside_down).is_none());
    assert!(advise(&evenness, [&a, &a], &Request { shapes: vec![], ..request() }).is_none());
}

/// The averages say what the sum of the pressures says.
#[test]
fn averaged_energy_is_that_of_the_summed_pressures() {
    let (a, b) =
        (part(&[2.0, 3.0], flat, |_| 0.0), part(&[2.2, 2.7], |f| Complex64::new(f / 2e3, 1.0), |_| 0.0));
    let evenness = Evenness::of(&frequencies(), [&a, &b], &[3.0, 1.0]);
    let crossover = Crossover {
        shape: Shape { alignment: Alignment::Bessel, order: 3 },
        corner: 1500.0,
        delay: -2e-4,
        gain_db: -4.0,
        reversed: true,
    };
    let [low, high] = crossover.chains();
    let f = frequencies();
    let respond = |chain: &Chain| f.iter().map(|&f| chain.response(f)).collect::<Vec<_>>();
    let energy = evenness.energy(&respond(&low), &respond(&high));
    let (first, second) = (a.pressure.through(&low, &f), b.pressure.through(&high, &f));
    for (i, energy) in energy.iter().enumerate() {
        let sum = |s: usize| (first.seats[s][i] + second.seats[s][i]).norm_sqr();
        let expected = 0.75 * sum(0) + 0.25 * sum(1);
        assert!((energy / expected - 1.0).abs() < 1e-10);
    }
}
