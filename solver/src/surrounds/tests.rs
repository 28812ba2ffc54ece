//! A driver before a driven panel.

use super::*;
use crate::air::Air;
use crate::coupling::tests::scene as foam;
use crate::driver::motor_tests::driver;
use crate::kept::tests::InMemory;
use crate::kept::{KeptWork, Key, NothingKept};
use crate::listening::solid_angles;
use crate::scene::*;
use panelwright_mesh::Outline;

pub(super) fn before(behind: Behind) -> DriverScene {
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

fn compared(scene: &DriverScene, panel: &Scene) -> Comparison {
    with_kept(scene, Some(panel), &NothingKept)
}

fn with_kept(scene: &DriverScene, panel: Option<&Scene>, kept: &dyn KeptWork) -> Comparison {
    crate::single_threaded_blas();
    let bodies = Bodies::of(scene).expect("sound shapes");
    compare(&bodies, panel, kept, &|_| ()).expect("sound shapes")
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
            let comparison = compared(&scene, &panel);
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
        let comparison = compared(&before(behind), panel);
        comparison.variants[0].disturbed.is_some()
    };
    let panel = foam(Back::Baffled, [1.0, 1.0]);
    assert!(!disturbed(Behind::Nothing, &panel));
    let low = Scene { frequencies: vec![100.0, 400.0], ..panel };
    assert!(!disturbed(Behind::Plane, &low));
}

/// All numbers that a comparison makes; a number's shortest exact form tells it from every other.
fn told(comparison: &Comparison) -> String {
    let of = |v: &VariantSound| format!("{:?}", (&v.curves, &v.computed, &v.disturbed, &v.pictures));
    comparison.variants.iter().map(of).collect()
}

/// More frequencies than are solved, some of them pictured, and a panel that the driver is heard on.
fn rich(behind: Behind) -> DriverScene {
    let frequencies = (0..25).map(|i| 500.0 * 1.5f64.powf(f64::from(i) / 24.0)).collect();
    DriverScene { frequencies, pictured: vec![600.0], ..before(behind) }
}

#[test]
fn what_is_taken_over_is_the_same_to_the_last_bit() {
    let board = Outline::Rectangle { width: 0.5, height: 0.36 };
    for (behind, back) in [(Behind::Plane, Back::Baffled), (Behind::Board(board), Back::Open)] {
        let (scene, panel) = (rich(behind), foam(back, [1.0, 0.7]));
        let kept = InMemory::default();
        let [first, second] = [0, 1].map(|_| with_kept(&scene, Some(&panel), &kept));
        let [solved, before] = first.solutions();
        assert!(before == 0 && solved < scene.frequencies.len(), "{solved} solved, {before} known");
        assert_eq!(second.solutions(), [solved, solved]);
        assert!(first.variants[0].disturbed.is_some() && first.variants[0].pictures.len() == 1);
        assert_eq!(told(&second), told(&first));
        // Stopped after every other solution.
        kept.0.borrow_mut().retain(|key, _| key.to_string() > "8".into());
        let third = with_kept(&scene, Some(&panel), &kept);
        assert!((1..solved).contains(&third.solutions()[1]), "{:?}", third.solutions());
        assert_eq!(told(&third), told(&first));
    }
}

/// Keys of all solutions of a scene.
fn keys(scene: &DriverScene) -> Vec<Key> {
    let bodies = Bodies::of(scene).expect("sound shapes");
    let motions = Motions::of(&scene.driver.diaphragm, 1e3).expect("stiff");
    let setting = Setting { scene, motions, places: Places::of(scene), panel: None };
    let pictured = picture::wanted(scene);
    let of = |surround: &Surround, rung: &ladder::Rung| -> Vec<Key> {
        let key = |i| question::key(&setting, surround, rung, i, pictured.contains(&i));
        rung.range.clone().map(key).collect()
    };
    let all = scene.surrounds.iter().flat_map(|one| bodies.ladder.iter().map(move |rung| (one, rung)));
    all.flat_map(|(surround, rung)| of(surround, rung)).collect()
}

/// How many solutions a scene has, and how many of them one change leaves as they were.
fn after(change: impl Fn(&mut DriverScene)) -> [usize; 2] {
    let mut scene = before(Behind::Nothing);
    scene.surrounds.push(Surround {
        name: "baffle".into(),
        form: SurroundForm::Baffle { width: 0.1, height: 0.1, thickness: 0.01, gap: 0.001, rounding: 0.0 },
        absorption: 0.0,
    });
    scene.frequencies = vec![500.0, 600.0];
    let known = keys(&scene);
    change(&mut scene);
    let now = keys(&scene);
    [now.len(), now.iter().filter(|key| known.contains(key)).count()]
}

#[test]
fn only_what_a_solution_depends_on_makes_it_new() {
    assert_eq!(after(|scene| scene.title = "another".into()), [4, 4]);
    assert_eq!(after(|scene| scene.surrounds[1].name = "another".into()), [4, 4]);
    assert_eq!(after(|scene| scene.seats[0].name = "another".into()), [4, 4]);
    assert_eq!(after(|scene| scene.driver.voltage = 1.0), [4, 4]);
    assert_eq!(after(|scene| scene.driver.motor.force_factor *= 1.1), [4, 4]);
    assert_eq!(after(|scene| scene.driver.housing.back = HousingBack::Sealed { volume: 30e-6 }), [4, 4]);
    assert_eq!(after(|scene| scene.surrounds[1].absorption = 0.2), [4, 2]);
    assert_eq!(after(|scene| scene.surrounds.swap(0, 1)), [4, 4]);
    assert_eq!(after(|scene| scene.pictured = vec![600.0]), [4, 2]);
    assert_eq!(after(|scene| scene.driver.housing.depth *= 1.01), [4, 0]);
    assert_eq!(after(|scene| scene.driver.diaphragm.radius *= 0.99), [4, 0]);
    assert_eq!(after(|scene| scene.seats[0].position[0] += 0.01), [4, 0]);
    assert_eq!(after(|scene| scene.air = Air::new(290.0, 0.5, 101_325.0)), [4, 0]);
    assert_eq!(after(|scene| scene.behind = Behind::Plane), [4, 0]);
    let other = |measure: f64| SurroundForm::Baffle {
        width: measure,
        height: 0.1,
        thickness: 0.01,
        gap: 0.001,
        rounding: 0.0,
    };
    assert_eq!(after(|scene| scene.surrounds[1].form = other(0.12)), [4, 2]);
}

/// Nothing is absorbed: what the diaphragm gives to the air arrives far away.
#[test]
fn the_power_of_all_directions_is_the_power_of_the_diaphragm() {
    let board = Outline::Rectangle { width: 0.5, height: 0.36 };
    for (behind, tolerance) in [(Behind::Nothing, 0.01), (Behind::Plane, 0.01), (Behind::Board(board), 0.03)]
    {
        let mut scene = before(behind);
        scene.frequencies = vec![700.0, 3000.0];
        let comparison = with_kept(&scene, None, &NothingKept);
        let weights = solid_angles(&comparison.polar_angles, comparison.azimuths.len());
        let curves = &comparison.variants[0].curves;
        for (far, power) in curves.sphere.outer_iter().zip(&curves.power) {
            let rows = far.outer_iter().zip(&weights);
            let sum: f64 =
                rows.map(|(row, weight)| weight * row.iter().map(|p| p.norm_sqr()).sum::<f64>()).sum();
            let arriving = sum / scene.air.impedance();
            assert!((arriving / power - 1.0).abs() < tolerance, "{arriving} W of {power} W");
        }
    }
}

/// The arcs are among the directions.
#[test]
fn directions_all_round_agree_with_the_arcs() {
    let mut scene = rich(Behind::Nothing);
    scene.arc.step = 15f64.to_radians();
    let comparison = with_kept(&scene, None, &NothingKept);
    let curves = &comparison.variants[0].curves;
    let axis = comparison.angles.len() / 2;
    for i in 0..scene.frequencies.len() {
        for (number, angle) in comparison.angles[axis..].iter().enumerate() {
            let polar =
                comparison.polar_angles.iter().position(|p| (p - angle).abs() < 1e-9).expect("among them");
            let [right, left, up] = [0, 12, 6].map(|azimuth| curves.sphere[[i, polar, azimuth]]);
            let [across, back, upright] = [
                curves.horizontal[[i, axis + number]],
                curves.horizontal[[i, axis - number]],
                curves.vertical[[i, axis + number]],
            ];
            for (all_round, arc) in [(right, across), (left, back), (up, upright)] {
                assert!((all_round - arc).norm() < 0.01 * curves.horizontal[[i, axis]].norm(), "{i} {angle}");
            }
        }
    }
}
