//! `[panel]` → its outline: shape, points or drawing, and cut-outs.

use super::faults::{explained, thin};
use super::keys::{missing, needed};
use super::{makeup, millimetres};
use crate::case::drawing;
use crate::case::problem::Problem;
use crate::case::section::{Point, Section};
use panelwright_mesh::{Contour, LARGEST, Outline};
use std::ops::Range;
use std::path::Path;

/// Sides a panel may have [m].
const SIDES: Range<f64> = 0.02..5.0;
/// Necks narrower than this many thicknesses of the panel are no plate.
const NECK: f64 = 3.0;
/// Points this near to the left and bottom side [m] lie on it.
const ON_SIDE: f64 = 1e-6;

/// Contours as the case gives them, before they are judged; lower left corner of the bounding box at the origin.
pub struct Draft {
    /// The outer contour, then the cut-outs.
    pub contours: Vec<Contour>,
    /// Where each one stands in the file.
    pub places: Vec<Place>,
    /// The outer contour if it is one of the plain shapes.
    plain: Option<Outline>,
}

/// Where a contour stands in the file.
#[derive(Clone)]
pub struct Place {
    /// The value that gives it.
    pub span: Range<usize>,
    /// Its points, if it is given by points.
    pub points: Vec<Point>,
}

/// The outline; `None` only if `problems` holds an error about it. Drawings are looked for in `folder`.
pub fn build(panel: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<Outline> {
    let draft = draft(panel, folder, problems)?;
    let outline = match &draft.plain {
        Some(plain) if draft.contours.len() == 1 => plain.clone(),
        _ => {
            let mut contours = draft.contours.clone();
            let outer = contours.remove(0);
            let faults = match Outline::of_contours(outer, contours) {
                Ok(outline) => return sized(outline, panel, &draft, problems),
                Err(faults) => faults,
            };
            problems.extend(faults.iter().map(|fault| explained(fault, &draft)));
            return None;
        }
    };
    sized(outline, panel, &draft, problems)
}

/// The outline if it is of a panel's size; its thin places become warnings.
fn sized(outline: Outline, panel: &Section, draft: &Draft, problems: &mut Vec<Problem>) -> Option<Outline> {
    let (width, height) = outline.bounding_box();
    let fits = |side: f64| (SIDES.start..=SIDES.end).contains(&side);
    if !(fits(width) && fits(height)) {
        let size = format!("{} wide and {} high", millimetres(width), millimetres(height));
        let problem = Problem::error(draft.places[0].span.clone(), format!("the panel would be {size}"));
        let help = if panel.mentions("drawing") {
            "check the drawing's unit: `drawing_unit` sets it"
        } else {
            "check the units"
        };
        problems.push(problem.because("sides from 20 mm to 5 m can be computed").instead(help));
        return None;
    }
    let narrowest = narrowest(panel);
    let faults = match outline {
        Outline::Shape(_) => outline.thin_places(narrowest),
        _ => vec![],
    };
    problems.extend(faults.iter().map(|fault| thin(fault, narrowest, draft)));
    Some(outline)
}

/// Necks of less than this [m] are no plate; 0 if the panel is made of nothing yet, which is told elsewhere.
fn narrowest(panel: &Section) -> f64 {
    makeup::build(panel, &mut Vec::new()).map_or(0.0, |(_, section)| NECK * section.thickness)
}

/// The contours the case gives.
pub fn draft(panel: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<Draft> {
    let mut draft = outer(panel, folder, problems)?;
    let low = draft.contours[0].bounds().0;
    if !draft.places[0].points.is_empty() {
        starts_at_zero(low, &draft.places[0], problems)?;
    }
    let back = low.map(|value| if value.is_finite() { -value } else { 0.0 });
    draft.contours.iter_mut().for_each(|contour| *contour = contour.moved(back));
    let (_, size) = draft.contours[0].bounds();
    for section in panel.tables("cutout")? {
        draft.contours.push(cutout(section, size, problems)?);
        draft.places.push(Place { span: section.span.clone(), points: points(section) });
    }
    Some(draft)
}

fn points(section: &Section) -> Vec<Point> {
    section.points("points").unwrap_or_default().to_vec()
}

/// One coordinate system for everything: points count from the panel's own left and bottom side, as positions do.
fn starts_at_zero(low: [f64; 2], place: &Place, problems: &mut Vec<Problem>) -> Option<()> {
    let sides = [("leftmost", "left", low[0], "first"), ("lowest", "bottom", low[1], "second")];
    let off = sides.into_iter().find(|(_, _, value, _)| value.abs() > ON_SIDE);
    let Some((which, side, value, number)) = off else { return Some(()) };
    let message = format!("the {which} point lies at {} instead of 0 mm", millimetres(value));
    let axis = usize::from(number == "second");
    let least = place.points.iter().find(|p| (p.position[axis] - value).abs() <= ON_SIDE);
    let span = least.map_or(place.span.clone(), |p| p.span.clone());
    let problem = Problem::error(span, message).because(format!("the panel's {side} side"));
    let verb = if value > 0.0 { "take" } else { "add" };
    let from = if value > 0.0 { "off" } else { "to" };
    problems.push(problem.instead(format!(
        "{verb} {} {from} the {number} number of every point: exciters and cut-outs, too, are placed from the panel's leftmost and lowest point",
        millimetres(value.abs())
    )));
    None
}

fn outer(panel: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<Draft> {
    let place = |key: &str| Place { span: panel.place(key), points: points(panel) };
    if panel.mentions("drawing") {
        alone(panel, "drawing", &["shape", "points", "width", "height", "corner_radius"], problems)?;
        let contours = drawn(panel, folder, problems)?;
        let places = vec![place("drawing"); contours.len()];
        return Some(Draft { contours, places, plain: None });
    }
    if panel.mentions("points") {
        alone(panel, "points", &["width", "height", "corner_radius"], problems)?;
    }
    let shape = form(panel, problems)?;
    if shape == "polygon" {
        let contours = vec![polygon(panel, problems)?];
        return Some(Draft { contours, places: vec![place("points")], plain: None });
    }
    let [width, height] = sides(panel, problems)?;
    let outline = match shape {
        "ellipse" => Outline::Ellipse { width, height },
        "rounded rectangle" => {
            Outline::RoundedRectangle { width, height, radius: radius(panel, [width, height], problems)? }
        }
        _ => Outline::Rectangle { width, height },
    };
    let contours = outline.curves().into_owned();
    Some(Draft { contours, places: vec![place("width")], plain: Some(outline) })
}

/// The shape: as said, or a polygon where there are points. Keys of another shape are a problem.
fn form<'s>(section: &'s Section, problems: &mut Vec<Problem>) -> Option<&'s str> {
    let shape = match section.mentions("shape") || !section.mentions("points") {
        true => section.text("shape")?,
        false => "polygon",
    };
    let wrong = |key: &str| match key {
        "points" => shape != "polygon",
        "corner_radius" => shape != "rounded rectangle",
        _ => false,
    };
    let Some(key) = ["points", "corner_radius"].into_iter().find(|k| section.mentions(k) && wrong(k)) else {
        return Some(shape);
    };
    let with = if key == "points" { "polygon" } else { "rounded rectangle" };
    let problem = Problem::error(section.place(key), format!("a shape \"{shape}\" has no `{key}`"));
    problems.push(
        problem
            .because(format!("belongs to \"{with}\""))
            .instead(format!("write shape = \"{with}\", or leave out `{key}`")),
    );
    None
}

/// `key` says it all: none of `others` may stand beside it.
fn alone(section: &Section, key: &str, others: &[&str], problems: &mut Vec<Problem>) -> Option<()> {
    let Some(other) = others.iter().find(|other| section.mentions(other)) else { return Some(()) };
    let problem = Problem::error(section.place(other), format!("the panel has both `{key}` and `{other}`"));
    problems.push(
        problem
            .because(format!("`{key}` gives shape and size"))
            .instead(format!("leave out `{other}` or `{key}`")),
    );
    None
}

fn sides(section: &Section, problems: &mut Vec<Problem>) -> Option<[f64; 2]> {
    let (width, height) = (needed(section, "width", problems), needed(section, "height", problems));
    Some([width?, height?])
}

fn radius(section: &Section, [width, height]: [f64; 2], problems: &mut Vec<Problem>) -> Option<f64> {
    let radius = needed(section, "corner_radius", problems)?;
    let most = 0.5 * width.min(height);
    if radius <= most {
        return Some(radius);
    }
    let message = format!("a corner radius of {} does not fit", millimetres(radius));
    let problem =
        Problem::error(section.place("corner_radius"), message).because("more than half the shorter side");
    problems.push(problem.instead(format!("at most {}", millimetres(most))));
    None
}

fn polygon(section: &Section, problems: &mut Vec<Problem>) -> Option<Contour> {
    if !section.mentions("points") {
        problems.push(missing(section, "points"));
    }
    let points = section.points("points")?;
    let mut positions: Vec<_> = points.iter().map(|point| point.position).collect();
    // Many people close a polygon by repeating its first point.
    if positions.len() > 3 && positions.first() == positions.last() {
        positions.pop();
    }
    if positions.len() < 3 {
        let message = format!("{} points make no polygon", positions.len());
        let problem = Problem::error(section.place("points"), message).because("three at least");
        problems.push(problem.instead("give the corners in order, once round"));
        return None;
    }
    Some(Contour::polygon(&positions))
}

fn drawn(panel: &Section, folder: &Path, problems: &mut Vec<Problem>) -> Option<Vec<Contour>> {
    let path = folder.join(panel.text("drawing")?);
    let unit = match panel.text("drawing_unit") {
        Some("mm") => Some(1e-3),
        Some("cm") => Some(1e-2),
        Some("m") => Some(1.0),
        Some("inch") => Some(0.0254),
        _ => None,
    };
    match drawing::read(&path, unit) {
        Ok(contours) => Some(contours),
        Err(why) => {
            let problem = Problem::error(panel.place("drawing"), why.message);
            problems.push(problem.because(why.reason).instead(why.help));
            None
        }
    }
}

fn cutout(section: &Section, size: [f64; 2], problems: &mut Vec<Problem>) -> Option<Contour> {
    let shape = form(section, problems)?;
    if shape == "polygon" {
        return polygon(section, problems);
    }
    if !section.mentions("centre") {
        problems.push(missing(section, "centre"));
    }
    let [x, y] = section.position("centre")?;
    let centre = [x.along(size[0]), y.along(size[1])];
    if shape == "circle" {
        let diameter = needed(section, "diameter", problems)?;
        return Some(Contour::ellipse(centre, diameter, diameter));
    }
    let [width, height] = sides(section, problems)?;
    let corner = [centre[0] - 0.5 * width, centre[1] - 0.5 * height];
    Some(match shape {
        "ellipse" => Contour::ellipse(centre, width, height),
        "rounded rectangle" => {
            Contour::rounded_rectangle(corner, width, height, radius(section, [width, height], problems)?)
        }
        _ => Contour::rectangle(corner, width, height),
    })
}

/// Contours and the places of their faults, to be drawn [m].
pub struct Sketch {
    /// The contours as polygons.
    pub contours: Vec<Vec<[f64; 2]>>,
    /// Where the faults are.
    pub marks: Vec<[f64; 2]>,
}

/// What can be drawn of a panel whose outline is at fault or has thin places.
pub fn sketch(panel: &Section, folder: &Path) -> Option<Sketch> {
    let draft = draft(panel, folder, &mut Vec::new())?;
    let faults = match Outline::of_contours(draft.contours[0].clone(), draft.contours[1..].to_vec()) {
        Ok(outline) => outline.thin_places(narrowest(panel)),
        Err(faults) => faults,
    };
    let contours: Vec<_> = draft.contours.iter().map(|contour| contour.polyline(1e-4)).collect();
    let drawable = contours.iter().flatten().flatten().all(|value| value.abs() < LARGEST);
    drawable.then(|| Sketch { contours, marks: faults.iter().filter_map(|fault| fault.at()).collect() })
}
