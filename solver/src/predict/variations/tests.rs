use super::*;
use crate::air::Air;
use crate::listening::{DeadSpot, LevelBand};
use crate::predict;
use crate::scene::*;
use panelwright_mesh::Outline;

/// Top frequency [Hz] of the comparisons with fresh solutions.
const TOP: f64 = 2000.0;

/// An invented panel small enough for quick predictions, with dead spots in its map.
fn scene(samples: usize) -> Scene {
    let exciter = |name: &str, position| Exciter {
        name: name.into(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 0.06e-3,
        force_factor: 3.2,
        moving_mass: 1.6e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 9e3,
        suspension_loss_factor: 0.15,
        magnet_mass: 62e-3,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    };
    Scene {
        title: "variations".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: 0.5, height: 0.4 },
            section: section(30.0, 4.0, 14.0, 5.0),
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        },
        attachments: Attachments::default(),
        exciters: vec![exciter("left", [0.19, 0.23]), exciter("right", [0.32, 0.17])],
        channels: vec![Channel {
            name: "amplifier".into(),
            voltage: 2.0,
            gain: 1.0,
            delay: 0.0,
            filters: Default::default(),
            source_resistance: 0.1,
            wiring: Wiring::Series,
            exciters: vec![0, 1],
        }],
        air: Air::new(293.15, 0.5, 101_325.0),
        receivers: Receivers {
            seats: vec![
                Seat { name: "near".into(), position: [0.3, 0.1, 1.0] },
                Seat { name: "far".into(), position: [-1.2, 0.4, 2.4] },
            ],
            map: MapPlane { distance: 0.1, margin: 0.05, spacing: 0.025 },
            arc: PolarArc { distance: 1.0, step: 0.2 },
            floor: None,
        },
        spread: Spread { samples, ..Spread::none() },
        frequencies: (0..64).map(|i| 100.0 * 2f64.powf(f64::from(i) / 14.0)).collect(),
    }
}

fn section(d11: f64, d12: f64, d22: f64, d66: f64) -> PlateSection {
    PlateSection {
        d11,
        d12,
        d22,
        d66,
        surface_mass: 1.8,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.03),
        shear_loss: LossCurve::constant(0.03),
    }
}

/// Spread of everything.
fn wide(samples: usize) -> Spread {
    let range = FactorRange::about_one(0.2);
    Spread {
        samples,
        along_x: range,
        along_y: range,
        twist: range,
        shear: range,
        surface_mass: FactorRange::about_one(0.08),
        thickness: ThicknessSpread::EXACT,
        loss: FactorRange { low: 0.6, high: 1.7 },
        supports: FactorRange { low: 0.5, high: 2.0 },
        position: 3e-3,
    }
}

fn findings(scene: &Scene) -> Findings {
    crate::single_threaded_blas();
    predict(scene, &|_| {}).expect("can be predicted").findings
}

fn assert_on_the_curve(level: &[f64], band: &LevelBand) {
    for curve in [&band.lowest, &band.tenth, &band.ninetieth, &band.highest] {
        assert_eq!(curve.len(), level.len());
        for (a, b) in curve.iter().zip(level) {
            assert!((a - b).abs() < 1e-9, "{a} for {b}");
        }
    }
}

#[test]
fn without_spread_the_band_is_the_curve_and_dead_spots_stay() {
    let findings = findings(&scene(4));
    assert_eq!(findings.variations, Some(listening::Variations { count: 4, seed: sample::SEED }));
    for seat in &findings.seats {
        assert_on_the_curve(&seat.level, seat.band.as_ref().expect("there are variations"));
        for smoothed in &seat.smoothed {
            assert_on_the_curve(&smoothed.level, smoothed.band.as_ref().expect("there are variations"));
        }
        for usable in &seat.usable {
            let limits = usable.lower_spread.map(|spread| [spread.lowest, spread.highest]);
            let lower = usable.lower.expect("the panel has a usable band");
            assert!(limits.is_some_and(|limits| limits.iter().all(|f| (f / lower - 1.0).abs() < 1e-9)));
        }
    }
    let spread = findings.sensitivity.mean_spread.expect("there are variations");
    assert!((spread.lowest - findings.sensitivity.mean).abs() < 1e-9);
    assert!((spread.highest - findings.sensitivity.mean).abs() < 1e-9);
    assert!(findings.dead_spots.len() > 2, "the test needs dead spots");
    for spot in &findings.dead_spots {
        assert_eq!(spot.stability, Some(Stability { still_there: 4, variations: 4 }));
    }
}

#[test]
fn nothing_is_varied_unless_asked() {
    let findings = findings(&scene(0));
    assert_eq!(findings.variations, None);
    assert!(findings.seats.iter().all(|seat| seat.band.is_none()));
    assert!(findings.dead_spots.iter().all(|spot| spot.stability.is_none()));
}

#[test]
fn the_band_is_ordered_and_dead_spots_are_lost_as_the_spread_grows() {
    let mut scene = scene(32);
    scene.spread = wide(32);
    let findings = findings(&scene);
    for band in findings.seats.iter().filter_map(|seat| seat.band.as_ref()) {
        let curves = band.lowest.iter().zip(&band.tenth).zip(band.ninetieth.iter().zip(&band.highest));
        for ((lowest, tenth), (ninetieth, highest)) in curves {
            assert!(lowest <= tenth && tenth < ninetieth && ninetieth <= highest);
        }
    }
    let share = |spot: &DeadSpot| spot.stability.expect("there are variations").share();
    assert!(findings.dead_spots.iter().any(|spot| share(spot) < 1.0));
    assert!(findings.dead_spots.iter().any(|spot| share(spot) > 0.3));
}

#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    let mut scene = scene(8);
    scene.spread = wide(8);
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .stack_size(16 << 20)
            .build()
            .expect("threads can be started");
        let findings = pool.install(|| findings(&scene));
        let stabilities: Vec<_> = findings.dead_spots.iter().map(|spot| spot.stability).collect();
        (findings.seats.into_iter().map(|seat| seat.band).collect::<Vec<_>>(), stabilities)
    };
    assert_eq!(with(1), with(3));
}

/// Natural frequencies of `nominal` as the variation `of` has them, over those of a fresh solution up to `top` [Hz].
fn against_fresh(nominal: &Panel, varied: &Panel, of: &sample::Variation, top: f64) -> Vec<f64> {
    crate::single_threaded_blas();
    let modes = Modes::solve(nominal, TOP).expect("solvable");
    let fresh = Modes::solve(varied, top).expect("solvable");
    let factors = panel::stiffness_factors(&modes.energy, of);
    let mut first_order: Vec<f64> =
        modes.frequencies.iter().zip(&factors).map(|(f, factor)| f * factor.sqrt()).collect();
    first_order.sort_by(f64::total_cmp);
    let rigid = modes.rigid_body_count();
    let pairs = first_order.iter().zip(&fresh.frequencies).skip(rigid);
    pairs.map(|(varied, fresh)| varied / fresh).collect()
}

fn variation(stiffness: [f64; 5], surface_mass: f64) -> sample::Variation {
    sample::Variation { stiffness, surface_mass, loss: 1.0, positions: vec![] }
}

#[test]
fn mass_and_common_stiffness_are_exact() {
    let nominal = scene(0).panel;
    let mut heavy = nominal.clone();
    heavy.section.surface_mass *= 1.3;
    let mut stiff = nominal.clone();
    stiff.section = PlateSection { ..section(1.4 * 30.0, 1.4 * 4.0, 1.4 * 14.0, 1.4 * 5.0) };
    // Waves as short at the top give the fresh solution the same basis: only rounding is left.
    let tops = [TOP / 1.3f64.sqrt(), TOP * 1.4f64.sqrt()];
    for ((panel, of), top) in
        [(heavy, variation([1.0; 5], 1.3)), (stiff, variation([1.4; 5], 1.0))].into_iter().zip(tops)
    {
        let ratios = against_fresh(&nominal, &panel, &of, top);
        assert!(ratios.len() > 50);
        for ratio in ratios {
            assert!((ratio - 1.0).abs() < 1e-7, "{ratio}");
        }
    }
}

/// Stiffnesses up to 20 % off, each by itself, against fresh solutions of the varied panel.
#[test]
fn first_order_frequencies_are_close_when_stiffnesses_vary_by_themselves() {
    let mut scene = scene(8);
    scene.spread = Spread { surface_mass: FactorRange::EXACT, position: 0.0, ..wide(8) };
    let deviations: Vec<f64> = (sample::variations(&scene).iter().enumerate())
        .flat_map(|(index, variation)| {
            against_fresh(&scene.panel, &built(&scene, index).panel, variation, 1.3 * TOP)
        })
        .map(|ratio| (ratio - 1.0).abs())
        .collect();
    let rms = (deviations.iter().map(|d| d * d).sum::<f64>() / deviations.len() as f64).sqrt();
    let largest = deviations.iter().copied().fold(0.0, f64::max);
    assert!(rms < 8e-3 && largest < 6e-2, "{rms:.1e} {largest:.1e} of {}", deviations.len());
}

#[test]
fn variations_fill_their_box_evenly_and_stay_in_it() {
    let mut scene = scene(64);
    scene.spread = wide(64);
    let all = sample::variations(&scene);
    let above = |of: &dyn Fn(&sample::Variation) -> f64| all.iter().filter(|v| of(v) > 1.0).count();
    for part in 0..5 {
        assert_eq!(above(&|v| v.stiffness[part]), 32);
    }
    assert_eq!((above(&|v| v.surface_mass), above(&|v| v.loss)), (32, 32));
    for variation in &all {
        assert!(variation.stiffness[..4].iter().all(|factor| (0.8..=1.2).contains(factor)));
        for (moved, exciter) in variation.positions.iter().zip(&scene.exciters) {
            assert!((0..2).all(|axis| (moved[axis] - exciter.position[axis]).abs() <= 3e-3));
        }
    }
    scene.exciters[0].position = [0.0135, 0.2];
    assert!(sample::variations(&scene).iter().all(|v| v.positions[0][0] >= 0.0125));
}

/// A plain sheet's thickness, 10 % up and down.
fn plain_sheet() -> ThicknessSpread {
    ThicknessSpread { range: FactorRange::about_one(0.1), stiffness: [3.0, 3.0, 3.0, 1.0], surface_mass: 1.0 }
}

#[test]
fn thickness_carries_stiffness_and_mass_along() {
    let mut scene = scene(16);
    scene.spread.thickness = plain_sheet();
    for variation in sample::variations(&scene) {
        let thickness = variation.surface_mass;
        assert!((0.9..=1.1).contains(&thickness) && thickness != 1.0, "{thickness}");
        for (part, exponent) in [3.0, 3.0, 3.0, 1.0, 0.0].into_iter().enumerate() {
            approx::assert_relative_eq!(
                variation.stiffness[part],
                thickness.powf(exponent),
                max_relative = 1e-12
            );
        }
        // A thicker sheet's natural frequencies are as much higher.
        let shares = Array2::from_shape_vec((1, 5), vec![0.5, 0.3, 0.2, 0.0, 0.0]).expect("five shares");
        let factor = panel::stiffness_factors(&shares, &variation)[0].sqrt();
        approx::assert_relative_eq!(factor, thickness, max_relative = 1e-12);
    }
}

#[test]
fn an_uncertain_thickness_widens_the_band() {
    let width = |thickness: ThicknessSpread| {
        let mut scene = scene(32);
        scene.spread = Spread { thickness, ..wide(32) };
        let findings = findings(&scene);
        let band = findings.seats[0].band.as_ref().expect("there are variations");
        let widths = band.ninetieth.iter().zip(&band.tenth).map(|(high, low)| high - low);
        widths.sum::<f64>() / band.tenth.len() as f64
    };
    let (sure, unsure) = (width(ThicknessSpread::EXACT), width(plain_sheet()));
    assert!(unsure > 1.1 * sure, "{sure:.2} dB, with thickness {unsure:.2} dB");
}

#[test]
fn a_built_panel_is_its_variation_and_without_spread_the_one_described() {
    let mut scene = scene(8);
    let strip = Strip { stiffness: 2e4, rotational: 3.0, loss_factor: 0.2 };
    scene.panel.edges = Edges::all(EdgeCondition::Strip(strip));
    let unchanged = built(&scene, 5);
    assert_eq!((&unchanged.panel, &unchanged.exciters), (&scene.panel, &scene.exciters));
    scene.spread = wide(8);
    let variation = &sample::variations(&scene)[5];
    let made = built(&scene, 5);
    let [along_x, along_y, .., supports] = variation.stiffness;
    let (section, nominal) = (&made.panel.section, &scene.panel.section);
    assert_eq!(section.d11, nominal.d11 * along_x);
    approx::assert_relative_eq!(
        section.d12 / (section.d11 * section.d22).sqrt(),
        nominal.d12 / (nominal.d11 * nominal.d22).sqrt(),
        max_relative = 1e-12
    );
    assert!(along_x != along_y && section.surface_mass == nominal.surface_mass * variation.surface_mass);
    let EdgeCondition::Strip(held) = made.panel.edges.elsewhere else { panic!("a strip stays one") };
    assert_eq!((held.stiffness, held.rotational), (2e4 * supports, 3.0 * supports));
    let places: Vec<[f64; 2]> = made.exciters.iter().map(|exciter| exciter.position).collect();
    assert_eq!(places, variation.positions);
    assert_eq!(made.spread.samples, 0, "a built panel is what it is");
}
