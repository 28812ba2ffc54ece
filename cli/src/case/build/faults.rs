//! Faults of an outline in a builder's words, with their coordinates.

use super::millimetres;
use super::outline::Draft;
use crate::case::problem::Problem;
use panelwright_mesh::{Fault, LARGEST, SHORTEST};
use std::ops::Range;

const PICTURE: &str = "`panelwright check CASE --picture FILE.svg` draws the outline with the place marked";

/// A fault as an error at the line it stems from.
pub fn explained(fault: &Fault, draft: &Draft) -> Problem {
    let (message, reason, help) = words(fault);
    Problem::error(span(fault, draft), message).because(reason).instead(help)
}

/// A thin place as a warning.
pub fn thin(fault: &Fault, narrowest: f64, draft: &Draft) -> Problem {
    let Fault::Thin { contours, at, width } = fault else { return explained(fault, draft) };
    let message = format!("only {} of material are left near {}", millimetres(*width), place(*at));
    let reason = format!("between {}", both(*contours));
    let help = format!(
        "a neck narrower than {}, three times the panel's thickness, is no plate: what the computation says of it is rough. {PICTURE}",
        millimetres(narrowest)
    );
    Problem::warning(span(fault, draft), message).because(reason).instead(help)
}

fn words(fault: &Fault) -> (String, String, String) {
    let once_round = || format!("give the points in order, once round, without crossing. {PICTURE}");
    match *fault {
        Fault::Empty { contour } => {
            (format!("{} has no points", name(contour)), "empty".into(), once_round())
        }
        Fault::NotFinite { contour, piece } => (
            format!("piece {} of {} has a coordinate beyond {LARGEST} m", piece + 1, name(contour)),
            "no panel is as large".into(),
            "check the units".into(),
        ),
        Fault::TooMany { count, most } => (
            format!("the outline has {count} pieces"),
            format!("at most {most} can be used"),
            "simplify the path in the drawing program, or leave out points that lie on a straight line"
                .into(),
        ),
        Fault::Open { contour, from, to } => (
            format!("{} is not closed", name(contour)),
            format!("it stops at {} and goes on at {}", place(from), place(to)),
            format!("close the path. {PICTURE}"),
        ),
        Fault::NoLength { contour, piece, at } => (
            format!("point {} of {} is given twice", piece + 1, name(contour)),
            format!("the next point lies at {}, too", place(at)),
            format!("leave one of them out; points at least {} m apart are different", SHORTEST),
        ),
        Fault::NoArea { contour, at } => {
            (format!("{} encloses no area", name(contour)), format!("starts at {}", place(at)), once_round())
        }
        Fault::FoldsBack { contour, at } => (
            format!("{} turns back on itself at {}", name(contour), place(at)),
            "its two sides coincide here".into(),
            format!("leave out the point at the tip. {PICTURE}"),
        ),
        Fault::Crosses { contours, at } if contours[0] == contours[1] => (
            format!("{} crosses or touches itself at {}", name(contours[0]), place(at)),
            "this side is one of the two".into(),
            once_round(),
        ),
        Fault::Crosses { contours, at } => (
            format!("{} cross or touch at {}", both(contours), place(at)),
            "no material is left there".into(),
            format!(
                "make the cut-out smaller or move it; a recess that reaches the edge belongs into the outline. {PICTURE}"
            ),
        ),
        Fault::Outside { contour, at } => (
            format!("{} lies outside the panel", name(contour)),
            format!("a point of it is {}", place(at)),
            format!("move it onto the panel, or leave it out. {PICTURE}"),
        ),
        Fault::Within { contour, other, at } => (
            format!("{} lies within {}", name(contour), name(other)),
            format!("a point of it is {}", place(at)),
            "leave out the inner one: nothing is left there to cut".into(),
        ),
        Fault::Thin { contours, at, width } => (
            format!("only {} of material are left near {}", millimetres(width), place(at)),
            format!("between {}", both(contours)),
            PICTURE.into(),
        ),
    }
}

fn name(contour: usize) -> String {
    if contour == 0 { "the outline".into() } else { format!("cut-out {contour}") }
}

fn both([a, b]: [usize; 2]) -> String {
    if a == b {
        format!("two parts of {}", name(a))
    } else {
        format!("{} and {}", name(a.min(b)), name(a.max(b)))
    }
}

/// A point for messages.
fn place([x, y]: [f64; 2]) -> String {
    format!("({:.1}, {:.1}) mm", 1e3 * x, 1e3 * y)
}

/// The line it stems from: a point of the polygon if it can be told, else the contour.
fn span(fault: &Fault, draft: &Draft) -> Range<usize> {
    let contour = match *fault {
        Fault::TooMany { .. } => 0,
        Fault::Empty { contour }
        | Fault::NotFinite { contour, .. }
        | Fault::Open { contour, .. }
        | Fault::NoLength { contour, .. }
        | Fault::NoArea { contour, .. }
        | Fault::FoldsBack { contour, .. }
        | Fault::Outside { contour, .. }
        | Fault::Within { contour, .. } => contour,
        Fault::Crosses { contours, .. } | Fault::Thin { contours, .. } => contours[0].max(contours[1]),
    };
    let place = &draft.places[contour.min(draft.places.len() - 1)];
    let at = match fault {
        Fault::NoArea { .. } | Fault::Outside { .. } | Fault::Within { .. } => None,
        Fault::NotFinite { piece, .. } => {
            return place.points.get(*piece).map_or(place.span.clone(), |p| p.span.clone());
        }
        other => other.at(),
    };
    let side = at.and_then(|at| nearest_side(&draft.contours[contour], at));
    side.and_then(|side| place.points.get(side))
        .map_or_else(|| place.span.clone(), |point| point.span.clone())
}

/// The piece of a contour on which `at` lies most nearly.
fn nearest_side(contour: &panelwright_mesh::Contour, at: [f64; 2]) -> Option<usize> {
    let distance = |piece: &panelwright_mesh::Piece| {
        let (from, to) = (piece.from(), piece.to());
        let (d, p) = ([to[0] - from[0], to[1] - from[1]], [at[0] - from[0], at[1] - from[1]]);
        let square = d[0] * d[0] + d[1] * d[1];
        let share = if square > 0.0 { ((d[0] * p[0] + d[1] * p[1]) / square).clamp(0.0, 1.0) } else { 0.0 };
        (p[0] - share * d[0]).hypot(p[1] - share * d[1])
    };
    let distances = contour.pieces.iter().map(distance).enumerate();
    distances.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(side, _)| side)
}
