//! Coincidence frequencies of building plates.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::coincidence;
use panelwright_solver::scene::{LossCurve, PlateSection};

const SOUND_SPEED: f64 = 343.0;

struct Plate {
    name: &'static str,
    longitudinal_speed: f64,
    density: f64,
    thickness: f64,
    expected: f64,
}

/// `f_c = √3 c² / (π c_L h)`.
const PLATES: [Plate; 3] = [
    Plate {
        name: "glass 6 mm",
        longitudinal_speed: 5200.0,
        density: 2500.0,
        thickness: 0.006,
        expected: 2078.951706,
    },
    Plate {
        name: "plasterboard 12.5 mm",
        longitudinal_speed: 1490.0,
        density: 860.0,
        thickness: 0.0125,
        expected: 3482.592924,
    },
    Plate {
        name: "concrete 140 mm",
        longitudinal_speed: 3500.0,
        density: 2300.0,
        thickness: 0.14,
        expected: 132.3740678,
    },
];

/// Glass, plasterboard and concrete.
pub fn problem() -> Problem {
    Problem {
        name: "coincidence frequency",
        source: "C. Hopkins, Sound Insulation (2007), App. A, and ISO 12354-1:2017, Annex B (plate data from memory); recomputed in \
                 closed form",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let row = |plate: &Plate, side: &str, computed: f64| Row {
        quantity: format!("{}, {side} [Hz]", plate.name),
        computed,
        expected: plate.expected,
        tolerance: Tolerance::Relative(1e-9),
    };
    PLATES
        .iter()
        .flat_map(|plate| {
            let (lowest, highest) = coincidence(&plate.section(), SOUND_SPEED);
            [row(plate, "lowest over direction", lowest), row(plate, "highest over direction", highest)]
        })
        .collect()
}

impl Plate {
    /// Isotropic plate: `D = c_L² m h² / 12`. Poisson's ratio does not matter for the result.
    fn section(&self) -> PlateSection {
        let surface_mass = self.density * self.thickness;
        let stiffness = self.longitudinal_speed.powi(2) * surface_mass * self.thickness.powi(2) / 12.0;
        PlateSection {
            d11: stiffness,
            d12: 0.2 * stiffness,
            d22: stiffness,
            d66: 0.4 * stiffness,
            surface_mass,
            thickness: self.thickness,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(0.006),
            shear_loss: LossCurve::constant(0.006),
        }
    }
}
