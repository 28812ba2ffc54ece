//! What the driver sits in.

use crate::case::build::keys::{all_needed, idle, missing, needed, one_of};
use crate::case::problem::Problem;
use crate::case::quantity::VOLUME;
use crate::case::section::Section;
use panelwright_solver::scene::{Housing, HousingBack, HousingFront};
use std::f64::consts::PI;

/// The housing.
pub fn build(driver: &Section, problems: &mut Vec<Problem>) -> Option<Housing> {
    let (front, back) = (front(driver, problems), back(driver, problems));
    let rounding = driver.number("housing_rounding")?;
    let housing = Housing { front: front?, depth: driver.number("housing_depth")?, rounding, back: back? };
    shallow(driver, &housing, problems)?;
    holds(driver, &housing, problems);
    Some(housing)
}

/// Half of width and height [m].
pub fn half_extents(front: &HousingFront) -> [f64; 2] {
    match *front {
        HousingFront::Round { radius } => [radius; 2],
        HousingFront::Rectangular { width, height } => [0.5 * width, 0.5 * height],
    }
}

fn front(driver: &Section, problems: &mut Vec<Problem>) -> Option<HousingFront> {
    let keys = match driver.mentions("housing_height") {
        true => ["housing_diameter", "housing_height"],
        false => ["housing_diameter", "housing_width"],
    };
    match one_of(driver, &keys, problems)? {
        "housing_diameter" => {
            idle(driver, "housing_width", "`housing_diameter` says that the housing is round", problems)?;
            driver.number("housing_diameter").map(|diameter| HousingFront::Round { radius: 0.5 * diameter })
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
    super::below(driver, "housing_rounding", 0.98 * housing.depth, why, problems)
}

/// More air than housing is a slip of the pen, or a box behind a wall that is not described here.
fn holds(driver: &Section, housing: &Housing, problems: &mut Vec<Problem>) {
    let HousingBack::Sealed { volume } = housing.back else { return };
    let [x, y] = half_extents(&housing.front);
    let area = if matches!(housing.front, HousingFront::Round { .. }) { PI * x * y } else { 4.0 * x * y };
    let whole = area * housing.depth;
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
