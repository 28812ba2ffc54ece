//! Where the driver is, and what is behind it.

use crate::case::build::keys::{idle, missing, needed};
use crate::case::build::{millimetres, millimetres_fine};
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::Outline;
use panelwright_solver::scene::{Behind, Housing, HousingFront};

/// Least air [m] between two bodies: what nobody can build narrower.
pub const LEAST_AIR: f64 = 1e-4;
/// Places along each side of a rectangular housing that must not be over the panel when the housing reaches behind its front.
const PLACES: usize = 64;

/// Where the driver is, and what is behind it.
pub struct Site {
    /// Middle of its front [m].
    pub place: [f64; 3],
    /// What is behind it.
    pub behind: Behind,
    /// False when the housing touches or cuts into that, which is an error already.
    pub clear: bool,
}

/// The site; `panel` is the panel's outline, `housing` the driver's.
pub fn build(
    case: &Section,
    driver: &Section,
    (panel, housing): (Option<&Outline>, Option<&Housing>),
    problems: &mut Vec<Problem>,
) -> Option<Site> {
    let word = behind(case, driver, problems);
    let axis = axis(case, driver, panel, problems);
    let nothing = word == Some("nothing") && !case.mentions("panel");
    let clearance = match nothing {
        _ if word.is_none() => None,
        true => idle(driver, "clearance", "nothing is behind the driver", problems).map(|()| None),
        false => needed(driver, "clearance", problems).map(Some),
    };
    let (word, axis, housing) = (word?, axis?, housing?);
    let height = clearance?.map_or(0.0, |clearance| clearance + housing.depth);
    let behind = match word {
        "panel" => Behind::Board(panel?.clone()),
        "plane" => Behind::Plane,
        _ => Behind::Nothing,
    };
    let place = [axis[0], axis[1], height];
    let outline = panel.filter(|_| word != "plane");
    let everywhere = word == "plane";
    let clear = height - housing.depth >= LEAST_AIR
        || nothing
        || !(everywhere || outline.is_some_and(|outline| over(outline, axis, housing)));
    if !clear {
        problems.push(cuts_in(driver, height - housing.depth, outline));
    }
    Some(Site { place, behind, clear })
}

/// The word of `behind`, or what it is when the case does not say.
fn behind<'s>(case: &Section, driver: &'s Section, problems: &mut Vec<Problem>) -> Option<&'s str> {
    if driver.unreadable("behind") {
        return None;
    }
    let word = driver.text("behind");
    if word == Some("panel") && !case.mentions("panel") {
        let problem = Problem::error(driver.place("behind"), "there is no panel behind the driver");
        let help =
            "write behind = \"plane\" for a large wall or \"nothing\" for free space, or add a table [panel]";
        problems.push(problem.because("the case has no [panel]").instead(help));
        return None;
    }
    Some(match (word, case.table("panel")) {
        (Some(word), _) => word,
        (None, Some(panel)) if flush(panel) => "plane",
        (None, _) if case.mentions("panel") => "panel",
        _ => "nothing",
    })
}

/// True for a panel whose front continues as a large wall.
fn flush(panel: &Section) -> bool {
    let kind = panel.table("back").map_or_else(|| panel.text("back"), |table| table.text("kind"));
    matches!(kind, Some("baffled" | "closed" | "vented"))
}

/// The driver's axis [m] in panel coordinates; the origin if there is no panel.
fn axis(
    case: &Section,
    driver: &Section,
    panel: Option<&Outline>,
    problems: &mut Vec<Problem>,
) -> Option<[f64; 2]> {
    if !case.mentions("panel") {
        let reason = "without a [panel] places count from the driver itself";
        return idle(driver, "position", reason, problems).map(|()| [0.0; 2]);
    }
    if !driver.mentions("position") {
        problems.push(missing(driver, "position"));
    }
    let [x, y] = driver.position("position")?;
    let (width, height) = panel?.bounding_box();
    Some([x.along(width), y.along(height)])
}

/// True if some of the housing is over the panel.
fn over(outline: &Outline, [x, y]: [f64; 2], housing: &Housing) -> bool {
    match housing.front {
        HousingFront::Round { radius } | HousingFront::Ball { radius } => {
            outline.distance_inside([x, y]) > -radius
        }
        HousingFront::Rectangular { .. } => {
            let [half_width, half_height] = housing.front.half_extents();
            let at = |i: usize, half: f64| half * (2.0 * i as f64 / PLACES as f64 - 1.0);
            let grid = (0..=PLACES).flat_map(|i| (0..=PLACES).map(move |j| (i, j)));
            grid.map(|(i, j)| [x + at(i, half_width), y + at(j, half_height)]).any(|p| outline.contains(p))
        }
    }
}

fn cuts_in(driver: &Section, clearance: f64, outline: Option<&Outline>) -> Problem {
    let (what, aside) = match outline {
        Some(outline) => {
            let (width, height) = outline.bounding_box();
            let size = format!("{} wide and {} high", millimetres(width), millimetres(height));
            ("panel", format!(", or move it off the panel, which is {size}"))
        }
        None => ("plane behind it", String::new()),
    };
    let at = match clearance < 0.0 {
        true => format!("its back lies {} behind the {what}'s front", millimetres_fine(-clearance)),
        false => "no air is left behind its back".into(),
    };
    let message = format!("the driver's housing touches or cuts into the {what}");
    let help = format!("make `clearance` at least {}{aside}", millimetres_fine(LEAST_AIR));
    Problem::error(driver.place("clearance"), message).because(at).instead(help)
}
