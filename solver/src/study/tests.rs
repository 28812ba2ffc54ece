//! Objectives against predictions, and what is taken over.

use super::*;
use crate::air::Air;
use crate::coupling::tests::scene as foam;
use crate::driver::motor_tests::driver;
use crate::kept::NothingKept;
use crate::listening::{Findings, dead_spots, pressure_level};
use crate::predict;
use crate::scene::*;
use crate::search::evenness::deviation;
use crate::surrounds::{Bodies, compare, surround_findings};
use approx::assert_relative_eq;

const BAND: Range = Range { from: 250.0, to: 1600.0 };
const REFERENCE: Range = Range { from: 200.0, to: 4000.0 };
const CLOSED: Back = Back::Closed { depth: 0.06, loss_factor: 0.1 };
const VENTED: Back = Back::Vented { depth: 0.05, loss_factor: 0.1, vent_area: 2e-3, vent_length: 0.05 };

/// Two exciters on two channels, a mass and a hang, on a panel that is stiffer along x.
fn scene(back: Back) -> Scene {
    let mut scene = foam(back, [2.0, 1.3]);
    let seat = |position: [f64; 3]| Seat { name: format!("{position:?}"), position };
    scene.receivers.seats = [[0.1, 0.3, 1.4], [-0.7, -0.2, 0.9]].map(seat).to_vec();
    scene.panel.section.d11 *= 2.5;
    scene.frequencies = (0..44).map(|i| 150.0 * 2f64.powf(f64::from(i) / 12.0)).collect();
    let (position, diameter) = ([0.4, 0.3], 0.02);
    scene.attachments.masses = vec![PointMass { name: "nut".into(), position, mass: 5e-3, diameter }];
    let hang =
        Hang { name: "cord".into(), position: [0.1, 0.33], stiffness: 2e3, loss_factor: 0.1, diameter: 0.01 };
    scene.attachments.hangs = vec![hang];
    scene
}

fn of_panel(scene: &Scene) -> Variant {
    Variant { panel: Some(scene.clone()), ..Variant::default() }
}

fn asked() -> Vec<Objective> {
    vec![
        Objective::Flatness { band: BAND, over: Over::Average },
        Objective::Flatness { band: BAND, over: Over::WorstSeat },
        Objective::LowEnd { drop: 10.0 },
        Objective::Sensitivity { band: REFERENCE },
        Objective::DeadSpot { band: Range::ALL },
        Objective::DeadArea { band: Range::ALL },
        Objective::Beamwidth { band: BAND, across: Across::Horizontal },
        Objective::BeamChange { band: BAND, across: Across::Vertical },
        Objective::Wander { band: Range::ALL },
        Objective::Excursion { band: Range::ALL },
        Objective::Impedance { band: Range::ALL },
        Objective::Mass,
    ]
}

/// The same numbers from what a whole prediction reports.
fn reported(scene: &Scene, findings: &Findings) -> Vec<f64> {
    let f = &findings.frequencies;
    let uneven = |level: &[f64]| {
        let inside: Vec<f64> =
            f.iter().zip(level).filter(|(f, _)| BAND.holds(**f)).map(|(_, level)| *level).collect();
        deviation(&inside)
    };
    let energy = |i: usize| {
        let sum: f64 = findings.seats.iter().map(|seat| seat.pressure[i].norm_sqr()).sum();
        sum / findings.seats.len() as f64
    };
    let averaged: Vec<f64> = (0..f.len()).map(energy).collect();
    let averaged: Vec<f64> =
        crate::listening::smooth(f, &averaged, 6).into_iter().map(pressure_level).collect();
    let sixth = |seat: &crate::listening::SeatFindings| {
        seat.smoothed.iter().find(|curve| curve.fraction == 6).expect("shown").level.clone()
    };
    let largest = |values: Vec<f64>| values.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let polar = &findings.polar;
    let inside = |band: &crate::listening::Band| BAND.holds(band.nominal);
    let widths = |levels: &Array2<f64>| -> Vec<f64> {
        let shown = polar.bands.iter().zip(levels.rows()).filter(|(band, _)| inside(band));
        shown
            .map(|(_, row)| {
                let far: Vec<_> =
                    row.iter().map(|l| num_complex::Complex64::from(10f64.powf(l / 20.0))).collect();
                crate::listening::beamwidth(&polar.angles, &far).map_or(180.0, f64::to_degrees)
            })
            .collect()
    };
    let (across, upright) = (widths(&polar.horizontal), widths(&polar.vertical));
    let range = |axis: usize| {
        let at: Vec<f64> = findings.centres.iter().map(|centre| centre.intensity.position[axis]).collect();
        largest(at.clone()) + largest(at.iter().map(|x| -x).collect())
    };
    let (width, height) = scene.panel.outline.bounding_box();
    let all = dead_spots(&findings.map, 0.0, Some(([0.0; 2], [width, height])));
    let dead: f64 = findings.dead_spots.iter().map(|spot| spot.area).sum();
    let on_it: f64 = scene.exciters.iter().map(|e| e.moving_mass + e.magnet_mass).sum::<f64>() + 5e-3;
    vec![
        uneven(&averaged),
        largest(findings.seats.iter().map(|seat| uneven(&sixth(seat))).collect()),
        largest(findings.seats.iter().map(|seat| seat.usable[1].lower.expect("a usable band")).collect()),
        findings.sensitivity.mean,
        largest(all.iter().map(|spot| spot.depth).collect()),
        100.0 * dead / (width * height * findings.map.bands.len() as f64),
        across.iter().sum::<f64>() / across.len() as f64,
        largest(upright.clone()) + largest(upright.iter().map(|x| -x).collect()),
        1e3 * range(0).hypot(range(1)),
        1e3 * largest(findings.exciters.iter().map(|e| e.worst_excursion.1).collect()),
        -largest(findings.channels.iter().map(|channel| -channel.lowest_impedance.1).collect()),
        findings.panel.mass + on_it,
    ]
}

#[test]
fn objectives_are_the_numbers_of_a_prediction() {
    let wall = Back::Wall { distance: 0.08, reflection: 0.9 };
    let mut largest = vec![0.0f64; asked().len()];
    let mut with_spots = 0;
    for back in [Back::Baffled, Back::Open, wall, CLOSED, VENTED] {
        let mut scene = scene(back);
        // So near that the panel's pattern is seen in the sound.
        (scene.receivers.map.distance, scene.receivers.map.spacing) = (0.05, 0.04);
        if back == Back::Open {
            scene.receivers.floor = Some(Floor { y: -0.5, reflection: 0.7 });
        }
        let findings = predict(&scene, &|_| {}).expect("solvable").findings;
        let outcome = measure(&Workbench::new(1 << 30), &of_panel(&scene), &asked()).expect("solvable");
        assert_eq!(outcome.missing, vec![None; asked().len()], "{back:?}");
        let numbers = outcome.values.iter().zip(reported(&scene, &findings));
        for ((objective, (found, expected)), largest) in asked().iter().zip(numbers).zip(&mut largest) {
            assert!(
                (found - expected).abs() <= 1e-9 * expected.abs(),
                "{back:?}, {objective:?}: {found} {expected}"
            );
            *largest = largest.max(expected.abs());
        }
        for (curve, seat) in outcome.curves.outer_iter().zip(&findings.seats) {
            let level = |(a, b): (&f32, &f64)| (f64::from(*a) - b).abs() < 1e-4;
            assert!(curve.iter().zip(&seat.level).all(level));
        }
        let deepest = findings.dead_spots.iter().map(|spot| spot.depth).fold(0.0, f64::max);
        if deepest > 0.0 {
            assert_relative_eq!(outcome.values[4], deepest, max_relative = 1e-9);
            with_spots += 1;
        }
    }
    assert!(with_spots > 0, "some panel has a dead spot");
    assert!(largest.iter().all(|largest| *largest > 1e-6), "each says something of some panel: {largest:?}");
}

fn count(bench: &Workbench, kind: Kind) -> (usize, usize) {
    let count = bench.reuse().counts.get(&kind).copied().unwrap_or_default();
    (count.made, count.taken_over)
}

#[test]
fn moving_an_exciter_or_a_seat_solves_no_modes_again_but_a_thicker_panel_does() {
    let bench = Workbench::for_moving_exciters(1 << 30);
    let asked = &asked()[..4];
    let take = |scene: &Scene| measure(&bench, &of_panel(scene), asked).expect("solvable");
    let mut scene = scene(Back::Baffled);
    take(&scene);
    scene.exciters[0].position = [0.3, 0.12];
    take(&scene);
    assert_eq!((count(&bench, Kind::Modes), count(&bench, Kind::Reach)), ((1, 1), (1, 1)));
    scene.receivers.seats[0].position[0] += 0.2;
    take(&scene);
    assert_eq!((count(&bench, Kind::Modes), count(&bench, Kind::Reach)), ((1, 2), (2, 1)));
    scene.panel.section.d22 *= 1.01;
    take(&scene);
    assert_eq!((count(&bench, Kind::Modes), count(&bench, Kind::Reach)), ((2, 2), (3, 1)));
    assert!(bench.reuse().bytes > 1 << 16);
}

#[test]
fn nothing_is_solved_for_mass_and_size() {
    let bench = Workbench::new(1 << 30);
    let found = measure(&bench, &of_panel(&scene(Back::Open)), &[Objective::Area, Objective::Mass]);
    assert_relative_eq!(found.expect("nothing to solve").values[0], 0.5 * 0.36, max_relative = 1e-12);
    assert_eq!(bench.reuse(), Reuse::default());
}

fn bits(outcome: &Outcome) -> (Vec<u64>, Vec<u32>) {
    let values = outcome.values.iter().map(|value| value.to_bits()).collect();
    (values, outcome.curves.iter().map(|level| level.to_bits()).collect())
}

/// Panels and positions that come again, so that workers meet at the same work.
fn variants() -> Vec<Scene> {
    let one = |n: usize| {
        let mut scene = scene(Back::Baffled);
        scene.panel.section.d11 *= 1.0 + 0.1 * (n % 2) as f64;
        scene.exciters[0].position = [0.1 + 0.03 * n as f64, 0.1 + 0.02 * n as f64];
        scene
    };
    (0..6).map(one).collect()
}

#[test]
fn numbers_do_not_depend_on_threads_on_the_order_or_on_what_was_kept() {
    for new in [Workbench::new, Workbench::for_moving_exciters] {
        let asked = match new(0).moves_exciters() {
            true => asked()[..6].to_vec(),
            false => asked(),
        };
        let one = |bench: &Workbench, scene: &Scene| {
            bits(&measure(bench, &of_panel(scene), &asked).expect("solvable"))
        };
        let scenes = variants();
        let cold: Vec<_> = scenes.iter().map(|scene| one(&new(1 << 30), scene)).collect();
        for threads in [1, 2, 3] {
            use rayon::prelude::*;
            let bench = new(1 << 30);
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            let warm: Vec<_> = pool.install(|| scenes.par_iter().map(|scene| one(&bench, scene)).collect());
            assert!(warm == cold, "{threads} threads");
            assert_eq!(count(&bench, Kind::Modes), (2, 4), "never twice, even side by side");
            let backwards: Vec<_> = scenes.iter().rev().map(|scene| one(&bench, scene)).collect();
            assert!(backwards.iter().rev().eq(&cold));
        }
    }
}

#[test]
fn the_limit_is_kept_and_costs_nothing_but_time() {
    let asked = &asked()[..4];
    let scenes = variants();
    let whole = Workbench::new(1 << 30);
    let first = measure(&whole, &of_panel(&scenes[0]), asked).expect("solvable");
    let size = whole.reuse().bytes;
    let bench = Workbench::new(size as usize + size as usize / 2);
    for scene in scenes.iter().chain(&scenes) {
        measure(&bench, &of_panel(scene), asked).expect("solvable");
        assert!(bench.reuse().bytes <= size + size / 2, "{}", bench.reuse().bytes);
    }
    assert!(count(&bench, Kind::Modes).0 > 2, "both panels do not fit");
    let none = Workbench::new(0);
    assert_eq!(bits(&measure(&none, &of_panel(&scenes[0]), asked).expect("solvable")), bits(&first));
    assert_eq!(none.reuse().bytes, 0);
}

/// Worst deviations [dB] of a panel lighter than its air: what [`Reach`](crate::search::exciters::Reach) promises.
#[test]
fn exciters_moved_on_a_known_panel_sound_as_in_a_prediction() {
    for back in [Back::Baffled, CLOSED] {
        let bench = Workbench::for_moving_exciters(1 << 30);
        let asked: Vec<Objective> = [0, 1, 2, 3, 4, 9, 10].map(|n| asked()[n]).to_vec();
        for places in [[[0.19, 0.2], [0.35, 0.11]], [[0.06, 0.31], [0.3, 0.22]]] {
            let mut scene = scene(back);
            scene.exciters.iter_mut().zip(places).for_each(|(exciter, place)| exciter.position = place);
            let quick = measure(&bench, &of_panel(&scene), &asked).expect("solvable");
            let whole = measure(&Workbench::new(1 << 30), &of_panel(&scene), &asked).expect("solvable");
            let off: Vec<f64> =
                quick.curves.iter().zip(&whole.curves).map(|(a, b)| f64::from((a - b).abs())).collect();
            let square = off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64;
            let worst = off.iter().copied().fold(0.0, f64::max);
            // Measured: 0.53 dB at worst, 0.06 dB in the mean. Guesses of 0.2 and 0.04 dB were not met.
            assert!(worst < 0.6 && square.sqrt() < 0.07, "{back:?}: {worst} {}", square.sqrt());
            assert!(worst > 0.0, "another way to the same");
            for ((objective, a), b) in asked.iter().zip(&quick.values).zip(&whole.values) {
                // Measured: 0.06 dB at worst.
                let allowed = if objective.unit() == "dB" { 0.1 } else { 0.01 * b };
                assert!((a - b).abs() < allowed, "{back:?}, {objective:?}: {a} {b}");
            }
        }
    }
}

#[test]
fn what_a_case_does_not_have_has_no_number_and_a_reason() {
    let mut scene = scene(Back::Baffled);
    scene.receivers.seats.clear();
    let asked =
        [Objective::Flatness { band: BAND, over: Over::Average }, Objective::TopOctave, Objective::Mass];
    let outcome = measure(&Workbench::new(1 << 30), &of_panel(&scene), &asked).expect("solvable");
    assert!(outcome.values[0].is_nan() && outcome.values[1].is_nan() && outcome.values[2] > 0.0);
    assert_eq!(outcome.missing[0].as_deref(), Some("the case has no seat"));
    assert_eq!((outcome.missing[1].as_deref(), &outcome.missing[2]), (Some("the case has no driver"), &None));
    scene.exciters.clear();
    let error = measure(&Workbench::new(1 << 30), &of_panel(&scene), &asked[..1]).expect_err("nothing moves");
    assert!(matches!(error, MeasureError::NoExciter));
}

/// A bare driver and one with a small plate around it.
fn driver_scene() -> DriverScene {
    let plate =
        SurroundForm::Baffle { width: 0.2, height: 0.16, thickness: 0.006, gap: 0.002, rounding: 0.0 };
    let surround = |name: &str, form| Surround { name: name.into(), form, absorption: 0.0 };
    DriverScene {
        title: "test".into(),
        driver: SmallDriver { place: [0.2, 0.25, 0.06], ..driver(HousingBack::Sealed { volume: 50e-6 }) },
        behind: Behind::Nothing,
        surrounds: vec![surround("bare", SurroundForm::Bare), surround("plate", plate)],
        air: Air::new(293.15, 0.5, 101_325.0),
        seats: vec![Seat { name: "sofa".into(), position: [0.5, 0.1, 2.0] }],
        near: 0.3,
        arc: PolarArc { distance: 2.0, step: 0.1 },
        frequencies: (0..13).map(|i| 500.0 * 2f64.powf(f64::from(i) / 6.0)).collect(),
        pictured: vec![],
        elements_per_wavelength: 4.0,
    }
}

#[test]
fn a_driver_is_measured_as_the_comparison_of_surrounds_reports_it() {
    let scene = driver_scene();
    let (f, band) = (&scene.frequencies, Range::ALL);
    let asked = [
        Objective::TopOctave,
        Objective::Ripple { band },
        Objective::DriverBeamwidth { band, across: Across::Horizontal },
        Objective::DriverBeamChange { band, across: Across::Vertical },
        Objective::DriverFlatness { band, over: Over::WorstSeat },
    ];
    let bench = Workbench::new(1 << 30);
    let variant = Variant { driver: Some(scene.clone()), ..Variant::default() };
    let outcome = measure(&bench, &variant, &asked).expect("sound shapes");
    let comparison =
        compare(&Bodies::of(&scene).expect("sound"), None, &NothingKept, &|_| {}).expect("sound shapes");
    let findings = surround_findings(&scene, &comparison);
    let plate = &findings.surrounds[1];
    let bands = &plate.places[0].bands;
    let top: Vec<f64> = bands[bands.len() - 3..].iter().map(|band| band.gain).collect();
    assert_relative_eq!(outcome.values[0], top.iter().sum::<f64>() / 3.0, max_relative = 1e-9);
    assert!(outcome.values[0].abs() > 0.1);
    let near: Vec<f64> = plate.places[0].level.iter().map(|l| 10f64.powf(l / 10.0)).collect();
    let smooth = |fraction| crate::listening::smooth(f, &near, fraction);
    let departs: Vec<f64> =
        smooth(24).iter().zip(smooth(1)).map(|(fine, broad)| 10.0 * (fine / broad).log10()).collect();
    assert_relative_eq!(outcome.values[1], deviation(&departs), max_relative = 1e-9);
    let widths = |levels: &Array2<f64>| -> Vec<f64> {
        let width = |row: ndarray::ArrayView1<f64>| {
            let far: Vec<_> =
                row.iter().map(|l| num_complex::Complex64::from(10f64.powf(l / 20.0))).collect();
            crate::listening::beamwidth(&plate.polar.angles, &far).map_or(180.0, f64::to_degrees)
        };
        levels.rows().into_iter().map(width).collect()
    };
    let across = widths(&plate.polar.horizontal);
    assert_relative_eq!(
        outcome.values[2],
        across.iter().sum::<f64>() / across.len() as f64,
        max_relative = 1e-9
    );
    let level = |(a, b): (&f32, &f64)| (f64::from(*a) - b).abs() < 1e-4;
    assert!(outcome.curves.iter().zip(&plate.places[1].level).all(level));
    let seat: Vec<f64> = plate.places[1].level.iter().map(|l| 10f64.powf(l / 10.0)).collect();
    let seat: Vec<f64> = crate::listening::smooth(f, &seat, 6).into_iter().map(pressure_level).collect();
    assert_relative_eq!(outcome.values[4], deviation(&seat), max_relative = 1e-9);
    // Another voltage solves nothing again.
    let solved = count(&bench, Kind::Boundary).0;
    let louder = SmallDriver { voltage: 2.0 * scene.driver.voltage, ..scene.driver.clone() };
    let again = Variant { driver: Some(DriverScene { driver: louder, ..scene }), ..Variant::default() };
    let louder = measure(&bench, &again, &asked).expect("sound shapes");
    assert_eq!(count(&bench, Kind::Boundary).0, solved);
    assert_relative_eq!(louder.values[0], outcome.values[0], max_relative = 1e-9);
}

/// Which pieces of work two variants do not share.
fn not_shared(one: &Variant, other: &Variant, objectives: &[Objective]) -> Vec<bool> {
    let of = |variant: &Variant| Expected::of(variant, objectives, true).unwrap_or_default().shareable;
    of(one).iter().zip(of(other)).map(|(a, b)| a.key != b.key).collect()
}

#[test]
fn what_variants_share_is_known_before_they_are_computed() {
    let objectives = [Objective::LowEnd { drop: 6.0 }];
    let base = scene(Back::Baffled);
    let after = |change: &dyn Fn(&mut Scene)| {
        let mut changed = base.clone();
        change(&mut changed);
        not_shared(&of_panel(&base), &of_panel(&changed), &objectives)
    };
    // Modes, and what a force anywhere does.
    assert_eq!(after(&|scene| scene.exciters[0].position[0] += 0.01), [false, false]);
    assert_eq!(after(&|scene| scene.receivers.seats[0].position[2] += 0.1), [false, true]);
    assert_eq!(after(&|scene| scene.panel.section.surface_mass *= 1.1), [true, true]);

    let of_driver = |scene: &DriverScene| Variant { driver: Some(scene.clone()), ..Variant::default() };
    let (bare, mut louder, mut wider) = (driver_scene(), driver_scene(), driver_scene());
    louder.driver.voltage *= 2.0;
    wider.surrounds[1].form =
        SurroundForm::Baffle { width: 0.3, height: 0.16, thickness: 0.006, gap: 0.002, rounding: 0.0 };
    let objectives = [Objective::TopOctave];
    assert_eq!(not_shared(&of_driver(&bare), &of_driver(&louder), &objectives), [false, false]);
    assert_eq!(not_shared(&of_driver(&bare), &of_driver(&wider), &objectives), [false, true]);
    let seconds =
        |scene| Expected::of(&of_driver(scene), &objectives, true).unwrap_or_default().shareable[1].seconds;
    assert!(seconds(&wider) > 1.2 * seconds(&bare), "a larger body takes longer");
}

#[test]
fn only_what_is_asked_for_is_expected_to_take_time() {
    let variant = of_panel(&scene(Back::Baffled));
    let of = |objectives: &[Objective]| Expected::of(&variant, objectives, false).unwrap_or_default();
    let (nothing, seats) = (of(&[Objective::Mass]), of(&[Objective::LowEnd { drop: 6.0 }]));
    let map = of(&[Objective::LowEnd { drop: 6.0 }, Objective::DeadArea { band: BAND }]);
    assert!(nothing.shareable.is_empty() && nothing.own < seats.own, "{nothing:?} {seats:?}");
    assert!(map.own > seats.own, "{} {}", map.own, seats.own);
    assert!(map.bytes > 1e5 && nothing.bytes == 0.0);
}
