//! An outline by itself, as a drawing of its own: what `check --picture` writes.

use super::place;
use maud::{Markup, html};

/// Longer side on paper, in user units.
const LONG: f64 = 700.0;
/// Room around it for the coordinates.
const MARGIN: f64 = 90.0;

/// `contours` [m] to scale, each of the `marks` [m] ringed and labelled with its coordinates in mm.
pub fn sketch(contours: &[Vec<[f64; 2]>], marks: &[[f64; 2]]) -> Markup {
    let (low, high) = bounds(contours.iter().flatten().chain(marks));
    let size = [high[0] - low[0], high[1] - low[1]];
    let scale = LONG / size[0].max(size[1]).max(1e-9);
    let at = |[x, y]: [f64; 2]| (MARGIN + (x - low[0]) * scale, MARGIN + (high[1] - y) * scale);
    let (width, height) = (2.0 * MARGIN + size[0] * scale, 2.0 * MARGIN + size[1] * scale);
    let outline: String = contours.iter().map(|c| super::path(c.iter().map(|&p| at(p))) + "Z").collect();
    let size_text = format!("{:.1} × {:.1} mm", 1e3 * size[0], 1e3 * size[1]);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(place(width)) height=(place(height)) font-family="sans-serif" font-size="14" {
            rect width="100%" height="100%" fill="#ffffff" {}
            path d=(outline) fill="#e8e2d6" fill-rule="evenodd" stroke="#333333" stroke-width="1.5" stroke-linejoin="round" {}
            @for &mark in marks {
                @let (x, y) = at(mark);
                circle cx=(place(x)) cy=(place(y)) r="9" fill="none" stroke="#c0392b" stroke-width="2.5" {}
                text x=(place(x + 13.0)) y=(place(y - 9.0)) fill="#a02c20" stroke="#ffffff" stroke-width="3" paint-order="stroke" {
                    (format!("{:.1}, {:.1} mm", 1e3 * mark[0], 1e3 * mark[1]))
                }
            }
            text x=(place(MARGIN)) y=(place(height - 30.0)) fill="#333333" { (size_text) }
        }
    }
}

fn bounds<'p>(points: impl Iterator<Item = &'p [f64; 2]>) -> ([f64; 2], [f64; 2]) {
    points.fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), |(low, high), p| {
        ([0, 1].map(|k| low[k].min(p[k])), [0, 1].map(|k| high[k].max(p[k])))
    })
}
