//! `[place]` → what a search for places goes by.

use super::millimetres;
use crate::case::problem::Problem;
use crate::case::section::Section;
use crate::case::suggest;
use panelwright_mesh::Outline;
use panelwright_solver::place::{PlaceOptions, usual_step};
use panelwright_solver::scene::{Channel, Scene};
use panelwright_solver::search::drivers::{DriverOptions, DriverWeights};
use panelwright_solver::search::exciters::{Allowed, Rectangle, Weights};

/// Most places of a grid.
const MOST_PLACES: f64 = 20_000.0;
/// Most places of a driver.
const MOST_DRIVER_PLACES: usize = 4000;

/// The options of a panel's scene; `None` if something could not be read.
pub fn build(case: &Section, scene: &Scene, problems: &mut Vec<Problem>) -> Option<PlaceOptions> {
    let section = case.table_or_defaults("place");
    let outline = &scene.panel.outline;
    let channel = channel(&section, &scene.channels, problems);
    let step = step(&section, outline, problems);
    let regions = rectangles(&section, "region", outline, problems);
    let keep_out = rectangles(&section, "keep_out", outline, problems);
    let weights = weights(&section);
    Some(PlaceOptions {
        channel: channel?,
        step: step?,
        clearance: section.number("clearance")?,
        apart: section.number("apart"),
        allowed: Allowed { regions: regions?, keep_out: keep_out?, taken: vec![] },
        weights: weights?,
        driver: driver(case, &section, outline, problems)?,
    })
}

/// Where the small driver may hang.
fn driver(
    case: &Section,
    section: &Section,
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<DriverOptions> {
    let section = section.table_or_defaults("driver");
    let surround = surround(case, &section, problems);
    let step = section.number("step");
    if step.is_none() && section.mentions("step") {
        return None;
    }
    let options = DriverOptions {
        margin: section.number("margin")?,
        step,
        weights: DriverWeights {
            unevenness: section.number("evenness")?,
            apart: section.number("apart")?,
            comb: section.number("comb")?,
            shadow: section.number("shadow")?,
        },
        surround: surround?,
        ..DriverOptions::default()
    };
    let grid = options.grid(outline.bounding_box());
    let places = grid.x.len() * grid.y.len();
    if places > MOST_DRIVER_PLACES {
        let message = format!("the driver's map would have {places} places");
        let problem = Problem::error(section.place("step"), message);
        let help = "write a larger step or a smaller margin; without a step there are about 400 places";
        problems.push(problem.because(format!("at most {MOST_DRIVER_PLACES}")).instead(help));
        return None;
    }
    Some(options)
}

/// Which surround the driver hangs with.
fn surround(case: &Section, section: &Section, problems: &mut Vec<Problem>) -> Option<Option<String>> {
    if !section.mentions("surround") {
        return Some(None);
    }
    let name = section.text("surround")?;
    let names: Vec<&str> = case.tables("surround")?.iter().filter_map(|table| table.text("name")).collect();
    if names.contains(&name) {
        return Some(Some(name.to_owned()));
    }
    let message = format!("there is no surround \"{name}\"");
    let help = match suggest::nearest(name, names.iter().copied()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None if names.is_empty() => "the case has no [[surround]]: leave the key out".into(),
        None => format!("there are {}", crate::case::schema::quoted(&names)),
    };
    problems.push(Problem::error(section.place("surround"), message).because("which one?").instead(help));
    None
}

/// The channel that is asked for, if one is.
fn channel(section: &Section, channels: &[Channel], problems: &mut Vec<Problem>) -> Option<Option<usize>> {
    if !section.mentions("channel") {
        return Some(None);
    }
    let name = section.text("channel")?;
    let driven = |channel: &&Channel| !channel.exciters.is_empty();
    let names: Vec<&str> = channels.iter().filter(driven).map(|channel| channel.name.as_str()).collect();
    if names.contains(&name) {
        return Some(channels.iter().position(|channel| channel.name == name));
    }
    let message = format!("no channel \"{name}\" drives an exciter");
    let help = match suggest::nearest(name, names.iter().copied()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None if names.is_empty() => "the case has no exciter to place: add a table [[exciter]]".into(),
        None => format!("there are {}", crate::case::schema::quoted(&names)),
    };
    problems.push(Problem::error(section.place("channel"), message).because("which one?").instead(help));
    None
}

fn step(section: &Section, outline: &Outline, problems: &mut Vec<Problem>) -> Option<Option<f64>> {
    let (width, height) = outline.bounding_box();
    let Some(step) = section.number("step") else {
        return (!section.mentions("step")).then_some(None);
    };
    let places = width * height / (step * step);
    if places <= MOST_PLACES {
        return Some(Some(step));
    }
    let wanted = (width * height / MOST_PLACES).sqrt().max(step);
    let message = format!("the search would have {places:.0} places");
    let help = format!(
        "write a step of {:.0} mm or more; {} is usual for this panel",
        (wanted * 1e3).ceil(),
        millimetres(usual_step((width, height)))
    );
    let problem = Problem::error(section.place("step"), message);
    problems.push(problem.because(format!("at most {MOST_PLACES:.0}")).instead(help));
    None
}

fn rectangles(
    section: &Section,
    key: &str,
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Rectangle>> {
    let all: Vec<_> = section.tables(key)?.iter().map(|table| rectangle(table, outline, problems)).collect();
    all.into_iter().collect()
}

/// A rectangle that has something in common with the panel's bounding box.
fn rectangle(section: &Section, outline: &Outline, problems: &mut Vec<Problem>) -> Option<Rectangle> {
    let (width, height) = outline.bounding_box();
    let [x, y] = section.position("corner")?;
    let corner = [x.along(width), y.along(height)];
    let size = [section.number("width")?, section.number("height")?];
    let beside = |k: usize, side: f64| corner[k] >= side || corner[k] + size[k] <= 0.0;
    if beside(0, width) || beside(1, height) {
        let message = format!("{} lies beside the panel", section.schema.name);
        let help = format!(
            "the panel is {} wide and {} high; corners count from its lower left",
            millimetres(width),
            millimetres(height)
        );
        let problem = Problem::error(section.place("corner"), message);
        problems.push(problem.because("without effect").instead(help));
        return None;
    }
    Some(Rectangle { corner, size })
}

fn weights(section: &Section) -> Option<Weights> {
    let weights = section.table_or_defaults("weights");
    Some(Weights {
        evenness: weights.number("evenness")?,
        extension: weights.number("extension")?,
        sensitivity: weights.number("sensitivity")?,
        coverage: weights.number("coverage")?,
        dips: weights.number("dips")?,
        robustness: weights.number("robustness")?,
    })
}
