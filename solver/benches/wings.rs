//! Boundary elements: a piston in a box with four wings, 16 kHz, in free space.
//!
//! A 40 mm piston in a 60 × 60 × 40 mm box, four wings of 40 × 60 × 3 mm at 45°: seconds of one further frequency (operator, preconditioner, solution,
//! 37 places on an arc), of the whole body and of the quarter that its symmetry leaves; and how far the level on that arc lies from a run
//! with elements half as long.
//!
//! `cargo bench --workspace --bench wings`

#![allow(clippy::print_stdout)] // a bench is there to report

use nalgebra::Vector3;
use num_complex::Complex64;
use panelwright_solver::air::Air;
use panelwright_solver::boundary::{Body, Drive, Method, Mirrors, System};
use panelwright_solver::driver::Assembly;
use panelwright_solver::driver::assembly::DIAPHRAGM;
use panelwright_solver::scene::*;
use panelwright_solver::single_threaded_blas;
use std::f64::consts::PI;
use std::time::Instant;

const FREQUENCY: f64 = 16e3;
/// Radius [m] of the arc.
const DISTANCE: f64 = 2.5;
/// Elements to the wavelength: of the body that is timed, and of the one that it is held against.
const PER_WAVELENGTH: [f64; 2] = [4.0, 8.0];

fn main() {
    single_threaded_blas();
    let assembly = Assembly::new(&driver(), &wings(), &Behind::Nothing).expect("wings fit around the box");
    let finest = level(&sound(&assembly, PER_WAVELENGTH[1], [true; 2]).levels);
    for mirrored in [[false; 2], [true; 2]] {
        let sound = sound(&assembly, PER_WAVELENGTH[0], mirrored);
        let off = level(&sound.levels).iter().zip(&finest).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        println!(
            "{} elements, {} unknowns, {}: once {:.2} s; further frequency {:.2} s; {} steps; within {off:.2} dB of elements half as long",
            sound.elements, sound.unknowns, sound.held, sound.once, sound.further, sound.steps
        );
    }
}

/// What one mesh gives.
struct Sound {
    elements: usize,
    unknowns: usize,
    held: &'static str,
    once: f64,
    further: f64,
    steps: usize,
    levels: Vec<Complex64>,
}

fn sound(assembly: &Assembly, per_wavelength: f64, mirrored: [bool; 2]) -> Sound {
    let length = air().sound_speed / FREQUENCY / per_wavelength;
    let begun = Instant::now();
    let surface = assembly.meshed(length, mirrored).expect("a mesh of the body");
    let body = Body::new(&surface, Mirrors([mirrored[0], mirrored[1], false])).expect("closed");
    let once = begun.elapsed().as_secs_f64();
    let mut further = f64::INFINITY;
    for _ in 1..3 {
        further = further.min(solved(&body).0);
    }
    let (last, held, steps, levels) = solved(&body);
    let (elements, unknowns, further) = (body.len(), body.unknowns(), further.min(last));
    Sound { elements, unknowns, held, once, further, steps, levels }
}

/// Seconds, representation, steps, and the pressures on the arc.
fn solved(body: &Body) -> (f64, &'static str, usize, Vec<Complex64>) {
    let begun = Instant::now();
    let system = System::new(body, FREQUENCY, &air(), |_| Complex64::ZERO, Method::Iterate).expect("regular");
    let field = system.solve(Drive::patch(body, DIAPHRAGM, Complex64::ONE)).expect("converges");
    let pressures = field.at(&arc()).into_iter().map(|point| point.pressure).collect();
    (begun.elapsed().as_secs_f64(), system.representation().label(), field.steps, pressures)
}

fn level(pressures: &[Complex64]) -> Vec<f64> {
    pressures.iter().map(|pressure| 20.0 * pressure.norm().log10()).collect()
}

/// From the axis to 90° in steps of 2.5°.
fn arc() -> Vec<Vector3<f64>> {
    let at = |i: i32| f64::from(i) * PI / 72.0;
    (0..37).map(|i| DISTANCE * Vector3::new(at(i).sin(), 0.0, at(i).cos())).collect()
}

fn air() -> Air {
    Air::new(293.15, 0.5, 101_325.0)
}

/// Only its measures matter here: the piston moves as it is told.
fn driver() -> SmallDriver {
    let motor = DriverMotor {
        coil_resistance: 4.0,
        coil_inductance: 0.0,
        force_factor: 2.0,
        moving_mass: 1e-3,
        suspension_stiffness: 500.0,
        mechanical_resistance: 0.2,
        rated_power: None,
        rated_excursion: None,
    };
    SmallDriver {
        name: "piston".into(),
        place: [0.0; 3],
        motor,
        diaphragm: Diaphragm { radius: 0.02, form: DiaphragmForm::Flat },
        housing: Housing {
            front: HousingFront::Rectangular { width: 0.06, height: 0.06 },
            depth: 0.04,
            rounding: 0.0,
            back: HousingBack::Sealed { volume: 80e-6 },
        },
        voltage: 2.83,
        source_resistance: 0.0,
    }
}

fn wings() -> Surround {
    let form = SurroundForm::Wings {
        count: 4,
        length: 0.04,
        height: 0.06,
        opening: PI / 4.0,
        thickness: 0.003,
        gap: 0.0005,
        rounding: 0.0,
        turned: 0.0,
    };
    Surround { name: "four wings".into(), form, absorption: 0.0 }
}
