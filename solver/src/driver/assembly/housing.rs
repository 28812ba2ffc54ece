//! The driver's housing with its diaphragm.

use super::AssemblyFault;
use super::solid::{Patches, Shape, Solid};
use crate::scene::{self, DiaphragmForm, HousingBack, HousingFront, SmallDriver, Surround, SurroundForm};
use nalgebra::{Isometry3, Translation3, UnitQuaternion};
use panelwright_mesh::Outline;
use panelwright_mesh::shapes::{Diaphragm, Housing, Lathe, Piston, ShapeFault, Slab, Sphere, Tube};

/// Thickness [m] of a diaphragm that is open to both sides and does not say how thick it is.
const SEPTUM: f64 = 0.5e-3;
/// Measures of a ball may differ from those that follow from its radii by this share of its radius.
const SAME: f64 = 1e-9;

/// The housing, widened and rounded over when the surround says so.
pub fn housing(driver: &SmallDriver, surround: &Surround) -> Result<Solid, AssemblyFault> {
    let widened = match surround.form {
        SurroundForm::RoundOver { radius } => Some(radius),
        _ => None,
    };
    let (shape, patches) = match driver.housing.front {
        HousingFront::Round { radius } => {
            let lathe = round(driver, radius, widened).map_err(in_housing)?;
            let patches =
                if widened.is_some() { Patches::SurroundBeyond(radius) } else { Patches::OfTheShape };
            (Shape::Turned(lathe), patches)
        }
        HousingFront::Rectangular { .. } if widened.is_some() => return Err(AssemblyFault::RoundOverBox),
        HousingFront::Rectangular { width, height } => {
            (Shape::Flat(Box::new(rectangular(driver, width, height)?)), Patches::OfTheShape)
        }
        HousingFront::Ball { .. } if widened.is_some() => return Err(AssemblyFault::RoundOverBall),
        HousingFront::Ball { radius } => (Shape::Turned(ball(driver, radius)?), Patches::OfTheShape),
    };
    Ok(Solid { name: "housing".into(), shape, place: place(driver), patches })
}

/// From the shape's own coordinates to those about the middle of the front: a ball is moved until its cap's edge lies there.
fn place(driver: &SmallDriver) -> Isometry3<f64> {
    let z = match driver.housing.front {
        HousingFront::Ball { radius } => radius - driver.housing.depth,
        HousingFront::Round { .. } | HousingFront::Rectangular { .. } => 0.0,
    };
    Isometry3::from_parts(Translation3::new(0.0, 0.0, z), UnitQuaternion::identity())
}

fn in_housing(fault: ShapeFault) -> AssemblyFault {
    AssemblyFault::Shape { part: "housing".into(), fault }
}

/// Radius [m] of the circle about the axis that the housing's outline lies in.
pub fn circumscribed(front: HousingFront) -> f64 {
    match front {
        HousingFront::Round { radius } | HousingFront::Ball { radius } => radius,
        HousingFront::Rectangular { width, height } => 0.5 * width.hypot(height),
    }
}

fn round(driver: &SmallDriver, radius: f64, widened: Option<f64>) -> Result<Lathe, ShapeFault> {
    let more = widened.unwrap_or(0.0);
    if widened.is_some() && !(more > 0.0 && more.is_finite()) {
        return Err(ShapeFault::NotPositive { what: "radius of the round-over", value: more });
    }
    let (depth, rounding) = (driver.housing.depth, widened.unwrap_or(driver.housing.rounding));
    let (radius, diaphragm_radius) = (radius + more, driver.diaphragm.radius);
    let diaphragm = diaphragm(&driver.diaphragm.form);
    match driver.housing.back {
        HousingBack::Sealed { .. } => {
            Housing { radius, depth, rounding, diaphragm_radius, diaphragm }.lathe()
        }
        HousingBack::Open { wall } => {
            let (wall, septum) = (wall + more, septum(&driver.diaphragm.form));
            Tube { radius, depth, wall, rounding, diaphragm_radius, diaphragm, septum }.lathe()
        }
    }
}

fn rectangular(driver: &SmallDriver, width: f64, height: f64) -> Result<Slab, AssemblyFault> {
    if let HousingBack::Open { .. } = driver.housing.back {
        return Err(AssemblyFault::OpenBox);
    }
    let ring = match diaphragm(&driver.diaphragm.form) {
        Diaphragm::Flat => None,
        Diaphragm::Ring { inner_radius, coil_radius } => Some([inner_radius, coil_radius]),
        Diaphragm::Cone { .. } => return Err(AssemblyFault::CurvedInBox { form: "cone" }),
        Diaphragm::Dome { .. } => return Err(AssemblyFault::CurvedInBox { form: "dome" }),
    };
    let piston = Some(Piston { radius: driver.diaphragm.radius, centre: [0.0; 2], ring });
    let plain = Slab::plain(Outline::Rectangle { width, height }, driver.housing.depth);
    Ok(Slab { front_rounding: driver.housing.rounding, piston, ..plain })
}

fn ball(driver: &SmallDriver, radius: f64) -> Result<Lathe, AssemblyFault> {
    let HousingBack::Sealed { volume } = driver.housing.back else { return Err(AssemblyFault::OpenBall) };
    let cap = driver.diaphragm.radius;
    for (what, value) in [("radius of the ball", radius), ("radius of the diaphragm", cap)] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(in_housing(ShapeFault::NotPositive { what, value }));
        }
    }
    if cap >= radius {
        let (what, why) = ("radius of the diaphragm", "it is a cap of the ball");
        return Err(in_housing(ShapeFault::TooLarge { what, value: cap, most: radius, why }));
    }
    agrees(driver, radius, &scene::Housing::ball(radius, cap, volume))?;
    Sphere { radius, cap: (cap / radius).asin() }.lathe().map_err(in_housing)
}

/// A ball's dome, depth and rounding must be what its radii say.
fn agrees(driver: &SmallDriver, radius: f64, ball: &scene::Housing) -> Result<(), AssemblyFault> {
    let height = match driver.diaphragm.form {
        DiaphragmForm::Dome { height } => Some(height),
        _ => None,
    };
    let own = &driver.housing;
    for (what, value, needed) in [
        ("height of the dome", height, 2.0 * radius - ball.depth),
        ("depth", Some(own.depth), ball.depth),
        ("rounding", Some(own.rounding), ball.rounding),
    ] {
        if !value.is_some_and(|value| (value - needed).abs() <= SAME * radius) {
            return Err(AssemblyFault::NotOfBall { what, value, needed });
        }
    }
    Ok(())
}

fn diaphragm(form: &DiaphragmForm) -> Diaphragm {
    match *form {
        DiaphragmForm::Flat | DiaphragmForm::BendingDisc { .. } => Diaphragm::Flat,
        DiaphragmForm::Cone { depth } => Diaphragm::Cone { depth },
        DiaphragmForm::Dome { height } => Diaphragm::Dome { height },
        DiaphragmForm::Ring { inner_radius, coil_radius } => Diaphragm::Ring { inner_radius, coil_radius },
    }
}

fn septum(form: &DiaphragmForm) -> f64 {
    match form {
        DiaphragmForm::BendingDisc { section, .. } => section.thickness,
        _ => SEPTUM,
    }
}
