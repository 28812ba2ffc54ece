//! Drawings outside a page, one under the other on a sheet: what `check --picture` writes. Here the panel's outline by itself.

use super::place;
use maud::{Markup, html};

/// Longer side on paper, in user units.
const LONG: f64 = 700.0;
/// Room around it for the coordinates.
const MARGIN: f64 = 90.0;

/// Something drawn, and how large it is in user units.
pub struct Drawn {
    /// The drawing; its upper left corner is the origin.
    pub drawing: Markup,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

/// All drawings, one under the other.
pub fn sheet(drawings: Vec<Drawn>) -> Markup {
    let width = drawings.iter().map(|drawn| drawn.width).fold(0.0, f64::max);
    let height: f64 = drawings.iter().map(|drawn| drawn.height).sum();
    let tops =
        drawings.iter().scan(0.0, |below, drawn| Some(std::mem::replace(below, *below + drawn.height)));
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(place(width)) height=(place(height)) font-family="sans-serif" font-size="14" {
            rect width="100%" height="100%" fill="#ffffff" {}
            @for (drawn, top) in drawings.iter().zip(tops) { g transform={ "translate(0 " (place(top)) ")" } { (drawn.drawing) } }
        }
    }
}

/// A place on paper, ringed and labelled.
pub fn mark((x, y): (f64, f64), label: &str) -> Markup {
    html! {
        circle cx=(place(x)) cy=(place(y)) r="9" fill="none" stroke="#c0392b" stroke-width="2.5" {}
        text x=(place(x + 13.0)) y=(place(y - 9.0)) fill="#a02c20" stroke="#ffffff" stroke-width="3" paint-order="stroke" { (label) }
    }
}

/// `contours` [m] to scale, each of the `marks` [m] ringed and labelled with its coordinates in mm.
pub fn outline(contours: &[Vec<[f64; 2]>], marks: &[[f64; 2]]) -> Drawn {
    let (low, high) = bounds(contours.iter().flatten().chain(marks));
    let size = [high[0] - low[0], high[1] - low[1]];
    let scale = LONG / size[0].max(size[1]).max(1e-9);
    let at = |[x, y]: [f64; 2]| (MARGIN + (x - low[0]) * scale, MARGIN + (high[1] - y) * scale);
    let (width, height) = (2.0 * MARGIN + size[0] * scale, 2.0 * MARGIN + size[1] * scale);
    let outline: String = contours.iter().map(|c| super::path(c.iter().map(|&p| at(p))) + "Z").collect();
    let size_text = format!("{:.1} × {:.1} mm", 1e3 * size[0], 1e3 * size[1]);
    let label = |mark: &[f64; 2]| format!("{:.1}, {:.1} mm", 1e3 * mark[0], 1e3 * mark[1]);
    let drawing = html! {
        path d=(outline) fill="#e8e2d6" fill-rule="evenodd" stroke="#333333" stroke-width="1.5" stroke-linejoin="round" {}
        @for place in marks { (mark(at(*place), &label(place))) }
        text x=(place(MARGIN)) y=(place(height - 30.0)) fill="#333333" { (size_text) }
    };
    Drawn { drawing, width, height }
}

fn bounds<'p>(points: impl Iterator<Item = &'p [f64; 2]>) -> ([f64; 2], [f64; 2]) {
    points.fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), |(low, high), p| {
        ([0, 1].map(|k| low[k].min(p[k])), [0, 1].map(|k| high[k].max(p[k])))
    })
}
