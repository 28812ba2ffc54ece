//! Wings around round and rectangular housings, each a body of its own.

use super::AssemblyFault;
use super::solid::{Shape, Solid};
use super::surround::{Bodies, air, of};
use crate::scene::{HousingFront, SurroundForm};
use nalgebra::{Isometry3, Rotation3, Translation3, UnitQuaternion, Vector3};
use panelwright_mesh::shapes::Wings;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Angles that differ by less [rad] are the same.
const SAME: f64 = 1e-9;

/// The wings of a form that has some; no bodies of another.
pub fn wings(front: HousingFront, form: &SurroundForm) -> Result<Bodies, AssemblyFault> {
    let SurroundForm::Wings { count, length, height, opening, thickness, gap, rounding, turned } = *form
    else {
        return Ok(Bodies { solids: vec![], symmetric: [true; 2] });
    };
    if !turned.is_finite() {
        return Err(AssemblyFault::Nowhere { part: "wings".into() });
    }
    let gap = air("wings", gap)?;
    let driver_radius = 0.0;
    let around = Wings { count, length, height, opening, thickness, driver_radius, gap, rounding };
    let wing = |number: usize| wing(&around, front, turned + TAU * number as f64 / count as f64, number);
    let solids = (0..count.max(1)).map(wing).collect::<Result<_, _>>()?;
    Ok(Bodies { solids, symmetric: symmetric(count, turned) })
}

/// The wing at an angle [rad].
fn wing(around: &Wings, front: HousingFront, angle: f64, number: usize) -> Result<Solid, AssemblyFault> {
    let name = format!("wing {}", number + 1);
    let (driver_radius, count) = match front {
        HousingFront::Round { radius } | HousingFront::Ball { radius } => (radius, around.count),
        // Wings at neighbouring sides are looked at as they lie.
        HousingFront::Rectangular { .. } => (side(front, angle, &name)?, around.count.min(1)),
    };
    let wings = Wings { driver_radius, count, ..*around };
    let plate = wings.plate().map_err(|fault| of("wings", fault))?;
    let (lean, middle) = wings.first();
    let turn = UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(lean));
    let first = Isometry3::from_parts(Translation3::from(middle), turn);
    let place = UnitQuaternion::from_axis_angle(&Vector3::z_axis(), angle) * first;
    Ok(Solid::surround(name, Shape::Flat(Box::new(plate)), place))
}

/// How far the side at an angle [rad] is from the axis [m].
fn side(front: HousingFront, angle: f64, name: &str) -> Result<f64, AssemblyFault> {
    let HousingFront::Rectangular { width, height } = front else { return Ok(0.0) };
    let quarters = angle / FRAC_PI_2;
    if (quarters - quarters.round()).abs() > SAME {
        return Err(AssemblyFault::WingBesideNoSide { part: name.into(), angle });
    }
    Ok(0.5 * if quarters.round() % 2.0 == 0.0 { width } else { height })
}

/// Mirrored about x = 0 an angle a becomes π − a, about y = 0 it becomes −a: both must hit wings again.
fn symmetric(count: usize, turned: f64) -> [bool; 2] {
    let between = TAU / count as f64;
    [PI - 2.0 * turned, -2.0 * turned].map(|turn| {
        let wings = turn / between;
        (wings - wings.round()).abs() < SAME
    })
}
