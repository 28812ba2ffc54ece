//! `[panel.edges]` → how the edges are held.

use super::keys::{needed, needed_as};
use super::solid;
use super::supports::SupportRange;
use crate::case::problem::Problem;
use crate::case::schema::EDGES;
use crate::case::section::Section;
use crate::material::Role;
use panelwright_mesh::Outline;
use panelwright_solver::scene::{EdgeCondition, Edges, FactorRange, Stretch, Strip};

/// Sides of a rectangle.
const SIDES: [&str; 4] = ["left", "bottom", "right", "top"];
/// Loss factor of a strip in figures that gives none (common practice, no source).
const USUAL_LOSS: f64 = 0.1;

/// The edges and the spread of their strips' stiffness; `None` if something could not be read.
pub fn build(
    section: Option<&Section>,
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<(Edges, SupportRange)> {
    let free = Section::new(&EDGES, 0..0);
    let section = section.unwrap_or(&free);
    let mut spread = SupportRange::default();
    let stretches: Vec<_> =
        section.tables("stretch")?.iter().map(|s| stretch(s, outline, &mut spread, problems)).collect();
    let all = held(section, "all", &mut spread, problems);
    let mut side = |key: &str| match section.mentions(key) {
        true => held(section, key, &mut spread, problems),
        false => all,
    };
    let sides = SIDES.map(&mut side);
    let mut edges = match *outline {
        Outline::Rectangle { width, height } => {
            let [left, bottom, right, top] = sides;
            Edges::of_rectangle(width, height, [left?, bottom?, right?, top?])
        }
        _ => {
            sides_without_name(section, problems)?;
            round_the_outside(outline, all?)
        }
    };
    let mut stretches = stretches.into_iter().collect::<Option<Vec<_>>>()?;
    stretches.append(&mut edges.stretches);
    Some((Edges { stretches, ..edges }, spread))
}

/// The outer contour held in one way; nobody clamps a hole.
fn round_the_outside(outline: &Outline, condition: EdgeCondition) -> Edges {
    if outline.contours() == 1 || condition == EdgeCondition::Free {
        return Edges::all(condition);
    }
    let length = outline.curves()[0].length();
    let stretch = Stretch { contour: 0, from: 0.0, to: length, condition };
    Edges { elsewhere: EdgeCondition::Free, stretches: vec![stretch] }
}

/// Only a rectangle has a left side.
fn sides_without_name(edges: &Section, problems: &mut Vec<Problem>) -> Option<()> {
    let Some(side) = SIDES.into_iter().find(|side| edges.mentions(side)) else { return Some(()) };
    let problem = Problem::error(edges.place(side), format!("this panel has no {side} side"));
    problems.push(
        problem
            .because("only a rectangle without cut-outs has")
            .instead("say how the whole edge is held with `all`, or a part of it with [[panel.edges.stretch]] and its contour"),
    );
    None
}

/// The condition behind `key`: a word or a strip.
fn held(
    section: &Section,
    key: &str,
    spread: &mut SupportRange,
    problems: &mut Vec<Problem>,
) -> Option<EdgeCondition> {
    if let Some(table) = section.table(key) {
        return strip(table, spread, problems).map(EdgeCondition::Strip);
    }
    match section.text(key)? {
        "clamped" => Some(EdgeCondition::Clamped),
        "simply supported" => Some(EdgeCondition::SimplySupported),
        _ => Some(EdgeCondition::Free),
    }
}

/// A tape by its name, or a strip in figures.
fn strip(table: &Section, spread: &mut SupportRange, problems: &mut Vec<Problem>) -> Option<Strip> {
    let number = |key: &str| table.number(key);
    if !table.mentions("tape") {
        let stiffness = needed_as(table, "stiffness", "\"20 kN/m²\", or tape = \"PU foam tape\"", problems)?;
        spread.own();
        return Some(Strip {
            stiffness,
            rotational: number("rotational_stiffness").unwrap_or(0.0),
            loss_factor: number("loss_factor").unwrap_or(USUAL_LOSS),
        });
    }
    let tape = solid::listed(table, "tape", &[Role::Tape], problems);
    let width = needed(table, "width", problems);
    let thickness = needed(table, "thickness", problems);
    let (tape, width, thickness) = (tape?, width?, thickness?);
    let modulus = tape.figure("youngs_modulus")?;
    spread.widen(FactorRange {
        low: modulus.range.0 / modulus.typical,
        high: modulus.range.1 / modulus.typical,
    });
    let [stiffness, rotational] = tape_stiffness(modulus.typical, width, thickness);
    Some(Strip {
        stiffness: number("stiffness").unwrap_or(stiffness),
        rotational: number("rotational_stiffness").unwrap_or(rotational),
        loss_factor: number("loss_factor").or(tape.typical("loss_factor"))?,
    })
}

/// Stiffness against deflection `E b / t` [N/m²] and against turning `E b³ / 12 t` [N] of a tape of modulus E, width b, thickness t:
/// uniform compression and compression that grows linearly across the width. A foam that is free to yield into its pores has no shape factor.
fn tape_stiffness(modulus: f64, width: f64, thickness: f64) -> [f64; 2] {
    [modulus * width / thickness, modulus * width.powi(3) / (12.0 * thickness)]
}

/// A part of an edge, as lengths along its contour.
fn stretch(
    section: &Section,
    outline: &Outline,
    spread: &mut SupportRange,
    problems: &mut Vec<Problem>,
) -> Option<Stretch> {
    let condition = held(section, "held", spread, problems);
    let (from, to) = (section.number("from")?, section.number("to")?);
    if from >= to {
        let problem = Problem::error(section.place("to"), "the stretch has no length");
        problems.push(problem.because("not beyond `from`").instead("`to` must be larger than `from`"));
        return None;
    }
    let (contour, from, to) = match section.text("side") {
        Some(side) => on_side(section, side, [from, to], outline, problems)?,
        None => on_contour(section, [from, to], outline, problems)?,
    };
    Some(Stretch { contour, from, to, condition: condition? })
}

/// Sides of a rectangle run counter-clockwise from the lower left; the file counts from the left and from the bottom.
fn on_side(
    section: &Section,
    side: &str,
    [from, to]: [f64; 2],
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<(usize, f64, f64)> {
    let Outline::Rectangle { width, height } = *outline else {
        let problem = Problem::error(section.place("side"), format!("this panel has no {side} side"));
        problems.push(
            problem.because("only a rectangle without cut-outs has").instead("give the `contour` instead"),
        );
        return None;
    };
    let length = if matches!(side, "left" | "right") { height } else { width };
    reaches(section, to, length, &format!("the {side} side"), problems)?;
    let (from, to) = match side {
        "bottom" => (from, to),
        "right" => (width + from, width + to),
        "top" => (2.0 * width + height - to, 2.0 * width + height - from),
        _ => (2.0 * (width + height) - to, 2.0 * (width + height) - from),
    };
    Some((0, from, to))
}

fn on_contour(
    section: &Section,
    [from, to]: [f64; 2],
    outline: &Outline,
    problems: &mut Vec<Problem>,
) -> Option<(usize, f64, f64)> {
    let contour = section.number("contour")? as usize;
    let curves = outline.curves();
    let Some(curve) = curves.get(contour) else {
        let message = format!("the panel has no contour {contour}");
        let problem = Problem::error(section.place("contour"), message);
        let label = format!("it has {}", curves.len());
        problems.push(problem.because(label).instead("0 is the outer one; cut-outs count from 1"));
        return None;
    };
    let length = curve.length();
    reaches(section, to, length, "the contour", problems)?;
    Some((contour, from, to))
}

fn reaches(section: &Section, to: f64, length: f64, what: &str, problems: &mut Vec<Problem>) -> Option<()> {
    if to <= length * (1.0 + 1e-6) {
        return Some(());
    }
    let problem = Problem::error(section.place("to"), format!("the stretch ends beyond {what}"));
    let label = format!("{what} is {} long", super::millimetres(length));
    problems.push(problem.because(label).instead("end it there, or before"));
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tape_is_as_stiff_as_its_foam() {
        // By hand: 0.15 MPa · 9 mm / 3 mm = 450 kN/m²; 0.15e6 · 729e-9 / 0.036 = 3.0375 N.
        let [stiffness, rotational] = tape_stiffness(0.15e6, 9e-3, 3e-3);
        approx::assert_relative_eq!(stiffness, 450e3, max_relative = 1e-12);
        approx::assert_relative_eq!(rotational, 3.0375, max_relative = 1e-12);
    }
}
