//! Maps of a panel that is no rectangle are computed on the lattice of its bounding box and cut along its rim.

use super::path;
use maud::{Markup, html};
use panelwright_mesh::Outline;

/// All contours as one path, chords within `tolerance` [m]; `at` puts a point [m] on the paper.
pub fn contours(outline: &Outline, tolerance: f64, at: impl Fn([f64; 2]) -> (f64, f64)) -> String {
    let closed = |points: Vec<[f64; 2]>| path(points.into_iter().map(&at)) + "Z";
    outline.polylines(tolerance).into_iter().map(closed).collect()
}

/// The rim under the name `id`, for [`to`]; nothing for a rectangle, which fills its bounding box.
pub fn edge(id: &str, outline: &Outline, tolerance: f64, at: impl Fn([f64; 2]) -> (f64, f64)) -> Markup {
    html! {
        @if !is_rectangle(outline) {
            clipPath id=(id) { path clip-rule="evenodd" d=(contours(outline, tolerance, at)) {} }
        }
    }
}

/// The attribute `clip-path` of what is to be cut along the rim `id`.
pub fn to(id: &str, outline: &Outline) -> Option<String> {
    (!is_rectangle(outline)).then(|| format!("url(#{id})"))
}

/// True where a map fills the panel's bounding box.
pub fn is_rectangle(outline: &Outline) -> bool {
    matches!(outline, Outline::Rectangle { .. })
}
