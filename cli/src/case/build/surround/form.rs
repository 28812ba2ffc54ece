//! Shapes from measures.

use super::Formed;
use crate::case::build::keys::{Belongings, all_needed, below, needed};
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::shapes::{self, ShapeFault, Slab};
use panelwright_mesh::{Outline, Surface};
use panelwright_solver::scene::{DiaphragmForm, FlareProfile, HousingFront, SmallDriver, SurroundForm};

const FLARES: &[&str] = &["conical flare", "exponential flare", "elliptic flare"];
const OBSTACLES: &[&str] = &["post", "bracket"];

/// What belongs to which shape; a part from a file counts as one.
pub const OWN: &Belongings = &[
    ("file_unit", &["file"]),
    ("count", &["wings"]),
    ("length", &["wings", FLARES[0], FLARES[1], FLARES[2], "post"]),
    ("width", &["baffle"]),
    ("height", &["wings", "baffle"]),
    ("opening", &["wings"]),
    ("mouth_diameter", FLARES),
    ("diameter", &["post"]),
    ("horizontal_leg", &["bracket"]),
    ("vertical_leg", &["bracket"]),
    ("depth", &["bracket"]),
    ("thickness", &["wings", FLARES[0], FLARES[1], FLARES[2], "baffle", "bracket"]),
    ("gap", &["wings", FLARES[0], FLARES[1], FLARES[2], "baffle"]),
    ("rounding", &["wings", "round over", "baffle"]),
    ("turned", &["wings", "post"]),
    ("to_the_right", OBSTACLES),
    ("above", OBSTACLES),
    ("in_front", OBSTACLES),
    (
        "absorption",
        &["file", "wings", FLARES[0], FLARES[1], FLARES[2], "round over", "baffle", "post", "bracket"],
    ),
];

/// The shape that `word` names around, beside or before `driver`; without one it is judged by itself.
pub fn build(
    section: &Section,
    word: &str,
    driver: Option<&SmallDriver>,
    problems: &mut Vec<Problem>,
) -> Option<Formed> {
    match word {
        "wings" => wings(section, driver, problems),
        "conical flare" => flare(section, FlareProfile::Conical, driver, problems),
        "exponential flare" => flare(section, FlareProfile::Exponential, driver, problems),
        "elliptic flare" => flare(section, FlareProfile::Elliptic, driver, problems),
        "round over" => round_over(section, driver, problems),
        "baffle" => baffle(section, driver, problems),
        "post" => post(section, driver, problems),
        "bracket" => bracket(section, driver, problems),
        _ => Some((SurroundForm::Bare, None)),
    }
}

fn wings(section: &Section, driver: Option<&SmallDriver>, problems: &mut Vec<Problem>) -> Option<Formed> {
    let keys = ["count", "length", "height", "opening", "thickness"];
    let [count, length, height, opening, thickness] = all_needed(section, keys, problems)?;
    let (gap, turned) = (section.number("gap")?, section.number("turned")?);
    let rounding = section.number("rounding").unwrap_or(0.0);
    let count = count as usize;
    let body = |driver: &SmallDriver| {
        let driver_radius = narrowest(&driver.housing.front);
        let wings = shapes::Wings { count, length, height, opening, thickness, driver_radius, gap, rounding };
        Ok(turned_about_the_axis(wings.meshed(length.max(height))?, turned))
    };
    let body = judged(section, driver.map(body), problems)?;
    let form = SurroundForm::Wings { count, length, height, opening, thickness, gap, rounding, turned };
    Some((form, body))
}

fn flare(
    section: &Section,
    profile: FlareProfile,
    driver: Option<&SmallDriver>,
    problems: &mut Vec<Problem>,
) -> Option<Formed> {
    let keys = ["mouth_diameter", "length", "thickness"];
    let [mouth, length, wall] = all_needed(section, keys, problems)?;
    let gap = section.number("gap")?;
    let body = |driver: &SmallDriver| {
        let flare = shapes::Flare {
            throat: widest(&driver.housing.front) + gap,
            mouth: 0.5 * mouth,
            length,
            form: match profile {
                FlareProfile::Conical => shapes::Form::Conical,
                FlareProfile::Exponential => shapes::Form::Exponential,
                FlareProfile::Elliptic => shapes::Form::Elliptic,
            },
            wall,
            back: shapes::Back::Open,
        };
        flare.lathe()?.meshed(0.25 * mouth)
    };
    let body = judged(section, driver.map(body), problems)?;
    Some((SurroundForm::Flare { profile, mouth_radius: 0.5 * mouth, length, wall, gap }, body))
}

fn round_over(
    section: &Section,
    driver: Option<&SmallDriver>,
    problems: &mut Vec<Problem>,
) -> Option<Formed> {
    let radius = needed(section, "rounding", problems)?;
    let form = SurroundForm::RoundOver { radius };
    let Some(driver) = driver else { return Some((form, None)) };
    let HousingFront::Round { radius: inner } = driver.housing.front else {
        let problem = Problem::error(section.place("shape"), "only a round housing can be rounded over so");
        let (is, help) = match driver.housing.front {
            HousingFront::Ball { .. } => {
                ("the housing is a ball, which has no edge", "give the driver a `housing_diameter`")
            }
            _ => {
                let help =
                    "give the driver a `housing_diameter`, or round its own edge with `housing_rounding`";
                ("the housing is rectangular", help)
            }
        };
        problems.push(problem.because(is).instead(help));
        return None;
    };
    let depth = driver.housing.depth;
    below(section, "rounding", 0.98 * depth, "it does not fit into the housing's depth", problems)?;
    let widened = shapes::Housing {
        radius: inner + radius,
        depth,
        rounding: radius,
        diaphragm_radius: driver.diaphragm.radius,
        diaphragm: shapes::Diaphragm::Flat,
    };
    let body = widened.lathe().and_then(|lathe| lathe.meshed(0.5 * inner));
    Some((form, judged(section, Some(body), problems)?))
}

fn baffle(section: &Section, driver: Option<&SmallDriver>, problems: &mut Vec<Problem>) -> Option<Formed> {
    let [width, height, thickness] = all_needed(section, ["width", "height", "thickness"], problems)?;
    let gap = section.number("gap")?;
    let rounding = section.number("rounding").unwrap_or(0.0);
    below(section, "rounding", thickness, "it is deeper than the plate is thick", problems).or_else(
        || {
            // Left out, it is none.
            (!section.mentions("rounding")).then_some(())
        },
    )?;
    if let Some(driver) = driver {
        let hole = driver.housing.front.half_extents().map(|half| 2.0 * (half + gap + rounding));
        above(section, "width", width, hole[0], problems)?;
        above(section, "height", height, hole[1], problems)?;
    }
    let plate = Slab::plain(Outline::Rectangle { width, height }, thickness);
    let body = judged(section, Some(plate.meshed(width.max(height))), problems)?;
    Some((SurroundForm::Baffle { width, height, thickness, gap, rounding }, body))
}

fn above(section: &Section, key: &str, value: f64, least: f64, problems: &mut Vec<Problem>) -> Option<()> {
    if value > least {
        return Some(());
    }
    let [value, least] = [value, least].map(crate::case::build::millimetres_fine);
    let message = format!("`{key}` of {value} leaves nothing of the baffle around the housing");
    let label = format!("housing, gap and rounding take {least}");
    problems.push(
        Problem::error(section.place(key), message)
            .because(label)
            .instead(format!("make it more than {least}")),
    );
    None
}

fn post(section: &Section, driver: Option<&SmallDriver>, problems: &mut Vec<Problem>) -> Option<Formed> {
    let [diameter, length, front] = all_needed(section, ["diameter", "length", "in_front"], problems)?;
    before(section, front - 0.5 * diameter, driver, problems);
    let middle = [section.number("to_the_right")?, section.number("above")?, front];
    Some((SurroundForm::Post { diameter, length, middle, turned: section.number("turned")? }, None))
}

fn bracket(section: &Section, driver: Option<&SmallDriver>, problems: &mut Vec<Problem>) -> Option<Formed> {
    let keys = ["horizontal_leg", "vertical_leg", "thickness", "depth", "in_front"];
    let [x, y, thickness, width, front] = all_needed(section, keys, problems)?;
    let slab = Slab::bracket([x, y], thickness, width).and_then(|slab| slab.meshed(x.max(y)));
    judged(section, Some(slab), problems)?;
    before(section, front - width, driver, problems);
    let corner = [section.number("to_the_right")?, section.number("above")?, front];
    Some((SurroundForm::Bracket { legs: [x, y], thickness, width, corner }, None))
}

/// Something in the way must begin, at `nearest` [m] from the front, before the diaphragm.
fn before(section: &Section, nearest: f64, driver: Option<&SmallDriver>, problems: &mut Vec<Problem>) {
    let nose = match driver.map(|driver| &driver.diaphragm.form) {
        Some(DiaphragmForm::Dome { height }) => *height,
        _ => 0.0,
    };
    let missing = nose + crate::case::build::driver::LEAST_AIR - nearest;
    if missing <= 0.0 {
        return;
    }
    let [has, wants] = [nearest, section.number("in_front").unwrap_or(0.0) + missing]
        .map(crate::case::build::millimetres_fine);
    let message = "it reaches the driver it is to stand before";
    let label = format!("its rear lies {has} before the driver's front");
    let help = format!("make `in_front` at least {wants}, or the part thinner");
    problems.push(Problem::error(section.place("in_front"), message).because(label).instead(help));
}

/// The surface, or the problem of a measure that cannot be.
fn judged(
    section: &Section,
    made: Option<Result<Surface, ShapeFault>>,
    problems: &mut Vec<Problem>,
) -> Option<Option<Surface>> {
    match made {
        None => Some(None),
        Some(Ok(surface)) => Some(Some(surface)),
        Some(Err(fault)) => {
            problems.push(impossible(section, &fault));
            None
        }
    }
}

/// The problem in the line of the measure that the fault names; its help is the last part of the fault's sentence.
fn impossible(section: &Section, fault: &ShapeFault) -> Problem {
    let sentence = fault.to_string();
    let words =
        ["mouth_diameter", "opening", "rounding", "height", "wall", "thickness", "gap", "leg", "length"];
    let named = |key: &&&str| sentence.contains(key.split('_').next().unwrap_or(key));
    let key = match words.iter().find(named).copied() {
        Some("wall") => "thickness",
        Some("leg") => "vertical_leg",
        Some(key) => key,
        None => "shape",
    };
    let (what, help) = sentence.split_once("; ").unwrap_or((&sentence, "change this measure"));
    Problem::error(section.place(key), what).because("with the other measures").instead(help)
}

/// Radius [m] that a ring around the housing must have.
fn widest(front: &HousingFront) -> f64 {
    match front {
        HousingFront::Round { radius } | HousingFront::Ball { radius } => *radius,
        HousingFront::Rectangular { width, height } => 0.5 * width.hypot(*height),
    }
}

/// Radius [m] of the largest circle in the housing's front.
fn narrowest(front: &HousingFront) -> f64 {
    let [x, y] = front.half_extents();
    x.min(y)
}

fn turned_about_the_axis(mut surface: Surface, angle: f64) -> Surface {
    let (sin, cos) = angle.sin_cos();
    for point in &mut surface.points {
        (point.x, point.y) = (cos * point.x - sin * point.y, sin * point.x + cos * point.y);
    }
    surface
}
