//! `[[exciter]]` → exciters, each with its foot on the panel.

use super::{millimetres, names};
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::Outline;
use panelwright_solver::scene::{Exciter, Mount};

/// All exciters; `None` if one of them could not be read.
pub fn build(case: &Section, outline: Option<&Outline>, problems: &mut Vec<Problem>) -> Option<Vec<Exciter>> {
    let sections = case.tables("exciter")?;
    let names = names(sections, "exciter", problems);
    let exciters: Vec<_> =
        sections.iter().zip(&names).map(|(s, name)| exciter(s, name, outline?, problems)).collect();
    feet_overlap(sections, &exciters, problems);
    exciters.into_iter().collect()
}

fn exciter(section: &Section, name: &str, outline: &Outline, problems: &mut Vec<Problem>) -> Option<Exciter> {
    let radius = 0.5 * section.number("foot_diameter").unwrap_or(0.0);
    let position = place(section, "position", (name, radius), outline, problems);
    let number = |key| section.number(key);
    Some(Exciter {
        name: name.to_owned(),
        position: position?,
        coil_resistance: number("coil_resistance")?,
        coil_inductance: number("coil_inductance")?,
        force_factor: number("force_factor")?,
        moving_mass: number("moving_mass")?,
        foot_diameter: number("foot_diameter")?,
        suspension_stiffness: number("suspension_stiffness")?,
        suspension_loss_factor: number("suspension_loss_factor")?,
        magnet_mass: number("magnet_mass")?,
        mount: if section.text("mount")? == "braced" { Mount::Braced } else { Mount::Floating },
        reversed: section.text("polarity")? == "reversed",
        rated_power: number("rated_power"),
        rated_excursion: number("rated_excursion"),
    })
}

/// The point behind `key`, which lies on the panel with the whole ring of `radius` about it; `name` says of what.
pub fn place(
    section: &Section,
    key: &str,
    (name, radius): (&str, f64),
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<[f64; 2]> {
    let (width, height) = outline.bounding_box();
    let [x, y] = section.position(key)?;
    let centre = [x.along(width), y.along(height)];
    let inside = outline.distance_inside(centre);
    if inside >= radius {
        return Some(centre);
    }
    let mut at =
        format!("{} from the left, {} from the bottom", millimetres(centre[0]), millimetres(centre[1]));
    if !matches!(outline, Outline::Rectangle { .. }) {
        let side = if inside < 0.0 { "beyond" } else { "from" };
        at += &format!(": {} {side} the nearest edge", millimetres(inside.abs()));
    }
    let message = match inside < 0.0 {
        true if in_a_hole(outline, centre) => format!("\"{name}\" sits in a cut-out"),
        true => format!("\"{name}\" is off the panel"),
        false => format!("the foot of \"{name}\" reaches over the panel's edge"),
    };
    let size = format!("the panel is {} wide and {} high", millimetres(width), millimetres(height));
    let edge = if matches!(outline, Outline::Rectangle { .. }) { "side" } else { "edge" };
    let help = match radius > 0.0 {
        true => format!("{size}; keep the centre at least {} from every {edge}", millimetres(radius)),
        false => format!("{size}; the point must lie on it"),
    };
    problems.push(Problem::error(section.place(key), message).because(at).instead(help));
    None
}

/// True for a point within the outer contour that is not of the panel.
fn in_a_hole(outline: &Outline, point: [f64; 2]) -> bool {
    let outer = outline.curves()[0].clone();
    outline.contours() > 1 && Outline::of_contours(outer, vec![]).is_ok_and(|whole| whole.contains(point))
}

fn feet_overlap(sections: &[Section], exciters: &[Option<Exciter>], problems: &mut Vec<Problem>) {
    let placed: Vec<_> =
        exciters.iter().zip(sections).filter_map(|(e, s)| e.as_ref().map(|e| (e, s))).collect();
    for (i, (later, section)) in placed.iter().enumerate() {
        for (earlier, _) in &placed[..i] {
            let distance =
                (later.position[0] - earlier.position[0]).hypot(later.position[1] - earlier.position[1]);
            if distance < 0.5 * (later.foot_diameter + earlier.foot_diameter) {
                let message = format!("the feet of \"{}\" and \"{}\" overlap", earlier.name, later.name);
                let label = format!("{} apart", millimetres(distance));
                let problem = Problem::warning(section.place("position"), message).because(label);
                problems
                    .push(problem.instead("two parts cannot be glued to the same spot; move one of them"));
            }
        }
    }
}
