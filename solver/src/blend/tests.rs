//! Panel and driver from one origin of time and place, against closed forms.

use super::*;
use crate::coupling::tests::scene as foam;
use crate::driver::motor_tests::driver;
use crate::kept::NothingKept;
use crate::listening::InTime;
use crate::scene::*;
use crate::surrounds::{Bodies, compare};
use ndarray::s;
use num_complex::Complex64;
use panelwright_mesh::{Axis, Lattice};
use std::f64::consts::{PI, TAU};
use std::num::NonZeroUsize;

/// Radius of a ball and of its cap [m].
const BALL: [f64; 2] = [0.03, 0.009];
/// Middle of the ball's front [m].
const PLACE: [f64; 3] = [0.31, 0.52, 0.07];
const SEATS: [[f64; 3]; 3] = [[0.31, 0.52, 2.1], [0.9, 0.1, 1.6], [0.25, 0.18, 40.0]];

fn frequencies() -> Vec<f64> {
    (0..31).map(|i| 100.0 * 10f64.powf(f64::from(i) / 30.0)).collect()
}

/// A stiff board in a wall, driven in its middle, with a small ball near it.
fn scene(filters: [Filters; 2]) -> BlendScene {
    let [low, high] = filters;
    let mut panel = foam(Back::Baffled, [1.0, 1.0]);
    let section = &mut panel.panel.section;
    for stiffness in [&mut section.d11, &mut section.d12, &mut section.d22, &mut section.d66] {
        *stiffness *= 1e5;
    }
    panel.exciters.truncate(1);
    panel.exciters[0].position = [0.25, 0.18];
    panel.channels.truncate(1);
    panel.channels[0].filters = low;
    panel.frequencies = frequencies();
    panel.receivers.seats =
        SEATS.iter().map(|&position| Seat { name: format!("{position:?}"), position }).collect();
    let channel = Channel { exciters: vec![], filters: high, ..panel.channels[0].clone() };
    let ball = SmallDriver {
        place: PLACE,
        diaphragm: Diaphragm::cap(BALL[1], BALL[0]),
        housing: Housing::ball(BALL[0], BALL[1], 40e-6),
        ..driver(HousingBack::Sealed { volume: 40e-6 })
    };
    let driver = DriverScene {
        title: "test".into(),
        driver: ball,
        behind: Behind::Nothing,
        surrounds: vec![Surround { name: "bare".into(), form: SurroundForm::Bare, absorption: 0.0 }],
        air: panel.air,
        seats: panel.receivers.seats.clone(),
        near: 0.3,
        arc: panel.receivers.arc,
        frequencies: frequencies(),
        pictured: vec![],
        elements_per_wavelength: 4.0,
    };
    BlendScene { panel, drivers: vec![FedDriver { scene: driver, channel }], measured: vec![] }
}

fn plain() -> [Filters; 2] {
    [Filters::default(), Filters::default()]
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

/// A cap on a ball is, at low ka, a monopole `jωρ Q exp(−jkr)/(4πr)` whose centre lies 3/2 radii from the ball's middle towards the cap
/// (the first two terms of the series for a point source on a ball; P. M. Morse & K. U. Ingard, Theoretical Acoustics, 1968, § 7.2, from memory;
/// worked out: the dipole is 3/2 ka of the monopole). The panel moves as one board: the Rayleigh integral of an even velocity.
#[test]
fn driver_and_panel_start_at_the_same_time_from_their_places() {
    let scene = scene(plain());
    let ensemble = ensemble(&scene, &NothingKept, &|_| ()).expect("sound parts");
    let air = ensemble.air;
    let bodies = Bodies::of(&scene.drivers[0].scene).expect("sound shape");
    let comparison = compare(&bodies, None, &NothingKept, &|_| ()).expect("sound shape");
    let part = &ensemble.drivers[0].surrounds[0].part;
    let middle = PLACE[2] - (BALL[0].powi(2) - BALL[1].powi(2)).sqrt();
    let centre = [PLACE[0], PLACE[1], middle + 1.5 * BALL[0]];
    let lattice = Lattice::new(
        Axis::cells(0.0, 0.5, NonZeroUsize::new(50).expect("not 0")),
        Axis::cells(0.0, 0.36, NonZeroUsize::new(36).expect("not 0")),
    );
    for (i, &f) in ensemble.frequencies.iter().enumerate().filter(|(_, f)| **f < 200.0) {
        let (omega, k) = (TAU * f, air.wavenumber(f));
        // The motion of a cap is axial, its flow that of the flat disc under it.
        let moved = &comparison.variants[0].curves.moved[i];
        let flow = PI * BALL[1].powi(2) * moved.coil;
        let velocity = ensemble
            .prediction
            .modes
            .superpose(ensemble.prediction.motion.modal_velocity.slice(s![i..i + 1, ..]), &lattice);
        let board = velocity[[0, 25, 18]];
        assert!(velocity.iter().all(|v| (v / board - 1.0).norm() < 0.02), "{f} Hz: it bends");
        for (s, &seat) in SEATS.iter().enumerate() {
            let r = distance(seat, centre);
            let expected =
                Complex64::new(0.0, omega * air.density) * flow * Complex64::cis(-k * r) / (4.0 * PI * r);
            let found = part.pressure.seats[s][i] / expected;
            assert!((found - 1.0).norm() < 0.02, "{f} Hz, seat {s}: driver {found}");
            let cell = 0.5 * 0.36 / 1800.0;
            let wave = |[x, y]: [f64; 2]| {
                let r = distance(seat, [x, y, 0.0]);
                Complex64::cis(-k * r) / (TAU * r) * cell
            };
            let expected = Complex64::new(0.0, omega * air.density)
                * board
                * lattice.points().map(wave).sum::<Complex64>();
            let found = ensemble.panel.pressure.seats[s][i] / expected;
            assert!((found - 1.0).norm() < 0.02, "{f} Hz, seat {s}: panel {found}");
        }
        // A positive voltage pushes both towards the listener: above the resonances the acceleration is in step with it.
        let pushes = |v: Complex64| (Complex64::new(0.0, omega) * v).arg().abs();
        assert!(pushes(board) < 1.2, "{f} Hz: {}", pushes(board));
    }
}

/// Far away on the axis seats hear what the arcs say, for both parts: one reference of phase.
#[test]
fn arcs_and_far_seats_agree_in_phase() {
    let ensemble = ensemble(&scene(plain()), &NothingKept, &|_| ()).expect("sound parts");
    let axis = ensemble.angles.iter().position(|angle| angle.abs() < 1e-9).expect("has an axis");
    let r = SEATS[2][2];
    for part in [&ensemble.panel, &ensemble.drivers[0].surrounds[0].part] {
        for (i, &f) in ensemble.frequencies.iter().enumerate() {
            let k = ensemble.air.wavenumber(f);
            // The seat on the panel's axis is 40 m away: Fresnel's phase of what lies 0.35 m beside it is a few hundredths.
            let there = part.pressure.seats[2][i] * r * Complex64::cis(k * r);
            for far in [&part.pressure.horizontal, &part.pressure.vertical] {
                let ratio = there / far[[i, axis]];
                assert!((ratio - 1.0).norm() < 0.04, "{}: {f} Hz: {ratio}", part.name);
            }
        }
    }
}

#[test]
fn findings_sum_what_the_channels_pass() {
    let pass = PassFilter { alignment: Alignment::LinkwitzRiley, order: 4, corner: 400.0 };
    let low = Filters { low_pass: Some(pass), ..Filters::default() };
    let high = Filters { high_pass: Some(pass), ..Filters::default() };
    let ensemble = ensemble(&scene([low, high]), &NothingKept, &|_| ()).expect("sound parts");
    let findings = blend_findings(&ensemble);
    let blended = &findings.surrounds[0];
    assert_eq!((blended.seats.len(), blended.agreement.len()), (3, 3));
    let at_corner =
        ensemble.frequencies.iter().position(|f| (f / 398.1 - 1.0).abs() < 1e-3).expect("is there");
    let seat = &blended.seats[0];
    let half = ensemble.panel_chain.response(ensemble.frequencies[at_corner]).norm();
    assert!((half - 0.5).abs() < 0.01, "the panel's filter: {half}");
    let driver = &ensemble.drivers[0];
    let sum = ensemble.panel.pressure.seats[0][at_corner]
        * ensemble.panel_chain.response(ensemble.frequencies[at_corner])
        + driver.surrounds[0].part.pressure.seats[0][at_corner]
            * driver.chain.response(ensemble.frequencies[at_corner]);
    assert!((seat.pressure[at_corner] / sum - 1.0).norm() < 1e-12);
    let advice = blended.advice.as_ref().expect("a wide range");
    assert!(advice.crossover.unevenness <= blended.unevenness, "{advice:?} {}", blended.unevenness);
    // What arrives over time has the spectrum that was put in.
    let InTime::Heard { sample_rate, starts, impulse, .. } = &seat.in_time else {
        panic!("{:?}", seat.in_time)
    };
    for (i, &f) in ensemble.frequencies.iter().enumerate().step_by(5) {
        let turned =
            |(n, x): (usize, &f64)| Complex64::from_polar(*x, -TAU * f * (starts + n as f64 / sample_rate));
        let heard: Complex64 = impulse.iter().enumerate().map(turned).sum();
        assert!((heard / seat.pressure[i] - 1.0).norm() < 0.01, "{f} Hz: {heard} {}", seat.pressure[i]);
    }
    assert!(findings.summary.iter().any(|sentence| sentence.contains("most even crossover")));
}

#[test]
fn ranges_that_do_not_meet_are_refused() {
    let mut apart = scene(plain());
    apart.drivers[0].scene.frequencies = vec![5000.0, 6000.0];
    assert!(matches!(ensemble(&apart, &NothingKept, &|_| ()), Err(BlendError::NothingInCommon)));
}
