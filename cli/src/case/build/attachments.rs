//! `[[hang]]`, `[[mass]]`, `[[patch]]`, `[[bar]]` → what is fixed to the panel.

use super::exciters::place;
use super::keys::needed_as;
use super::names;
use super::solid;
use super::supports::SupportRange;
use crate::case::problem::Problem;
use crate::case::section::Section;
use crate::material::Role;
use panelwright_mesh::Outline;
use panelwright_solver::scene::{Attachments, Bar, FactorRange, Hang, Patch, PlateSection, PointMass};

/// Loss factor of a spring in figures that gives none (common practice, no source).
const USUAL_LOSS: f64 = 0.05;

/// The bare panel, as far as it is known.
pub struct Bare<'a> {
    /// Its outline.
    pub outline: &'a Outline,
    /// Its cross-section.
    pub section: &'a PlateSection,
}

/// Everything fixed to the panel, and the spread of the hangs; `None` if something could not be read.
pub fn build(
    case: &Section,
    bare: &Bare,
    problems: &mut Vec<Problem>,
) -> Option<(Attachments, SupportRange)> {
    let mut spread = SupportRange::default();
    let hangs = each(case, "hang", problems, |s, name, problems| hang(s, name, bare, &mut spread, problems));
    let masses = each(case, "mass", problems, |s, name, problems| mass(s, name, bare, problems));
    let patches = each(case, "patch", problems, |s, name, problems| patch(s, name, bare, problems));
    let bars = each(case, "bar", problems, |s, name, problems| bar(s, name, bare, problems));
    let attachments = Attachments { masses: masses?, hangs: hangs?, patches: patches?, bars: bars? };
    heavy(case, bare, &attachments, problems);
    Some((attachments, spread))
}

/// All tables headed `[[noun]]`, each with its name.
fn each<T>(
    case: &Section,
    noun: &str,
    problems: &mut Vec<Problem>,
    mut one: impl FnMut(&Section, String, &mut Vec<Problem>) -> Option<T>,
) -> Option<Vec<T>> {
    let sections = case.tables(noun)?;
    let names = names(sections, noun, problems);
    // All are read before any can fail, so that every problem is shown.
    let all: Vec<_> = sections.iter().zip(names).map(|(s, name)| one(s, name, problems)).collect();
    all.into_iter().collect()
}

fn hang(
    section: &Section,
    name: String,
    bare: &Bare,
    spread: &mut SupportRange,
    problems: &mut Vec<Problem>,
) -> Option<Hang> {
    let diameter = section.number("diameter")?;
    let position = place(section, "position", (&name, 0.5 * diameter), bare.outline, problems);
    let typical = match section.mentions("kind") {
        true => Some(solid::listed(section, "kind", &[Role::Hanger], problems)?),
        false => None,
    };
    let loss = typical.and_then(|m| m.typical("loss_factor")).unwrap_or(USUAL_LOSS);
    let stiffness = match (section.mentions("stiffness"), typical.and_then(|m| m.figure("stiffness"))) {
        (false, Some(figure)) => {
            let (low, high) = (figure.range.0 / figure.typical, figure.range.1 / figure.typical);
            spread.widen(FactorRange { low, high });
            Some(figure.typical)
        }
        _ => {
            spread.own();
            needed_as(section, "stiffness", "\"30 N/m\", or kind = \"cord\"", problems)
        }
    };
    Some(Hang {
        name,
        position: position?,
        stiffness: stiffness?,
        loss_factor: section.number("loss_factor").unwrap_or(loss),
        diameter,
    })
}

fn mass(section: &Section, name: String, bare: &Bare, problems: &mut Vec<Problem>) -> Option<PointMass> {
    let diameter = section.number("diameter")?;
    let position = place(section, "position", (&name, 0.5 * diameter), bare.outline, problems)?;
    Some(PointMass { name, position, mass: section.number("mass")?, diameter })
}

fn patch(section: &Section, name: String, bare: &Bare, problems: &mut Vec<Problem>) -> Option<Patch> {
    let corner = place(section, "corner", (&name, 0.0), bare.outline, problems);
    let sheet = solid::find(section, "sheet", &[Role::Damping, Role::Sheet], problems);
    let size = [section.number("width")?, section.number("height")?];
    let (corner, sheet, thickness) = (corner?, sheet?, section.number("thickness")?);
    let far = [corner[0] + size[0], corner[1] + size[1]];
    if [far, [far[0], corner[1]], [corner[0], far[1]]].iter().any(|p| !bare.outline.contains(*p)) {
        let problem =
            Problem::error(section.place("width"), format!("\"{name}\" reaches over the panel's edge"));
        let label = format!(
            "its upper right corner is at {}, {}",
            super::millimetres(far[0]),
            super::millimetres(far[1])
        );
        problems.push(problem.because(label).instead("make it smaller or move its corner"));
        return None;
    }
    let solid = &sheet.solid;
    let modulus = (solid.along * solid.across).sqrt() / solid.poisson_margin();
    Some(Patch {
        name,
        corner,
        size,
        surface_mass: solid.density * thickness,
        stiffness: patch_stiffness(modulus, thickness, bare.section.thickness),
        loss_factor: section.number("loss_factor").unwrap_or_else(|| solid.loss.at(1000.0)),
    })
}

/// Bending stiffness [N·m] of a layer of plane-stress modulus Q and thickness t on a panel of thickness h, about the panel's middle plane:
/// `Q ((h/2 + t)³ − (h/2)³) / 3` (J. N. Reddy, 2004, § 3.3; the neutral plane is taken to stay).
fn patch_stiffness(modulus: f64, thickness: f64, panel: f64) -> f64 {
    let inner = 0.5 * panel;
    modulus * ((inner + thickness).powi(3) - inner.powi(3)) / 3.0
}

fn bar(section: &Section, name: String, bare: &Bare, problems: &mut Vec<Problem>) -> Option<Bar> {
    let mut end = |key: &str| place(section, key, (&name, 0.0), bare.outline, problems);
    let (from, to) = (end("from"), end("to"));
    let material = solid::find(section, "material", &[Role::Sheet], problems);
    let (width, height) = (section.number("width")?, section.number("height")?);
    let (from, to, material) = (from?, to?, material?);
    if (to[0] - from[0]).hypot(to[1] - from[1]) < 1e-3 {
        let problem = Problem::error(section.place("to"), format!("\"{name}\" has no length"));
        problems.push(problem.because("both ends are at the same place").instead("move one of its ends"));
        return None;
    }
    if let Some(gap) = gap_under([from, to], bare) {
        let message = format!("\"{name}\" crosses a place where there is no panel");
        let label = format!("none at {}, {}", super::millimetres(gap[0]), super::millimetres(gap[1]));
        let problem = Problem::error(section.place("to"), message).because(label);
        problems.push(problem.instead(
            "move it, or make two bars of it that end at the gap: it is glued on along its whole length",
        ));
        return None;
    }
    let solid = &material.solid;
    Some(Bar {
        name,
        ends: [from, to],
        line_mass: solid.density * width * height,
        stiffness: solid.along * bar_moment(width, height, bare.section.thickness),
        torsional_stiffness: solid.shear * torsion_constant(width, height),
        loss_factor: section.number("loss_factor").unwrap_or_else(|| solid.loss.at(1000.0)),
    })
}

/// The first of many places along a bar that lies off the panel.
fn gap_under([from, to]: [[f64; 2]; 2], bare: &Bare) -> Option<[f64; 2]> {
    const STEPS: usize = 200;
    let at = |step: usize| {
        let share = step as f64 / STEPS as f64;
        [0, 1].map(|axis| from[axis] + share * (to[axis] - from[axis]))
    };
    (1..STEPS).map(at).find(|point| !bare.outline.contains(*point))
}

/// Second moment [m⁴] of a bar of width b and height h on a panel of thickness t, about the panel's middle plane: `b h³/12 + b h ((t + h)/2)²`.
fn bar_moment(width: f64, height: f64, panel: f64) -> f64 {
    width * height * (height * height / 12.0 + (0.5 * (panel + height)).powi(2))
}

/// Torsion constant [m⁴] of a rectangle: `a b³ (1/3 − 0.21 b/a (1 − b⁴/12a⁴))`, a ≥ b (W. C. Young, Roark's Formulas for Stress and Strain,
/// 6th ed. 1989, table 20, from memory; within 4 % of the exact series).
fn torsion_constant(width: f64, height: f64) -> f64 {
    let (a, b) = (width.max(height), width.min(height));
    let ratio = b / a;
    a * b.powi(3) * (1.0 / 3.0 - 0.21 * ratio * (1.0 - ratio.powi(4) / 12.0))
}

/// Glued-on masses that outweigh the panel are a slip of the pen more often than not.
fn heavy(case: &Section, bare: &Bare, attachments: &Attachments, problems: &mut Vec<Problem>) {
    let total: f64 = attachments.masses.iter().map(|m| m.mass).sum();
    let panel = bare.section.surface_mass * bare.outline.area();
    if total > panel {
        let place = case.tables("mass").and_then(<[Section]>::first).map_or(0..0, |s| s.place("mass"));
        let message =
            format!("the masses are heavier than the panel: {:.0} g on {:.0} g", total * 1e3, panel * 1e3);
        let problem = Problem::warning(place, message).because("is the unit right?");
        problems.push(problem.instead("check them; a panel that carries more than itself hardly moves"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    #[test]
    fn a_patch_without_panel_bends_about_its_face() {
        // E t³/3 about a face; with a panel under it Q times the difference of the cubes.
        assert_relative_eq!(patch_stiffness(3e9, 2e-3, 0.0), 3e9 * 8e-9 / 3.0, max_relative = 1e-12);
        assert_relative_eq!(patch_stiffness(3e9, 1e-3, 2e-3), 3e9 * 7e-9 / 3.0, max_relative = 1e-12);
    }

    #[test]
    fn a_bar_counts_about_the_middle_of_the_panel() {
        // Steiner: 10 mm × 6 mm on 4 mm: 180 + 60 · 25 mm⁴.
        assert_relative_eq!(bar_moment(10e-3, 6e-3, 4e-3), 1680e-12, max_relative = 1e-12);
    }

    #[test]
    fn torsion_agrees_with_saint_venants_series() {
        // a b³/3 (1 − 192/π⁵ · b/a · Σ tanh(nπa/2b)/n⁵), n odd (S. P. Timoshenko & J. N. Goodier, Theory of Elasticity, 3rd ed. 1970, § 109).
        for (a, b) in [(10.0, 10.0), (10.0, 5.0), (10.0, 1.0)] {
            let sum: f64 =
                (1..60).step_by(2).map(f64::from).map(|n| (n * PI * a / (2.0 * b)).tanh() / n.powi(5)).sum();
            let exact = a * f64::powi(b, 3) / 3.0 * (1.0 - 192.0 / PI.powi(5) * b / a * sum);
            assert_relative_eq!(torsion_constant(a, b), exact, max_relative = 5e-3);
            assert_eq!(torsion_constant(a, b), torsion_constant(b, a));
        }
    }
}
