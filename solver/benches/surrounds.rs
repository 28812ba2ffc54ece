//! Surrounds of a small driver: a 40 mm diaphragm in a round housing, bare and with four wings, 1 to 20 kHz in 1/24 octaves, six elements
//! to the wavelength at every frequency, near microphone, seat and both arcs; no pictures.
//!
//! `cargo bench --workspace --bench surrounds` prints for both what every band took, seconds and solutions in all.

#![allow(clippy::print_stdout)] // a bench is there to report

use panelwright_solver::air::Air;
use panelwright_solver::kept::NothingKept;
use panelwright_solver::scene::*;
use panelwright_solver::single_threaded_blas;
use panelwright_solver::surrounds::{Bodies, Comparison, compare, surround_findings};
use std::time::Instant;

fn main() {
    single_threaded_blas();
    let start = Instant::now();
    for surround in surrounds() {
        let scene = scene(vec![surround]);
        let begun = Instant::now();
        let comparison = compared(&scene);
        println!("{}: {:.1} s", comparison.variants[0].name, begun.elapsed().as_secs_f64());
        for band in &comparison.variants[0].computed {
            println!(
                "  {:6.0} to {:6.0} Hz: {} elements of {:.1} mm, {} unknowns, {}, {:.0} MB; {} of {} frequencies solved, at most {} steps, \
                 interpolation within {:.2} %",
                band.range[0],
                band.range[1],
                band.elements,
                1e3 * band.length,
                band.unknowns,
                band.held,
                band.bytes as f64 / 1e6,
                band.solved,
                band.frequencies,
                band.steps,
                100.0 * band.interpolation_error
            );
        }
    }
    println!("in all {:.1} s", start.elapsed().as_secs_f64());
    let scene = scene(surrounds());
    let findings = surround_findings(&scene, &compared(&scene));
    for sentence in &findings.summary {
        println!("{sentence}");
    }
}

/// Invented.
fn compared(scene: &DriverScene) -> Comparison {
    let bodies = Bodies::of(scene).expect("sound shapes");
    compare(&bodies, None, &NothingKept, &|_| ()).expect("sound shapes")
}

fn scene(surrounds: Vec<Surround>) -> DriverScene {
    let motor = DriverMotor {
        coil_resistance: 3.5,
        coil_inductance: 0.04e-3,
        force_factor: 2.2,
        moving_mass: 0.9e-3,
        suspension_stiffness: 700.0,
        mechanical_resistance: 0.25,
        rated_power: None,
        rated_excursion: None,
    };
    DriverScene {
        title: "bench".into(),
        driver: SmallDriver {
            name: "small".into(),
            place: [0.0, 0.0, 0.06],
            motor,
            diaphragm: Diaphragm { radius: 0.02, form: DiaphragmForm::Flat },
            housing: Housing {
                front: HousingFront::Round { radius: 0.03 },
                depth: 0.04,
                rounding: 0.0,
                back: HousingBack::Sealed { volume: 50e-6 },
            },
            voltage: 2.83,
            source_resistance: 0.0,
        },
        behind: Behind::Nothing,
        surrounds,
        air: Air::new(293.15, 0.5, 101_325.0),
        seats: vec![Seat { name: "sofa".into(), position: [0.3, 0.1, 2.5] }],
        near: 0.3,
        arc: PolarArc { distance: 2.0, step: 5f64.to_radians() },
        frequencies: (0..104).map(|i| 1000.0 * 2f64.powf(f64::from(i) / 24.0)).collect(),
        pictured: vec![],
        elements_per_wavelength: 6.0,
    }
}

fn surrounds() -> Vec<Surround> {
    let wings = SurroundForm::Wings {
        count: 4,
        length: 0.04,
        height: 0.058,
        opening: 45f64.to_radians(),
        thickness: 0.003,
        gap: 0.0005,
        rounding: 0.0,
        turned: 0.0,
    };
    let surround = |name: &str, form| Surround { name: name.into(), form, absorption: 0.0 };
    vec![surround("bare", SurroundForm::Bare), surround("four wings", wings)]
}
