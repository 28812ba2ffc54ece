//! Drive-point mobility of a plate so large and lossy that nothing comes back from its edges.
//!
//! A modal sum with its static residual must then give the infinite plate's `Y = 1/(8 √(D m))` in the middle and the
//! semi-infinite plate's edge mobility at a free edge. With the loss factor η both hold with D (1 + jη) for D, so the rows
//! compare `Y √(1 + jη)`: its real part with the record, its imaginary part with nothing.

use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_solver::plate::{Footprint, Modes};
use panelwright_solver::scene::{Back, EdgeCondition, Edges, LossCurve, Panel, PlateSection};
use std::f64::consts::TAU;

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 2] = [
    Problem {
        name: "mobility of an infinite plate",
        source: "Y = 1/(8 √(D m)): L. Cremer, M. Heckl & B. A. T. Petersson, Structure-Borne Sound, 3rd ed. (2005), ch. 5. Recomputed in \
                 closed form and by a Hankel integral.",
        rows: interior_rows,
    },
    Problem {
        name: "mobility at the free edge of a semi-infinite plate",
        source: "Recomputed as a wavenumber integral along a deformed contour with the Konenkov edge wave: Y √(D m) = 0.46198 for ν = 0.3. \
                 The handbook factor Z ≈ 3.5 √(D m) (from memory of Cremer, Heckl & Petersson) is not reproduced.",
        rows: edge_rows,
    },
];

struct Plate {
    name: &'static str,
    young: f64,
    poisson: f64,
    density: f64,
    thickness: f64,
    /// 1/(8 √(D m)) [m/(N·s)].
    mobility: f64,
}

const PLATES: [Plate; 4] = [
    Plate {
        name: "2 mm aluminium",
        young: 70e9,
        poisson: 0.33,
        density: 2700.0,
        thickness: 2e-3,
        mobility: 0.007433151156,
    },
    Plate {
        name: "4 mm glass",
        young: 72e9,
        poisson: 0.23,
        density: 2500.0,
        thickness: 4e-3,
        mobility: 0.00196309953,
    },
    Plate {
        name: "20 mm foam",
        young: 6e6,
        poisson: 0.1,
        density: 20.0,
        thickness: 20e-3,
        mobility: 0.09832582952,
    },
    Plate {
        name: "4 mm plywood, isotropic",
        young: 8e9,
        poisson: 0.2,
        density: 680.0,
        thickness: 4e-3,
        mobility: 0.01136885742,
    },
];

const FREQUENCY: f64 = 1000.0;
const LOSS_FACTOR: f64 = 0.3;
/// Side length times wavenumber: waves come back from the edges some 50 dB down.
const SIDE: f64 = 80.0;

impl Plate {
    fn section(&self) -> PlateSection {
        let d = self.young * self.thickness.powi(3) / (12.0 * (1.0 - self.poisson.powi(2)));
        PlateSection {
            d11: d,
            d22: d,
            d12: self.poisson * d,
            d66: 0.5 * (1.0 - self.poisson) * d,
            surface_mass: self.density * self.thickness,
            thickness: self.thickness,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(LOSS_FACTOR),
            shear_loss: LossCurve::constant(LOSS_FACTOR),
        }
    }
}

/// `Y √(1 + jη)` at a place given as shares of the sides of a free square plate.
fn lossless_mobility(section: &PlateSection, place: [f64; 2]) -> Complex64 {
    let side = SIDE / section.bending_wavenumber(FREQUENCY, 0.0);
    let outline = Outline::Rectangle { width: side, height: side };
    let panel = Panel {
        outline,
        section: section.clone(),
        edges: Edges::all(EdgeCondition::Free),
        back: Back::Baffled,
    };
    let modes = Modes::solve(&panel, 3.0 * FREQUENCY).expect("within the limit");
    let drive = [Footprint::point(place.map(|share| share * side))];
    let (omega, loss) = (TAU * FREQUENCY, Complex64::new(1.0, LOSS_FACTOR));
    let shapes = modes.averaged(&drive);
    let sum: Complex64 = (shapes.row(0).iter().zip(&modes.frequencies))
        .map(|(phi, f)| phi * phi / ((TAU * f).powi(2) * loss - omega * omega))
        .sum();
    let residual = modes.residual_flexibility(&drive)[(0, 0)] / loss;
    Complex64::i() * omega * (sum + residual) * loss.sqrt()
}

fn interior_rows() -> Vec<Row> {
    PLATES
        .iter()
        .flat_map(|plate| {
            let mobility = lossless_mobility(&plate.section(), [0.5, 0.5]);
            mobility_rows(plate.name, mobility, plate.mobility)
        })
        .collect()
}

fn edge_rows() -> Vec<Row> {
    let section = Plate { poisson: 0.3, ..PLATES[0] }.section();
    let mobility = lossless_mobility(&section, [0.0, 0.5]) * (section.d11 * section.surface_mass).sqrt();
    mobility_rows("Y √(D m), ν = 0.3", mobility, 0.461979618)
}

fn mobility_rows(name: &str, mobility: Complex64, expected: f64) -> Vec<Row> {
    let row = |part: &str, computed, expected, tolerance| Row {
        quantity: format!("{name}: {part} of the drive-point mobility"),
        computed,
        expected,
        tolerance,
    };
    vec![
        row("real part", mobility.re, expected, Tolerance::Relative(0.01)),
        row("imaginary part", mobility.im, 0.0, Tolerance::Absolute(0.03 * expected)),
    ]
}
