//! The frame around a drawing: heading, controls, readout, caption; and the frame around a section with its warnings.

use super::format;
use maud::{Markup, html};
use panelwright_solver::Warning;

/// A drawing with everything that belongs to it.
pub struct Figure {
    /// Heading.
    pub title: String,
    /// Controls above the drawing.
    pub controls: Markup,
    /// Names of the curves.
    pub legend: Markup,
    /// The drawing.
    pub drawing: Markup,
    /// What is shown, how it is defined, how to read it.
    pub caption: Markup,
    /// Key of the map data the script paints, and the group of controls that picks the band.
    pub map: Option<(String, &'static str)>,
}

impl Figure {
    /// The figure; values under the pointer appear in the line above the drawing.
    pub fn render(&self) -> Markup {
        html! {
            figure data-map=[self.map.as_ref().map(|(key, _)| key)] data-band=[self.map.as_ref().map(|(_, group)| group)] {
                h3 { (self.title) }
                (self.controls)
                (self.legend)
                output.readout aria-live="polite" {}
                (self.drawing)
                figcaption { (self.caption) }
            }
        }
    }
}

/// A section of the page with the warnings whose key is one of `concerns`.
pub fn section(id: &str, title: &str, warnings: &[Warning], concerns: &[&str], body: Markup) -> Markup {
    html! {
        section id=(id) {
            h2 { (title) }
            @for warning in warnings.iter().filter(|w| concerns.contains(&w.concerns)) { (note(&warning.message)) }
            (body)
        }
    }
}

/// A warning.
pub fn note(message: &str) -> Markup {
    html! { p.warning role="note" { strong { "Take care. " } (format::bound(message)) } }
}
