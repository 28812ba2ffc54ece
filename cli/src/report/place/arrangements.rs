//! Tables of arrangements: the good ones that differ, and what more or fewer exciters do.

use super::PlaceInput;
use super::page::percent;
use crate::report::figure;
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::place::{Arrangement, Count, ExciterPlaces, Mirrored};
use panelwright_solver::search::exciters::Scores;

/// The section.
pub fn section(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let own = found.counts.iter().find(|count| count.exciters == found.exciters.len());
    let body = html! {
        @if let Some(own) = own { (different(found, own)) }
        (mirrored(found))
        @for count in found.counts.iter().filter(|count| count.exciters != found.exciters.len()) { (other_number(found, count)) }
    };
    figure::section("together", "Other good places", &[], &[], body)
}

fn different(found: &ExciterPlaces, own: &Count) -> Markup {
    let rows = own.best.iter().enumerate().map(|(i, arrangement)| (format!("{}", i + 1), arrangement));
    let compared = [("now".to_owned(), &found.now)].into_iter();
    let by_rule = found.by_rule.iter().map(|rule| ("by rules of thumb".to_owned(), rule));
    html! {
        (table("The best that differ clearly, by the search", found.best.cost, rows.chain(compared).chain(by_rule)))
        p.definition {
            "At least one exciter lies 50 mm or more from every place of the better ones. A few tenths of a decibel are less than the built parts differ: take the arrangement that suits the bench. "
            "Arrangements are picked from all there are on the grid by evenness and level, and then ranked by their cost."
        }
    }
}

fn mirrored(found: &ExciterPlaces) -> Markup {
    let rows = found.mirrored.iter().map(|Mirrored { how, arrangement }| ((*how).to_owned(), arrangement));
    html! { @if !found.mirrored.is_empty() { (table("The best places mirrored", found.best.cost, rows)) } }
}

fn other_number(found: &ExciterPlaces, count: &Count) -> Markup {
    let title = match count.exciters {
        1 => "One exciter alone".to_owned(),
        2 if found.exciters.len() == 1 => "With a second exciter of the kind on the same channel".into(),
        n => format!("{n} exciters"),
    };
    let rows =
        count.best.iter().take(3).enumerate().map(|(i, arrangement)| (format!("{}", i + 1), arrangement));
    table(&title, found.best.cost, rows)
}

/// Arrangements with their scores.
///
/// Costs count from `best` [dB].
pub fn table<'a>(title: &str, best: f64, rows: impl Iterator<Item = (String, &'a Arrangement)>) -> Markup {
    html! {
        div.wide { table.numbers.close {
            caption { (title) }
            thead { tr {
                th { "" } th { "Places, mm" } th { "Even, dB" } th { "Low end" } th { "Level, dB" } th { "Modes" } th { "Dips" } th { "5 mm off" } th { "Cost" }
            } }
            tbody { @for (name, arrangement) in rows { (row(&name, arrangement, best)) } }
        } }
    }
}

fn row(name: &str, Arrangement { positions, scores, cost }: &Arrangement, best: f64) -> Markup {
    let low = |scores: &Scores| scores.extension.map_or_else(|| "–".to_owned(), format::hertz);
    html! { tr {
        th scope="row" { (name) }
        td { (places(positions)) }
        td { (format::fixed(scores.evenness, 2)) }
        td { (low(scores)) }
        td { (format::fixed(scores.sensitivity, 1)) }
        td { (percent(scores.coverage)) }
        td { (format::fixed(scores.dips, 1)) }
        td { (scores.robustness.map_or_else(|| "–".to_owned(), |worse| format::fixed(worse, 2))) }
        td { (above(*cost - best)) }
    } }
}

/// A difference of costs with its sign.
fn above(difference: f64) -> String {
    let text = format::fixed(difference, 2);
    if difference > 0.0 { format!("+{text}") } else { text }
}

/// `290, 296` for each foot.
fn places(positions: &[[f64; 2]]) -> Markup {
    let mm = |length: f64| format::fixed(1e3 * length, 0);
    html! { @for (i, &[x, y]) in positions.iter().enumerate() { @if i > 0 { br; } (mm(x)) ", " (mm(y)) } }
}
