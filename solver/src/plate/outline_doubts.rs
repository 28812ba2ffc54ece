//! Doubts about the modes of outlines other than a rectangle's.

use super::basis::is_product;
use super::free_form::{FreeFormPlan, Region};
use super::{Accuracy, PlateModel};
use crate::Warning;
use crate::scene::{EdgeCondition, Panel};
use crate::words::{listed, millimetres, trimmed};
use panelwright_mesh::{Contour, Fault, RimPoint};
use std::f64::consts::TAU;

/// Places named in one sentence at most.
const MOST_NAMED: usize = 4;

/// Where the modes of `panel` up to `up_to` [Hz] are less sure than elsewhere: at necks and slits narrower than half the shortest wave
/// of the basis, at held re-entrant corners and at held cut-outs. Nothing for a rectangle whose sides are each held in one way.
///
/// The figures named for held corners are measured: a clamped L of three squares, whose lowest mode came out 4 to 11 % high.
pub fn outline_doubts(panel: &Panel, up_to: f64) -> Vec<Warning> {
    if is_product(panel) {
        return vec![];
    }
    let panel = PlateModel::of(&panel.section, up_to).applied_to(panel, up_to);
    let region = Region::of(&panel);
    let shortest = FreeFormPlan::new(&region, TAU * up_to, Accuracy::PREDICTION).half_wave();
    [necks(&panel, shortest), slits(&panel, shortest), held_corners(&region), held_cutouts(&panel, &region)]
        .into_iter()
        .flatten()
        .collect()
}

fn necks(panel: &Panel, shortest: f64) -> Option<Warning> {
    let places = panel.outline.thin_places(shortest);
    let found = places.iter().filter_map(|fault| match fault {
        Fault::Thin { at, width, .. } => Some(format!("{} ({} wide)", place(*at), millimetres(*width))),
        _ => None,
    });
    let found: Vec<String> = found.collect();
    (!found.is_empty()).then(|| {
        let message = format!(
            "Little material is left {}, less than the {} that the modes can follow. The stiffness of such a neck is rough: \
             resonances that bend it can be off by several per cent, the others hold.",
            named(&found),
            millimetres(shortest)
        );
        Warning::new("modes", message)
    })
}

/// Cut-outs longer, but not wider, than the basis can follow. Small round holes do no harm: what they miss is local.
fn slits(panel: &Panel, shortest: f64) -> Option<Warning> {
    let curves = panel.outline.curves();
    let narrow = curves.iter().skip(1).filter_map(|contour| {
        let [length, width] = length_and_width(contour);
        (length > shortest && width < shortest)
            .then(|| format!("{} ({} wide)", place(middle(contour)), millimetres(width)))
    });
    let found: Vec<String> = narrow.collect();
    (!found.is_empty()).then(|| {
        let message = format!(
            "A cut-out {} is narrower than the {} that the modes can follow: its two sides move almost as if they were joined, so \
             resonances it should lower come out too high.",
            named(&found),
            millimetres(shortest)
        );
        Warning::new("modes", message)
    })
}

fn held_corners(region: &Region) -> Option<Warning> {
    let found: Vec<String> = re_entrant_corners(region).into_iter().map(place).collect();
    (!found.is_empty()).then(|| {
        let message = format!(
            "The rim is held at an inward corner {}. The plate bends very sharply there, more than the modes can follow: the lowest \
             resonances come out 5 to 10 % too high, those far above them a few per cent.",
            named(&found)
        );
        Warning::new("modes", message)
    })
}

fn held_cutouts(panel: &Panel, region: &Region) -> Option<Warning> {
    let curves = panel.outline.curves();
    let rim = coarse_rim(region);
    let held = |contour: &usize| rim.iter().any(|point| point.contour == *contour && is_held(region, point));
    let held = (1..curves.len()).filter(held);
    let found: Vec<String> = held.map(|contour| place(middle(&curves[contour]))).collect();
    (!found.is_empty()).then(|| {
        let message = format!(
            "The rim of a cut-out is held {}. Take the lowest resonances there as up to 10 % too high, unless the cut-out is large.",
            named(&found)
        );
        Warning::new("modes", message)
    })
}

/// Corners at which the outline turns inwards by more than 10°, held on either side.
fn re_entrant_corners(region: &Region) -> Vec<[f64; 2]> {
    const TURN: f64 = -0.17;
    let rim = coarse_rim(region);
    let around = rim.chunk_by(|a, b| a.contour == b.contour).flat_map(|contour| {
        let next = contour.iter().cycle().skip(1);
        contour.iter().zip(next).filter(|(a, _)| a.contour == 0)
    });
    around
        .filter(|(a, b)| a.normal[0] * b.normal[1] - a.normal[1] * b.normal[0] < TURN)
        .filter(|(a, b)| is_held(region, a) || is_held(region, b))
        .map(|(a, b)| [0, 1].map(|axis| 0.5 * (a.position[axis] + b.position[axis])))
        .collect()
}

fn coarse_rim(region: &Region) -> Vec<RimPoint> {
    region.rim(0.02 * region.size[0].max(region.size[1]), 6)
}

fn is_held(region: &Region, point: &RimPoint) -> bool {
    matches!(region.condition(point), EdgeCondition::Clamped | EdgeCondition::SimplySupported)
}

/// Sides of the rectangle of the same area and perimeter; of a square for a disc, which has less perimeter than any.
fn length_and_width(contour: &Contour) -> [f64; 2] {
    let half = 0.5 * contour.length();
    let root = (half * half - 4.0 * contour.signed_area().abs()).max(0.0).sqrt();
    [0.5 * (half + root), 0.5 * (half - root)]
}

fn middle(contour: &Contour) -> [f64; 2] {
    let (low, high) = contour.bounds();
    [0, 1].map(|axis| 0.5 * (low[axis] + high[axis]))
}

fn place([x, y]: [f64; 2]) -> String {
    format!("at ({}, {}) mm", trimmed(1e3 * x, 0), trimmed(1e3 * y, 0))
}

fn named(places: &[String]) -> String {
    match places.len().checked_sub(MOST_NAMED) {
        None | Some(0) => listed(places),
        Some(more) => format!("{} and at {more} more places", places[..MOST_NAMED].join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::EdgeCondition::{Clamped, Free};
    use crate::scene::{Back, Edges, LossCurve, PlateSection};
    use panelwright_mesh::Outline;

    fn panel(outline: Outline, condition: EdgeCondition) -> Panel {
        let section = PlateSection {
            d11: 33.0,
            d12: 10.0,
            d22: 33.0,
            d66: 11.5,
            surface_mass: 2.6,
            thickness: 4e-3,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        };
        Panel { outline, section, edges: Edges::all(condition), back: Back::Open }
    }

    fn sheet_with(cutouts: Vec<Contour>) -> Outline {
        Outline::of_contours(Contour::rectangle([0.0, 0.0], 0.6, 0.4), cutouts).expect("sound")
    }

    fn messages(outline: Outline, condition: EdgeCondition, up_to: f64) -> Vec<String> {
        outline_doubts(&panel(outline, condition), up_to).into_iter().map(|doubt| doubt.message).collect()
    }

    #[test]
    fn a_slit_and_a_neck_are_named_with_place_and_width() {
        let slit = Contour::rectangle([0.2, 0.1], 0.2, 2e-3);
        let found = messages(sheet_with(vec![slit]), Free, 2e3);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("(300, 101) mm (2 mm wide)"), "{}", found[0]);
        let near = Contour::rectangle([0.2, 3e-3], 0.1, 0.1);
        let found = messages(sheet_with(vec![near]), Free, 2e3);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("(3 mm wide)"), "{}", found[0]);
    }

    #[test]
    fn a_round_hole_far_from_the_rim_is_no_doubt() {
        let holes = vec![Contour::ellipse([0.3, 0.2], 5e-3, 5e-3), Contour::ellipse([0.15, 0.2], 0.1, 0.1)];
        assert_eq!(messages(sheet_with(holes), Free, 2e3), Vec::<String>::new());
        let rectangle = Outline::Rectangle { width: 0.6, height: 0.4 };
        assert_eq!(messages(rectangle, Clamped, 2e3), Vec::<String>::new());
    }

    #[test]
    fn held_inward_corners_and_cutouts_are_named() {
        let corner = [[0.0, 0.0], [0.6, 0.0], [0.6, 0.2], [0.3, 0.2], [0.3, 0.4], [0.0, 0.4]];
        let ell = Outline::of_contours(Contour::polygon(&corner), vec![]).expect("sound");
        assert_eq!(messages(ell.clone(), Free, 2e3), Vec::<String>::new());
        let found = messages(ell, Clamped, 2e3);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("inward corner at (300, 200) mm"), "{}", found[0]);
        let hole = Contour::ellipse([0.3, 0.2], 0.1, 0.1);
        let found = messages(sheet_with(vec![hole]), Clamped, 2e3);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("cut-out is held at (300, 200) mm"), "{}", found[0]);
    }
}
