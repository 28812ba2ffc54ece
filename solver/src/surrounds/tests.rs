//! A driver before a driven panel.

use super::radiated::Radiated;
use super::solution::{Sounding, Values};
use super::sweep::Swept;
use super::*;
use crate::air::Air;
use crate::boundary::{Body, Mirrors};
use crate::coupling::tests::scene as foam;
use crate::driver::Assembly;
use crate::driver::motor_tests::driver;
use crate::scene::*;
use num_complex::Complex64;
use panelwright_mesh::Outline;

fn before(behind: Behind) -> DriverScene {
    DriverScene {
        title: "test".into(),
        driver: SmallDriver { place: [0.2, 0.25, 0.06], ..driver(HousingBack::Sealed { volume: 50e-6 }) },
        behind,
        surrounds: vec![Surround { name: "bare".into(), form: SurroundForm::Bare, absorption: 0.0 }],
        air: Air::new(293.15, 0.5, 101_325.0),
        seats: vec![Seat { name: "sofa".into(), position: [0.5, 0.1, 2.0] }],
        near: 0.3,
        arc: PolarArc { distance: 2.0, step: 0.5 },
        frequencies: vec![500.0, 600.0, 720.0, 860.0],
        pictured: vec![],
        elements_per_wavelength: 6.0,
    }
}

/// Twice the voltage at the exciters is twice the sound of the panel and of what it moves.
#[test]
fn a_disturbance_grows_with_the_panel_and_stays_the_same_beside_it() {
    for (behind, back) in [
        (Behind::Plane, Back::Baffled),
        (Behind::Board(Outline::Rectangle { width: 0.5, height: 0.36 }), Back::Open),
    ] {
        let scene = before(behind);
        let found = |volts: f64| {
            let panel = foam(back, [volts, 0.7 * volts]);
            let comparison = compare(&scene, Some(&panel), &|_| ()).expect("sound shapes");
            let mut findings = surround_findings(&scene, &comparison);
            assert!(findings.summary.iter().any(|sentence| sentence.starts_with("The panel's sound moves")));
            findings.surrounds.remove(0).disturbed.expect("a driven panel")
        };
        let [once, twice] = [1.0, 2.0].map(found);
        assert_eq!((once.frequencies.len(), once.places.len()), (4, 2));
        for (a, b) in once.places.iter().zip(&twice.places) {
            let louder = b.held.iter().zip(&a.held).chain(b.open.iter().zip(&a.open)).map(|(b, a)| b - a);
            assert!(louder.into_iter().all(|gain| (gain - 20.0 * 2f64.log10()).abs() < 1e-3));
            let bands =
                a.held_bands.iter().chain(&a.open_bands).zip(b.held_bands.iter().chain(&b.open_bands));
            assert!(bands.into_iter().all(|(a, b)| (a.gain - b.gain).abs() < 1e-3 && a.gain.is_finite()));
        }
    }
}

#[test]
fn a_panel_elsewhere_or_below_the_range_says_nothing() {
    let disturbed = |behind, panel: &Scene| {
        let comparison = compare(&before(behind), Some(panel), &|_| ()).expect("sound shapes");
        comparison.variants[0].disturbed.is_some()
    };
    let panel = foam(Back::Baffled, [1.0, 1.0]);
    assert!(!disturbed(Behind::Nothing, &panel));
    let low = Scene { frequencies: vec![100.0, 400.0], ..panel };
    assert!(!disturbed(Behind::Plane, &low));
}

fn scene_with(behind: Behind, frequencies: Vec<f64>, absorption: f64) -> DriverScene {
    let form = SurroundForm::Baffle { width: 0.12, height: 0.1, thickness: 0.006, gap: 0.002, rounding: 0.0 };
    let surrounds = vec![Surround { name: "baffle".into(), form, absorption }];
    DriverScene { surrounds, frequencies, ..before(behind) }
}

/// Far below its size a driver is a point source, before a plane two of them that radiate into one half.
#[test]
fn small_sources_radiate_alike_in_all_directions() {
    for (behind, exact) in [(Behind::Nothing, 0.0), (Behind::Plane, 10.0 * 2f64.log10())] {
        let scene = scene_with(behind, vec![10.0, 20.0, 40.0], 0.0);
        let comparison = compare(&scene, None, &|_| ()).expect("sound shapes");
        let findings = surround_findings(&scene, &comparison);
        for index in &findings.surrounds[0].directivity_index {
            assert!((index - exact).abs() < 0.02, "{index} dB for {exact}");
        }
    }
}

/// Both ways to count the power of a lined baffle, and how much its lining takes.
#[test]
fn what_the_diaphragm_gives_is_absorbed_or_arrives() {
    for (behind, plane) in [(Behind::Nothing, false), (Behind::Plane, true)] {
        let scene = scene_with(behind, vec![1500.0], 0.5);
        let assembly = Assembly::new(&scene.driver, &scene.surrounds[0], &scene.behind).expect("a shape");
        let surface = assembly.meshed(0.012, [true; 2]).expect("a mesh");
        let body = Body::new(&surface, Mirrors([true, true, plane])).expect("closed");
        let motions = Motions::of(&scene.driver.diaphragm, 1500.0).expect("a motion");
        let places = Places::of(&scene);
        let (board, lining, air) = (None, 0.17, &scene.air);
        let sounding = Sounding {
            body: &body,
            motions: &motions,
            places: &places,
            air,
            board,
            lining,
            mirrored: [true; 2],
        };
        let sounds = sounding.sounds(1500.0).expect("converges");
        let values = sounding.values(&sounds, 1500.0);
        let given = Values { values: &values, motions: 1 }.reaction()[[0, 0]].re;
        let swept = Swept {
            values: vec![values.clone()],
            shares: vec![vec![(0, Complex64::ONE)]],
            solved: 1,
            error: 0.0,
        };
        let k = air.wavenumber(1500.0);
        let counted = [Radiated::new(&sounding, k, plane), Radiated::on_the_surface(&sounding)];
        let [far, here] = counted.map(|mut radiated| {
            radiated.keep(0, &sounds, k);
            radiated.powers(&swept)[0][[0, 0]].re
        });
        assert!((far / here - 1.0).abs() < 5e-3, "{plane}: {far} far away, {here} from the surface");
        assert!(here < 0.97 * given, "{plane}: the lining leaves {here} of {given}");
    }
}
