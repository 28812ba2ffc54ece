//! A driver before a driven panel.

use super::*;
use crate::air::Air;
use crate::coupling::tests::scene as foam;
use crate::driver::motor_tests::driver;
use crate::scene::*;
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
