//! Surrounds must keep clear of the driver and of what is behind it.

use crate::case::build::driver::{LEAST_AIR, Sited};
use crate::case::build::{millimetres, millimetres_fine};
use crate::case::problem::Problem;
use crate::case::section::Section;
use nalgebra::Vector3;
use panelwright_mesh::shapes::{self, ShapeFault, Slab, Sphere};
use panelwright_mesh::{Outline, Surface, check};
use panelwright_solver::scene::{Behind, DiaphragmForm, HousingFront, SmallDriver, SurroundForm};

/// Places looked at where a triangle cuts the plane of the panel, from end to end.
const PLACES: usize = 16;
/// Elements along the radius of the housing that a part is held against.
const ALONG_RADIUS: f64 = 6.0;

/// Something in the way, and where [m] from the middle of the driver's front.
pub type Met = (Problem, Vector3<f64>);

/// A surround's surface, which counts from the middle of the driver's front, clear of driver and surroundings.
pub fn of_all(
    section: &Section,
    formed: (&SurroundForm, &Surface),
    sited: &Sited,
    problems: &mut Vec<Problem>,
) -> Option<()> {
    let met = met(section, formed, sited);
    let clear = met.is_none();
    problems.extend(met.map(|(problem, _)| problem));
    clear.then_some(())
}

/// What a surround's surface meets first.
pub fn met(section: &Section, (form, body): (&SurroundForm, &Surface), sited: &Sited) -> Option<Met> {
    let met = match form {
        SurroundForm::Part { .. } => meets_the_driver(section, body, &sited.driver),
        _ => None,
    };
    met.or_else(|| meets_what_is_behind(section, body, sited))
}

/// The key whose line shows the problem.
fn key(section: &Section) -> &'static str {
    if section.mentions("file") { "file" } else { "shape" }
}

fn meets_the_driver(section: &Section, part: &Surface, driver: &SmallDriver) -> Option<Met> {
    let housing = housing(driver).ok()?;
    let crossing = meeting(part, &housing);
    let gap = check::gap(part, &housing)?;
    let (at, label) = match crossing {
        Some(place) => (place, "touches or cuts into it".to_owned()),
        None if gap.length() < LEAST_AIR => {
            (check::Place(gap.middle()), format!("only {} of air between", millimetres_fine(gap.length())))
        }
        None => return None,
    };
    let message = format!("the part comes too near to the driver at {at}");
    let help = format!(
        "leave at least {} of air around the housing; the part's origin is the middle of the driver's front, +z points to the listener",
        millimetres_fine(LEAST_AIR)
    );
    Some((Problem::error(section.place(key(section)), message).because(label).instead(help), at.0))
}

/// A place where two sound bodies cross, or where one lies in the other.
fn meeting(one: &Surface, other: &Surface) -> Option<check::Place> {
    let limits = check::Limits { size: [0.0, f64::INFINITY], ..check::Limits::default() };
    let report = check::check(&one.clone().joined(other), &limits);
    report.faults.into_iter().find_map(|fault| match fault {
        check::Fault::Crosses { at, .. } | check::Fault::Within { at, .. } => Some(at),
        _ => None,
    })
}

/// The driver as a body, as finely as a part is held against it.
pub fn housing(driver: &SmallDriver) -> Result<Surface, ShapeFault> {
    let housing = &driver.housing;
    let [x, y] = housing.front.half_extents();
    let length = x.min(y) / ALONG_RADIUS;
    match housing.front {
        HousingFront::Round { radius } => {
            let diaphragm = match driver.diaphragm.form {
                DiaphragmForm::Dome { height } => shapes::Diaphragm::Dome { height },
                DiaphragmForm::Cone { depth } => shapes::Diaphragm::Cone { depth },
                _ => shapes::Diaphragm::Flat,
            };
            let (depth, rounding) = (housing.depth, housing.rounding);
            let diaphragm_radius = driver.diaphragm.radius;
            shapes::Housing { radius, depth, rounding, diaphragm_radius, diaphragm }.lathe()?.meshed(length)
        }
        HousingFront::Rectangular { width, height } => {
            let plate = Slab::plain(Outline::Rectangle { width, height }, housing.depth);
            Slab { front_rounding: housing.rounding, ..plate }.meshed(length)
        }
        HousingFront::Ball { radius } => {
            let mut ball = Sphere { radius, cap: 0.0 }.lathe()?.meshed(length)?;
            ball.points.iter_mut().for_each(|point| point.z += radius - housing.depth);
            Ok(ball)
        }
    }
}

fn meets_what_is_behind(section: &Section, body: &Surface, sited: &Sited) -> Option<Met> {
    let place = sited.driver.place;
    let (what, at) = match &sited.behind {
        Behind::Nothing => return None,
        Behind::Plane => {
            let lowest = body.points.iter().min_by(|a, b| a.z.total_cmp(&b.z))?;
            let through = lowest.z + place[2] < LEAST_AIR;
            through.then_some(("plane behind the driver", [lowest.x + place[0], lowest.y + place[1]]))?
        }
        Behind::Board(outline) => ("panel", cut(body, place, outline)?),
    };
    let message = format!("the surround touches or cuts into the {what}");
    let label = match sited.behind {
        Behind::Board(_) => {
            format!("{} from the left, {} from the bottom", millimetres(at[0]), millimetres(at[1]))
        }
        _ => "its rear is too far back".into(),
    };
    let help = "give the driver more `clearance`, or make the surround shallower";
    let problem = Problem::error(section.place(key(section)), message).because(label).instead(help);
    Some((problem, Vector3::new(at[0] - place[0], at[1] - place[1], -place[2])))
}

/// A point of the panel, z = 0, that a body cuts.
fn cut(body: &Surface, [x, y, z]: [f64; 3], outline: &Outline) -> Option<[f64; 2]> {
    (0..body.triangles.len()).find_map(|triangle| {
        let corners = body.corners(triangle).map(|p| [p.x + x, p.y + y, p.z + z]);
        let crossings: Vec<_> = (0..3).filter_map(|k| at_zero(corners[k], corners[(k + 1) % 3])).collect();
        let [from, .., to] = crossings[..] else { return None };
        let along = |i: usize| [0, 1].map(|k| from[k] + (to[k] - from[k]) * i as f64 / PLACES as f64);
        (0..=PLACES).map(along).find(|point| outline.contains(*point))
    })
}

/// Where a side crosses z = 0.
fn at_zero(a: [f64; 3], b: [f64; 3]) -> Option<[f64; 2]> {
    if (a[2] > 0.0) == (b[2] > 0.0) {
        return None;
    }
    let share = a[2] / (a[2] - b[2]);
    Some([0, 1].map(|k| a[k] + share * (b[k] - a[k])))
}
