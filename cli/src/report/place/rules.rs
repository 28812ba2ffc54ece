//! Places that builders pass on, against the best.

use super::PlaceInput;
use super::arrangements::table;
use crate::report::figure;
use maud::{Markup, html};
use panelwright_solver::place::{Arrangement, Rule, fraction};

/// The section.
pub fn section(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let best = found.counts.iter().find(|count| count.exciters == 1).and_then(|count| count.best.first());
    let cost = best.map_or(0.0, |best| best.cost);
    let rules = found.rules.iter().filter_map(named);
    let rows = rules.chain(best.map(|best| ("the best place".to_owned(), best)));
    let body = html! {
        p { "Fractions of the sides that circulate for panels driven in many modes, scored like any other place: one exciter alone, each rule at the best of its mirror images." }
        (table("Rules of thumb, by the search", cost, rows))
        p.definition { "Common practice, no source. All mirror images are in " code { "rules.csv" } "." }
    };
    figure::section("rules", "Rules of thumb", &[], &[], body)
}

fn named(rule: &Rule) -> Option<(String, &Arrangement)> {
    let [x, y] = rule.shares.map(fraction);
    rule.images.first().map(|image| (format!("{x} of the width, {y} of the height"), image))
}
