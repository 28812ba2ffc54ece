//! A driver with a surround, shaded, sound or not, with what is wrong marked.

use super::colour::{self, OkLab};
use super::sketch::{Drawn, mark};
use super::solid::{Facet, View};
use super::{path, place};
use crate::case::BodySketch;
use crate::wrap::wrap;
use maud::{PreEscaped, html};
use panelwright_solver::driver::{SURROUND, assembly::DIAPHRAGM};

/// Width of the body on paper, or its height where that is larger, in user units.
const LONG: f64 = 460.0;
const MARGIN: f64 = 90.0;
/// Where the words begin.
const LEFT: f64 = 24.0;
const LINE: f64 = 19.0;
/// Half the side of the piece of panel that is drawn, over the body's extent across the axis.
const PANEL: f64 = 1.35;

/// The colour of a patch.
pub fn tint(patch: u16) -> OkLab {
    match patch {
        DIAPHRAGM => colour::categorical(1),
        SURROUND => colour::categorical(4),
        _ => colour::diverging(0.5),
    }
}

/// The body obliquely from the listener's right and from above; faults ringed and labelled with their places in mm, loose sides in red.
pub fn body(sketch: &BodySketch) -> Drawn {
    let view = View::oblique();
    let facets = view.both_sides(&sketch.surface);
    let panel = panel(sketch);
    let outer = panel.iter().flatten().chain(&sketch.marks).map(|&corner| view.onto_paper(corner));
    let paper = Paper::around(facets.iter().flat_map(|facet| facet.corners).chain(outer));
    let words = words(sketch);
    let top = LINE * (words.len() as f64 + 2.0);
    let [behind, before] = divided(sketch, &facets);
    let on_paper = |point: [f64; 3]| paper.at(view.onto_paper(point));
    let drawing = html! {
        text x=(LEFT) y=(place(1.5 * LINE)) font-weight="bold" fill="#1d2430" { (sketch.name) }
        @for (number, line) in words.iter().enumerate() {
            text x=(LEFT) y=(place((2.7 + number as f64) * LINE)) fill=(if sketch.fault.is_some() { "#a02c20" } else { "#5a6472" }) { (line) }
        }
        g transform={ "translate(0 " (place(top)) ")" } stroke-linejoin="round" {
            (PreEscaped(shaded(sketch, &behind, &paper)))
            @if let Some(corners) = panel { path fill="#e8e2d6" fill-opacity=".92" stroke="#b9b4aa" d={ (path(corners.map(on_paper))) "Z" } {} }
            (PreEscaped(shaded(sketch, &before, &paper)))
            @if !sketch.sides.is_empty() {
                path fill="none" stroke="#d62f1f" stroke-width="2.5" stroke-linecap="round"
                    d=(sketch.sides.iter().map(|ends| path(ends.map(on_paper))).collect::<String>()) {}
            }
            @for &at in &sketch.marks { (mark(on_paper(at), &label(at))) }
        }
    };
    Drawn { drawing, width: paper.width + 130.0, height: top + paper.height }
}

/// What is wrong, else that nothing is.
fn words(sketch: &BodySketch) -> Vec<String> {
    match &sketch.fault {
        Some(fault) => wrap(fault, "", ""),
        None => vec!["sound".into()],
    }
}

fn label(at: [f64; 3]) -> String {
    let [x, y, z] = at.map(|metres| 1e3 * metres + 0.0);
    format!("({x:.1}, {y:.1}, {z:.1}) mm")
}

/// Corners of a piece of the panel's front or the plane behind the body.
fn panel(sketch: &BodySketch) -> Option<[[f64; 3]; 4]> {
    let z = sketch.behind?;
    let reach =
        sketch.surface.points.iter().map(|point| point.x.abs().max(point.y.abs())).fold(0.0, f64::max);
    let side = PANEL * reach;
    Some([[-side, -side, z], [side, -side, z], [side, side, z], [-side, side, z]])
}

/// Facets wholly behind the panel's front, and the rest.
fn divided<'f>(sketch: &BodySketch, facets: &'f [Facet]) -> [Vec<&'f Facet>; 2] {
    let behind = |facet: &&Facet| {
        let front = sketch.behind.unwrap_or(f64::NEG_INFINITY);
        sketch.surface.corners(facet.triangle).iter().all(|corner| corner.z < front)
    };
    let (behind, before) = facets.iter().partition(behind);
    [behind, before]
}

/// Written by hand: there are thousands of them.
fn shaded(sketch: &BodySketch, facets: &[&Facet], paper: &Paper) -> String {
    let one = |facet: &&Facet| {
        let colour = tint(sketch.surface.patches[facet.triangle]).lit(facet.brightness).hex();
        let outline = path(facet.corners.map(|corner| paper.at(corner)));
        format!("<path fill=\"{colour}\" stroke=\"{colour}\" stroke-width=\".6\" d=\"{outline}Z\"/>")
    };
    facets.iter().map(one).collect()
}

/// Where places lie on paper.
struct Paper {
    low: f64,
    high: f64,
    scale: f64,
    width: f64,
    height: f64,
}

impl Paper {
    fn around(points: impl Iterator<Item = (f64, f64)>) -> Self {
        let start = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
        let [left, right, low, high] =
            points.fold(start, |[a, b, c, d], (x, y)| [a.min(x), b.max(x), c.min(y), d.max(y)]);
        let (across, upright) = ((right - left).max(0.0), (high - low).max(0.0));
        let scale = LONG / across.max(upright).max(1e-9);
        let [width, height] = [across, upright].map(|extent| extent * scale + 2.0 * MARGIN);
        Self { low: left, high, scale, width, height: height - MARGIN }
    }

    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (MARGIN + (x - self.low) * self.scale, 0.4 * MARGIN + (self.high - y) * self.scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use panelwright_mesh::Surface;

    /// One triangle that looks forwards and one that looks backwards.
    fn sketch(fault: Option<&str>, marks: Vec<[f64; 3]>) -> String {
        let points: Vec<[f64; 3]> = vec![[0.0, 0.0, 0.0], [0.1, 0.0, 0.0], [0.0, 0.1, 0.0], [0.0, 0.0, -0.1]];
        let surface = Surface {
            points: points.iter().map(|p| (*p).into()).collect(),
            triangles: vec![[0, 1, 2], [0, 3, 1]],
            patches: vec![DIAPHRAGM, SURROUND],
        };
        let sides = vec![[[0.0, 0.0, 0.0], [0.0, 0.1, 0.0]]];
        let fault = fault.map(str::to_owned);
        let sketch =
            BodySketch { name: "a <part>".into(), surface, marks, sides, fault, behind: Some(-0.05) };
        body(&sketch).drawing.into_string()
    }

    #[test]
    fn faults_are_ringed_named_and_placed() {
        let drawn = sketch(Some("it is open"), vec![[0.0, 0.05, -0.0]]);
        assert_eq!(drawn.matches("<circle").count(), 1);
        for words in ["a &lt;part&gt;", "it is open", "(0.0, 50.0, 0.0) mm", "stroke=\"#d62f1f\""] {
            assert!(drawn.contains(words), "{words}: {drawn}");
        }
        assert!(sketch(None, vec![]).contains(">sound<"));
    }

    #[test]
    fn the_insides_of_open_surfaces_are_drawn_dark() {
        let drawn = sketch(None, vec![]);
        let bright = |patch, brightness| tint(patch).lit(brightness).hex();
        assert!(drawn.contains(&bright(SURROUND, 0.35)), "{drawn}");
        assert!(!drawn.contains(&bright(DIAPHRAGM, 0.35)));
    }

    #[test]
    fn patches_have_their_own_tints() {
        assert!(tint(DIAPHRAGM) != tint(SURROUND) && tint(SURROUND) != tint(0));
    }
}
