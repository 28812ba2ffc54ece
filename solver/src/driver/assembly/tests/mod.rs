//! Drivers and surrounds to build.

mod bodies;
mod faults;
mod measures;
mod symmetry;

use super::{Assembly, AssemblyFault};
use crate::scene::{
    Behind, Diaphragm, DiaphragmForm, DriverMotor, FlareProfile, Housing, HousingBack, HousingFront,
    LossCurve, PlateSection, SmallDriver, Surround, SurroundForm,
};
use panelwright_mesh::shapes::Sphere;
use panelwright_mesh::{QuadraticSurface, Surface};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

const ROUND: HousingFront = HousingFront::Round { radius: 0.025 };
const BOX: HousingFront = HousingFront::Rectangular { width: 0.056, height: 0.064 };
const SEALED: HousingBack = HousingBack::Sealed { volume: 2e-5 };
const OPEN: HousingBack = HousingBack::Open { wall: 0.002 };
const RING: DiaphragmForm = DiaphragmForm::Ring { inner_radius: 0.006, coil_radius: 0.013 };

/// A driver with a diaphragm of 40 mm in a housing 20 mm deep, 60 mm before the panel.
fn driver(front: HousingFront, back: HousingBack, form: DiaphragmForm) -> SmallDriver {
    SmallDriver {
        name: "tested".into(),
        place: [0.3, 0.4, 0.06],
        motor: DriverMotor {
            coil_resistance: 4.0,
            coil_inductance: 0.0,
            force_factor: 2.0,
            moving_mass: 1e-3,
            suspension_stiffness: 2000.0,
            mechanical_resistance: 0.2,
            rated_power: None,
            rated_excursion: None,
        },
        diaphragm: Diaphragm { radius: 0.02, form },
        housing: Housing { front, depth: 0.02, rounding: 0.0, back },
        voltage: 2.83,
        source_resistance: 0.0,
    }
}

/// A ball of 60 mm with a cap of 40 mm, the edge of which is 60 mm before the panel.
fn capped_ball() -> SmallDriver {
    let mut driver = driver(ROUND, SEALED, DiaphragmForm::Flat);
    driver.diaphragm = Diaphragm::cap(0.02, 0.03);
    driver.housing = Housing::ball(0.03, 0.02, 2e-5);
    driver
}

fn bending() -> DiaphragmForm {
    let section = PlateSection {
        d11: 1.0,
        d12: 0.3,
        d22: 1.0,
        d66: 0.35,
        surface_mass: 0.2,
        thickness: 0.001,
        shear: None,
        rotary_inertia: 0.0,
        bending_loss: LossCurve::constant(0.02),
        shear_loss: LossCurve::constant(0.02),
    };
    DiaphragmForm::BendingDisc { section, coil_radius: 0.013, masses: vec![] }
}

/// All diaphragms; the first three are geometrically flat.
fn diaphragms() -> [DiaphragmForm; 5] {
    let (cone, dome) = (DiaphragmForm::Cone { depth: 0.008 }, DiaphragmForm::Dome { height: 0.006 });
    [DiaphragmForm::Flat, RING, bending(), cone, dome]
}

const WINGS: SurroundForm = SurroundForm::Wings {
    count: 4,
    length: 0.04,
    height: 0.03,
    opening: 1.1,
    thickness: 0.003,
    gap: 0.001,
    rounding: 0.001,
    turned: 0.0,
};

const FLARE: SurroundForm = SurroundForm::Flare {
    profile: FlareProfile::Conical,
    mouth_radius: 0.07,
    length: 0.04,
    wall: 0.002,
    gap: 0.001,
};
const BAFFLE: SurroundForm =
    SurroundForm::Baffle { width: 0.16, height: 0.12, thickness: 0.006, gap: 0.001, rounding: 0.002 };
const POST: SurroundForm =
    SurroundForm::Post { diameter: 0.006, length: 0.07, middle: [0.0, 0.0, 0.015], turned: 0.0 };
const BRACKET: SurroundForm = SurroundForm::Bracket {
    legs: [0.03, 0.02],
    thickness: 0.003,
    width: 0.01,
    corner: [0.005, -0.01, 0.025],
};

/// A ball of 10 mm before the driver, as a part from a file.
fn ball() -> SurroundForm {
    let ball = Sphere { radius: 0.01, cap: PI / 3.0 }.lathe().and_then(|lathe| lathe.meshed(0.002));
    let mut surface = ball.expect("a ball");
    surface.points.iter_mut().for_each(|point| point.z += 0.025);
    SurroundForm::Part { surface, file: "ball.stl".into() }
}

/// All surrounds that fit both housings, with the number of bodies they add and the planes they are symmetric to.
fn surrounds() -> Vec<(SurroundForm, usize, [bool; 2])> {
    vec![
        (SurroundForm::Bare, 0, [true; 2]),
        (WINGS, 4, [true; 2]),
        (FLARE, 1, [true; 2]),
        (BAFFLE, 1, [true; 2]),
        (POST, 1, [true; 2]),
        (BRACKET, 1, [false; 2]),
        (ball(), 1, [true; 2]),
    ]
}

fn surround(form: SurroundForm) -> Surround {
    Surround { name: "around".into(), form, absorption: 0.0 }
}

fn built(driver: &SmallDriver, form: SurroundForm) -> Assembly {
    Assembly::new(driver, &surround(form), &Behind::Plane).unwrap_or_else(|fault| panic!("{fault}"))
}

fn meshed(assembly: &Assembly, length: f64, mirrors: [bool; 2]) -> QuadraticSurface {
    assembly.meshed(length, mirrors).unwrap_or_else(|fault| panic!("{fault}"))
}

/// The corners of the elements.
fn corners(elements: &QuadraticSurface) -> Surface {
    Surface {
        points: elements.points.clone(),
        triangles: elements.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect(),
        patches: elements.patches.clone(),
    }
}

/// The elements of a patch as plane triangles that follow their curves to 10 µm.
fn fine(elements: &QuadraticSurface, patch: impl Fn(u16) -> bool) -> Surface {
    let mut own = elements.clone();
    let kept = |i: &usize| patch(elements.patches[*i]);
    let numbers: Vec<_> = (0..elements.elements.len()).filter(kept).collect();
    own.elements = numbers.iter().map(|&i| elements.elements[i]).collect();
    own.patches = numbers.iter().map(|&i| elements.patches[i]).collect();
    super::facets::fine(&own)
}

/// What is said about a driver and a surround that cannot be.
fn refused(driver: &SmallDriver, form: SurroundForm, behind: &Behind) -> AssemblyFault {
    match Assembly::new(driver, &surround(form), behind) {
        Ok(_) => panic!("it was built"),
        Err(fault) => fault,
    }
}
