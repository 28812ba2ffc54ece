//! What the driver sits in.

use crate::case::build::keys::{all_needed, below, idle, missing, needed, one_of};
use crate::case::problem::Problem;
use crate::case::quantity::VOLUME;
use crate::case::section::Section;
use panelwright_solver::scene::{Housing, HousingBack, HousingFront};
use std::f64::consts::PI;

/// The housing.
pub fn build(driver: &Section, problems: &mut Vec<Problem>) -> Option<Housing> {
    let front = front(driver, problems);
    let housing = match driver.mentions("ball_diameter") {
        true => ball(driver, front, problems)?,
        false => edged(driver, front, problems)?,
    };
    holds(driver, &housing, problems);
    Some(housing)
}

/// One with an edge around its front.
fn edged(driver: &Section, front: Option<HousingFront>, problems: &mut Vec<Problem>) -> Option<Housing> {
    let (depth, back) = (needed(driver, "housing_depth", problems), back(driver, problems));
    let rounding = driver.number("housing_rounding")?;
    let housing = Housing { front: front?, depth: depth?, rounding, back: back? };
    shallow(driver, &housing, problems)?;
    Some(housing)
}

/// A ball, whose measures all follow from two radii.
fn ball(driver: &Section, front: Option<HousingFront>, problems: &mut Vec<Problem>) -> Option<Housing> {
    let round = "`ball_diameter` says that the housing is a ball";
    let closed = "a ball is closed";
    let said = [
        ("housing_depth", round),
        ("housing_rounding", round),
        ("open_back", closed),
        ("housing_wall", closed),
    ]
    .map(|(key, reason)| idle(driver, key, reason, problems));
    let volume = needed(driver, "box_volume", problems);
    let Some(HousingFront::Ball { radius }) = front else { return None };
    let cap = "it is a cap of the ball, which must be larger";
    below(driver, "diaphragm_diameter", 2.0 * radius, cap, problems)?;
    let cap = 0.5 * driver.number("diaphragm_diameter")?;
    said.iter().all(Option::is_some).then_some(Housing::ball(radius, cap, volume?))
}

fn front(driver: &Section, problems: &mut Vec<Problem>) -> Option<HousingFront> {
    let keys = match driver.mentions("housing_height") {
        true => ["housing_diameter", "housing_height", "ball_diameter"],
        false => ["housing_diameter", "housing_width", "ball_diameter"],
    };
    match one_of(driver, &keys, problems)? {
        "housing_diameter" => {
            idle(driver, "housing_width", "`housing_diameter` says that the housing is round", problems)?;
            driver.number("housing_diameter").map(|diameter| HousingFront::Round { radius: 0.5 * diameter })
        }
        "ball_diameter" => {
            driver.number("ball_diameter").map(|diameter| HousingFront::Ball { radius: 0.5 * diameter })
        }
        _ => {
            let [width, height] = all_needed(driver, ["housing_width", "housing_height"], problems)?;
            Some(HousingFront::Rectangular { width, height })
        }
    }
}

fn back(driver: &Section, problems: &mut Vec<Problem>) -> Option<HousingBack> {
    if driver.flag("open_back") {
        idle(driver, "box_volume", "open_back = true says that nothing closes the housing", problems)?;
        return needed(driver, "housing_wall", problems).map(|wall| HousingBack::Open { wall });
    }
    idle(driver, "housing_wall", "the housing is closed", problems)?;
    if !driver.mentions("box_volume") {
        let problem = missing(driver, "box_volume");
        let help = format!("{}; or, for a tube without a back, open_back = true", problem.help);
        problems.push(problem.instead(help));
    }
    driver.number("box_volume").map(|volume| HousingBack::Sealed { volume })
}

/// The round-over must find room in the depth.
fn shallow(driver: &Section, housing: &Housing, problems: &mut Vec<Problem>) -> Option<()> {
    let why = "it does not fit into the housing's depth";
    below(driver, "housing_rounding", 0.98 * housing.depth, why, problems)
}

/// More air than housing is a slip of the pen, or a box behind a wall that is not described here.
fn holds(driver: &Section, housing: &Housing, problems: &mut Vec<Problem>) {
    let HousingBack::Sealed { volume } = housing.back else { return };
    let whole = match housing.front {
        HousingFront::Round { radius } => PI * radius * radius * housing.depth,
        HousingFront::Rectangular { width, height } => width * height * housing.depth,
        HousingFront::Ball { radius } => 4.0 / 3.0 * PI * radius.powi(3),
    };
    if volume > whole {
        let most = VOLUME.show((whole * 1e8).round() / 1e8, "l");
        let problem = Problem::warning(driver.place("box_volume"), "the air inside is more than the housing");
        problems.push(
            problem
                .because(format!("the whole housing has {most}"))
                .instead("check the unit, or the housing's measures; it is computed as it stands"),
        );
    }
}
