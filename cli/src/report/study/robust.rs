//! The best when they are built a little off.

use super::StudyInput;
use crate::report::figure;
use crate::report::format;
use crate::study::{Expected, RobustRanking, RobustVariant, robust_verdict};
use crate::terminal::number;
use maud::{Markup, html};

/// The section; nothing without neighbours.
pub fn section(input: &StudyInput) -> Markup {
    let Some(robust) = &input.findings.robust else { return html! {} };
    let objectives = &input.study.objectives;
    let body = html! {
        @for sentence in robust_verdict(robust) { p { (sentence) } }
        div.wide { table.numbers.close.listed {
            thead {
                tr { th rowspan="2" { "No." } th colspan="3" { "Place" } th colspan="3" { "Score behind the first" } @for judged in objectives { th colspan="2" { (judged.name) @if !judged.unit().is_empty() { ", " (judged.unit()) } } } }
                tr { th { "as drawn" } th { "mean" } th { "bad end" } th { "as drawn" } th { "mean" } th { "bad end" } @for _ in objectives { th { "mean" } th { "bad end" } } }
            }
            tbody { @for (index, variant) in robust.by_mean.iter().enumerate() { (row(robust, index, variant)) } }
        } }
        p.definition {
            "Every varied value with a tolerance is off by up to that much, evenly between both ends, and the panel as the case’s own [spread] says if it has one; " (robust.neighbours)
            " ways to be off, the same for every variant. “Bad end”: one way in ten is worse (90th percentile). A way that cannot be built or breaks a limit counts as worse than any other: the mean is then blank."
        }
    };
    figure::section("robust", "Built a little off", &[], &[], body)
}

fn row(robust: &RobustRanking, index: usize, variant: &RobustVariant) -> Markup {
    let [nominal, mean, bad] = robust.winners();
    let scores = [
        variant.nominal_score - nominal.nominal_score,
        variant.score.mean - mean.score.mean,
        variant.score.bad_end - bad.score.bad_end,
    ];
    let places = [variant.nominal_place, index + 1, robust.bad_end_place(index)];
    html! {
        tr data-place=(variant.nominal_place - 1) {
            th scope="row" { (variant.number) }
            @for place in places { td { (place) } }
            @for score in scores { td { (format::fixed(score, 2)) } }
            @for Expected { mean, bad_end } in &variant.objectives { td { (number(*mean)) } td { (number(*bad_end)) } }
        }
    }
}
