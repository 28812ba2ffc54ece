//! The first variants with everything that is known of them.

use super::StudyInput;
use crate::report::figure;
use crate::report::format;
use crate::study::{Judged, Ranked, short_values};
use crate::terminal::number;
use maud::{Markup, html};

/// Variants in the table.
const LISTED: usize = 15;

/// The section.
pub fn section(input: &StudyInput) -> Markup {
    let (study, ranking) = (input.study, &input.findings.ranking);
    let first = ranking.best_first.first().map_or(0.0, |first| first.score);
    let body = html! {
        div.wide { table.numbers.close.listed {
            thead { tr {
                th { "No." } th { "Behind" }
                @for judged in &study.objectives { th { (heading(judged)) } }
                @for parameter in &study.parameters { th { (parameter.name) } }
                @if !study.limits.is_empty() { th { "Limits" } }
            } }
            tbody { @for (place, ranked) in ranking.best_first.iter().take(LISTED).enumerate() { (row(input, (place, ranked), first)) } }
        } }
        p.definition {
            "“Behind”: how far the weighted sum lies behind the first, in steps that people take notice of: 1 dB, a third of an octave, 10°, 10 % of the plane, 50 mm of wander, 0.1 mm of excursion, 1 Ω, 0.1 kg, 0.05 m², 10 of your "
            "currency. ↓: less is better, ↑: more is better, × the weight. *: beaten by no other in everything that counts. Of what can be ranked nothing breaks a limit: what does is not computed."
        }
        @if !input.bodies.is_empty() { (printable(input.bodies)) }
    };
    figure::section("best", "The best", &[], &[], body)
}

fn heading(judged: &Judged) -> Markup {
    let arrow = if judged.less_is_better() { "↓" } else { "↑" };
    let unit = if judged.unit().is_empty() { String::new() } else { format!(", {}", judged.unit()) };
    html! { (judged.name) (unit) " " (arrow) br; span.weight { "× " (format::significant(judged.weight, 2)) } }
}

fn row(input: &StudyInput, (place, ranked): (usize, &Ranked), first: f64) -> Markup {
    let mark = if ranked.on_the_front { " *" } else { "" };
    html! {
        tr data-place=(place) {
            th scope="row" { (ranked.number) (mark) }
            td { (format::fixed(ranked.score - first, 2)) }
            @for value in &ranked.values { td { (number(*value)) } }
            @for value in short_values(input.study, ranked.number) { td { (value) } }
            @if !input.study.limits.is_empty() { td { "kept" } }
        }
    }
}

fn printable(bodies: &[String]) -> Markup {
    html! {
        p { "Surrounds of the first, to be printed (STL, mm): "
            @for (i, name) in bodies.iter().enumerate() { @if i > 0 { ", " } a href=(name) { (name) } } "." }
    }
}
