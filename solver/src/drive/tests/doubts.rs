//! Warnings hold numbers that are right.

use super::*;
use crate::Warning;
use crate::air::Air;
use crate::drive::respond_at;
use crate::scene::{
    Attachments, Back, EdgeCondition, Edges, LossCurve, MapPlane, Panel, PlateSection, PolarArc, Receivers,
    Scene, Spread,
};
use panelwright_mesh::Outline;

fn scene(voltage: f64, foot_diameter: f64) -> Scene {
    let isotropic = PlateSection {
        d11: PLATE.stiffness,
        d12: 0.3 * PLATE.stiffness,
        d22: PLATE.stiffness,
        d66: 0.35 * PLATE.stiffness,
        surface_mass: PLATE.surface_mass,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(PLATE.loss_factor),
        shear_loss: LossCurve::constant(PLATE.loss_factor),
    };
    Scene {
        title: "test".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: PLATE.sides[0], height: PLATE.sides[1] },
            section: isotropic,
            edges: Edges::all(EdgeCondition::SimplySupported),
            back: Back::Baffled,
        },
        exciters: vec![Exciter { foot_diameter, ..exciter([0.17, 0.13]) }],
        channels: vec![Channel { voltage, ..channel(Wiring::Parallel, &[0]) }],
        air: Air {
            temperature: 293.15,
            humidity: 0.5,
            static_pressure: 101_325.0,
            density: 1.2,
            sound_speed: 343.0,
        },
        attachments: Attachments::default(),
        spread: Spread::none(),
        receivers: Receivers {
            floor: None,
            seats: vec![],
            map: MapPlane { distance: 0.2, margin: 0.1, spacing: 0.05 },
            arc: PolarArc { distance: 2.0, step: 0.1 },
        },
        frequencies: sweep(20.0, 10e3, 300),
    }
}

fn respond(scene: &Scene) -> Motion {
    respond_at(scene, &PLATE.ports(&scene.exciters, 12e3, 24e3))
}

fn about<'a>(motion: &'a Motion, words: &str) -> Option<&'a Warning> {
    motion.warnings.iter().find(|w| w.message.contains(words))
}

/// The voltage a warning advises.
fn advised(warning: &Warning) -> f64 {
    let after = warning.message.split("at most ").nth(1).expect("advice");
    after.split(' ').next().and_then(|v| v.parse().ok()).expect("a number")
}

#[test]
fn a_gentle_drive_raises_no_doubt() {
    assert_eq!(respond(&scene(0.5, 10e-3)).warnings, vec![]);
}

#[test]
fn the_advised_voltage_is_just_safe() {
    let loud = respond(&scene(40.0, 10e-3));
    for (words, largest, rating) in [
        (
            "rating is 10.00 W",
            (|m: &Motion| m.exciters[0].power.iter().fold(0.0, |a: f64, b| a.max(*b))) as fn(&Motion) -> f64,
            10.0,
        ),
        (
            "rating is ±1.00 mm",
            |m: &Motion| m.exciters[0].excursion.iter().fold(0.0, |a: f64, b| a.max(*b)),
            1e-3,
        ),
    ] {
        let warning = about(&loud, words).expect(words);
        assert!(warning.message.contains("channel \"A\""), "{}", warning.message);
        let safe = largest(&respond(&scene(advised(warning), 10e-3)));
        assert!(safe <= rating && safe > 0.99 * rating, "{safe} at the advised voltage, rated {rating}");
    }
}

/// Half a bending wave at 10 kHz is π / k = 23.1 mm here.
#[test]
fn a_wide_ring_is_named_with_the_frequency_where_it_begins() {
    assert!(about(&respond(&scene(0.5, 23e-3)), "half a bending wave").is_none());
    let motion = respond(&scene(0.5, 40e-3));
    let message = &about(&motion, "half a bending wave").expect("a warning").message;
    let from = (PI / 40e-3).powi(2) * (PLATE.stiffness / PLATE.surface_mass).sqrt() / (2.0 * PI);
    assert!(message.contains(&format!("above {:.2} kHz", from / 1e3)), "{message}");
    assert!(message.contains("40 mm foot"), "{message}");
}

#[test]
fn alike_feet_share_one_doubt() {
    let mut pair = scene(0.5, 40e-3);
    pair.exciters.push(Exciter { name: "B".into(), foot_diameter: 40e-3, ..exciter([0.05, 0.05]) });
    pair.channels[0].exciters.push(1);
    let motion = respond(&pair);
    let doubts: Vec<_> =
        motion.warnings.iter().filter(|w| w.message.contains("half a bending wave")).collect();
    assert_eq!(doubts.len(), 1, "{doubts:?}");
    assert!(doubts[0].message.contains("feet of exciters"), "{}", doubts[0].message);
}

#[test]
fn modes_that_end_too_early_are_named() {
    let quiet = scene(0.5, 10e-3);
    let motion = respond_at(&quiet, &PLATE.ports(&quiet.exciters, 10.5e3, 24e3));
    let message = &about(&motion, "modes were computed up to 10.5 kHz").expect("a warning").message;
    assert!(message.contains("From 7 kHz up to the highest frequency of 10 kHz"), "{message}");
    assert!(message.contains("ask for frequencies up to 13 kHz"), "{message}");
}

#[test]
fn unlimited_motion_is_reported() {
    let mut lossless = scene(0.5, 10e-3);
    let panel = SupportedPlate { loss_factor: 0.0, ..PLATE };
    lossless.frequencies[7] = panel.frequency(1, 1);
    let motion = respond_at(&lossless, &panel.ports(&lossless.exciters, 12e3, 24e3));
    assert!(about(&motion, "At 1 of the frequencies").is_some(), "{:?}", motion.warnings);
}
