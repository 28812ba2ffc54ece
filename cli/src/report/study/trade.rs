//! What is traded for what: the objectives that count most against each other, and each against what drives it.

use super::{StudyInput, axis};
use crate::report::chart::points::Points;
use crate::report::figure;
use crate::study::Aspect;
use maud::{Markup, html};

/// The section.
pub fn section(input: &StudyInput) -> Markup {
    let findings = input.findings;
    let body = html! {
        p { "One point for each variant. " @if !findings.pairs.is_empty() { "Ringed and joined: those that no other beats in both at once. " } "Large points: the first three, as above." }
        @if !findings.pairs.is_empty() {
            h3 { "What counts most, against each other" }
            div.duels { @for pair in &findings.pairs { (picture(input, pair.aspects, &pair.front)) } }
        }
        @if !findings.drivers.is_empty() {
            h3 { "Each against the value that explains most of it" }
            div.duels { @for &pair in &findings.drivers { (picture(input, pair, &[])) } }
        }
    };
    figure::section("trade", "What for what", &[], &[], body)
}

fn picture(input: &StudyInput, [x, y]: [usize; 2], front: &[usize]) -> Markup {
    let aspects = &input.findings.aspects;
    let best: Vec<(usize, String)> = (0..input.best()).map(|place| (place, format!("ink{place}"))).collect();
    let points = Points { x: (axis(&aspects[x]), x), y: (axis(&aspects[y]), y), front, best: &best };
    let title = format!("{} over {}", aspects[y].name, aspects[x].name);
    html! {
        figure {
            h4 { (title) }
            output.readout aria-live="polite" {}
            (points.draw(&title))
            figcaption { (better(&aspects[x], "to the left", "to the right")) (better(&aspects[y], "down", "up")) }
        }
    }
}

/// Where the good ones lie along an axis.
fn better(aspect: &Aspect, less: &str, more: &str) -> Markup {
    html! {
        @if !aspect.is_varied() {
            @let (word, place) = if aspect.less_is_better() { ("Less", less) } else { ("More", more) };
            (word) " " (aspect.name) " is better: " (place) ". "
        }
    }
}
