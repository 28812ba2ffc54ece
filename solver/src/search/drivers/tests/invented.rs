//! Driver, board and seats of tests and benches, all invented. Whoever takes this file in has the types of scenes, `Air` and `Outline` in view.

use super::*;

/// A small round driver above the upper edge of the board.
pub fn scene(frequencies: &[f64]) -> DriverScene {
    let motor = DriverMotor {
        coil_resistance: 5.6,
        coil_inductance: 0.03e-3,
        force_factor: 2.6,
        moving_mass: 0.75e-3,
        suspension_stiffness: 2000.0,
        mechanical_resistance: 0.38,
        rated_power: None,
        rated_excursion: None,
    };
    let housing = Housing {
        front: HousingFront::Round { radius: 0.025 },
        depth: 0.035,
        rounding: 0.0,
        back: HousingBack::Sealed { volume: 30e-6 },
    };
    DriverScene {
        title: "places".into(),
        driver: SmallDriver {
            name: "treble".into(),
            place: [0.38, 0.56, 0.055],
            motor,
            diaphragm: Diaphragm { radius: 0.018, form: DiaphragmForm::Flat },
            housing,
            voltage: 2.83,
            source_resistance: 0.0,
        },
        behind: Behind::Nothing,
        surrounds: vec![Surround { name: "bare".into(), form: SurroundForm::Bare, absorption: 0.0 }],
        air: Air::new(293.15, 0.5, 101_325.0),
        seats: seats(),
        near: 0.3,
        arc: PolarArc { distance: 2.0, step: 0.5 },
        frequencies: frequencies.to_vec(),
        pictured: vec![],
        elements_per_wavelength: 3.0,
    }
}

/// Near, to the left, and to the right.
pub fn seats() -> Vec<Seat> {
    let seat = |position: [f64; 3]| Seat { name: format!("{position:?}"), position };
    [[0.38, -0.14, 1.2], [-1.12, -0.14, 2.8], [2.48, -0.14, 3.4]].map(seat).to_vec()
}

/// The board.
pub fn panel() -> Outline {
    Outline::Rectangle { width: 0.76, height: 0.52 }
}

/// Plywood of 4 mm.
pub fn plywood() -> PlateSection {
    let [d11, d12, d22, d66] =
        [7e9, 0.2e9, 2.5e9, 0.5e9].map(|modulus: f64| modulus * 4e-3f64.powi(3) / 12.0);
    let loss = LossCurve::constant(0.03);
    PlateSection {
        d11,
        d12,
        d22,
        d66,
        surface_mass: 1.8,
        thickness: 4e-3,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: loss.clone(),
        shear_loss: loss,
    }
}
