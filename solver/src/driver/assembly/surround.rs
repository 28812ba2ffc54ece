//! The bodies of a surround, about the middle of the driver's front.

use super::housing::circumscribed;
use super::solid::{Shape, Solid};
use super::{AssemblyFault, wings};
use crate::scene::{FlareProfile, HousingFront, SmallDriver, Surround, SurroundForm};
use nalgebra::{Isometry3, Matrix3, Rotation3, Translation3, UnitQuaternion, Vector3};
use panelwright_mesh::check::{Fault, Limits, check};
use panelwright_mesh::shapes::{Back, Flare, Form, Lathe, RIGID, Section, ShapeFault, Slab};
use panelwright_mesh::{Contour, LARGEST, Outline, Piece, Surface};

/// Places that differ by less than this [m], and angles by less than this [rad], are the same.
const SAME: f64 = 1e-9;

/// Bodies, and whether all of them together are symmetric about x = 0 and y = 0.
pub struct Bodies {
    pub solids: Vec<Solid>,
    pub symmetric: [bool; 2],
}

impl Bodies {
    fn one(name: &str, shape: Shape, place: Isometry3<f64>, symmetric: [bool; 2]) -> Self {
        Self { solids: vec![Solid::surround(name, shape, place)], symmetric }
    }
}

/// What is put around the driver; nothing for the bare driver and where the housing itself is changed.
pub fn surround(driver: &SmallDriver, surround: &Surround) -> Result<Bodies, AssemblyFault> {
    let front = driver.housing.front;
    match surround.form {
        SurroundForm::Bare | SurroundForm::RoundOver { .. } => {
            Ok(Bodies { solids: vec![], symmetric: [true; 2] })
        }
        SurroundForm::Wings { .. } => wings::wings(front, &surround.form),
        SurroundForm::Flare { profile, mouth_radius, length, wall, gap } => {
            let gap = air("flare", gap)?;
            let form = match profile {
                FlareProfile::Conical => Form::Conical,
                FlareProfile::Exponential => Form::Exponential,
                FlareProfile::Elliptic => Form::Elliptic,
            };
            let throat = circumscribed(front) + gap;
            let flare = Flare { throat, mouth: mouth_radius, length, form, wall, back: Back::Open };
            let lathe = flare.lathe().map_err(|fault| of("flare", fault))?;
            Ok(Bodies::one("flare", Shape::Turned(lathe), Isometry3::identity(), [true; 2]))
        }
        SurroundForm::Baffle { width, height, thickness, gap, rounding } => {
            let outline = with_a_hole([width, height], front, air("baffle", gap)?)?;
            let plate =
                Slab { front_rounding: rounding, sharp_cutouts: true, ..Slab::plain(outline, thickness) };
            Ok(Bodies::one("baffle", Shape::Flat(Box::new(plate)), Isometry3::identity(), [true; 2]))
        }
        SurroundForm::Post { diameter, length, middle, turned } => post([diameter, length], middle, turned),
        SurroundForm::Bracket { legs, thickness, width, corner } => {
            let bracket = Slab::bracket(legs, thickness, width).map_err(|fault| of("bracket", fault))?;
            let middle = Vector3::from(corner) + 0.5 * Vector3::new(legs[0], legs[1], 0.0);
            Ok(Bodies::one("bracket", Shape::Flat(Box::new(bracket)), shifted(middle), [false; 2]))
        }
        SurroundForm::Part { ref surface, ref file } => part(surface, file),
    }
}

/// A gap [m] that must be there.
pub fn air(part: &str, gap: f64) -> Result<f64, AssemblyFault> {
    let there = gap > 0.0 && gap.is_finite();
    let fault = ShapeFault::NotPositive { what: "air between it and the housing", value: gap };
    if there { Ok(gap) } else { Err(of(part, fault)) }
}

/// An impossible measure of a part.
pub fn of(part: &str, fault: ShapeFault) -> AssemblyFault {
    AssemblyFault::Shape { part: part.into(), fault }
}

/// A rectangle with a cut-out in its middle that leaves a gap around the housing's outline.
fn with_a_hole(size: [f64; 2], front: HousingFront, gap: f64) -> Result<Outline, AssemblyFault> {
    let [width, height] = size;
    let hole = match front {
        HousingFront::Round { radius } | HousingFront::Ball { radius } => [2.0 * (radius + gap); 2],
        HousingFront::Rectangular { width, height } => [width + 2.0 * gap, height + 2.0 * gap],
    };
    for (what, value, least) in
        [("width of the baffle", width, hole[0]), ("height of the baffle", height, hole[1])]
    {
        if !(value > least && value.is_finite()) {
            let why = "the cut-out around the housing does not fit into it";
            return Err(of("baffle", ShapeFault::TooSmall { what, value, least, why }));
        }
        if value > LARGEST {
            let why = "nothing that large is built";
            return Err(of("baffle", ShapeFault::TooLarge { what, value, most: LARGEST, why }));
        }
    }
    let contour = match front {
        HousingFront::Round { .. } | HousingFront::Ball { .. } => {
            Contour::ellipse([0.5 * width, 0.5 * height], hole[0], hole[1])
        }
        HousingFront::Rectangular { .. } => {
            Contour::rectangle([0.5 * (width - hole[0]), 0.5 * (height - hole[1])], hole[0], hole[1])
        }
    };
    let outline = Outline::Rectangle { width, height }.with_cutouts(vec![contour]);
    outline.map_err(|_| of("baffle", ShapeFault::Face { what: "of the baffle" }))
}

/// A cylinder across the axis. Its profile has a joint in the middle, so that planes of symmetry cut no element.
fn post(size: [f64; 2], middle: [f64; 3], turned: f64) -> Result<Bodies, AssemblyFault> {
    let lathe = cylinder(size).map_err(|fault| of("post", fault))?;
    let (sin, cos) = turned.sin_cos();
    let along = Matrix3::new(0.0, sin, cos, 0.0, -cos, sin, 1.0, 0.0, 0.0);
    let turn = UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(along));
    let place = Isometry3::from_parts(Translation3::from(Vector3::from(middle)), turn);
    let aligned = sin.abs() < SAME || cos.abs() < SAME;
    let symmetric = [0, 1].map(|axis| aligned && middle[axis].abs() < SAME);
    Ok(Bodies::one("post", Shape::Turned(lathe), place, symmetric))
}

fn cylinder([diameter, length]: [f64; 2]) -> Result<Lathe, ShapeFault> {
    for (what, value) in [("diameter of the post", diameter), ("length of the post", length)] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(ShapeFault::NotPositive { what, value });
        }
    }
    let (radius, half) = (0.5 * diameter, 0.5 * length);
    let corners = [[0.0, -half], [radius, -half], [radius, 0.0], [radius, half], [0.0, half]];
    let section = |&[from, to]: &[[f64; 2]; 2]| Section { curve: Piece::Straight { from, to }, patch: RIGID };
    Lathe::new(corners.array_windows().map(section).collect())
}

/// A part from a file, which must be sound.
fn part(surface: &Surface, file: &str) -> Result<Bodies, AssemblyFault> {
    let believed = Limits { size: [0.0, f64::INFINITY], ..Limits::default() };
    let faults = check(surface, &believed).faults;
    if let Some(fault) = faults.into_iter().find(|fault| !matches!(fault, Fault::Needle { .. })) {
        return Err(AssemblyFault::Unsound { part: file.into(), fault });
    }
    let symmetric = Solid::symmetric(surface);
    Ok(Bodies::one(file, Shape::Given(surface.clone()), Isometry3::identity(), symmetric))
}

fn shifted(by: Vector3<f64>) -> Isometry3<f64> {
    Isometry3::from_parts(Translation3::from(by), UnitQuaternion::identity())
}
