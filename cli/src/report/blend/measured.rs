//! What was measured, beside what it replaced.

use super::BlendInput;
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::blend::MeasuredAt;

/// The table; nothing without a measured response.
pub fn table(input: &BlendInput) -> Markup {
    let measured = &input.findings.measured;
    if measured.is_empty() {
        return html! {};
    }
    html! {
        h3 { "Measured responses" }
        div.wide { table.numbers {
            thead { tr { th { "Part" } th { "Seat" } th { "File" } th { "Covers" } th { "Louder than computed, dB" } th { "Later than computed, ms" } } }
            tbody { @for one in measured { (row(one)) } }
        } }
        p.definition {
            "They replace what would be computed at their seats, without crossover, gain and delay; those of the case come on top. Louder: mean difference of the levels over logarithmic frequency. Later: the "
            "lag on which most phases of both agree. Polar pictures and acoustic centres are computed."
        }
    }
}

fn row(one: &MeasuredAt) -> Markup {
    html! { tr {
        th scope="row" { (one.part) }
        td { (one.seat) }
        td { (one.file) }
        td { (format::hertz(one.range[0])) " to " (format::hertz(one.range[1])) }
        td { (format::fixed(one.louder, 1)) }
        td { @match one.later { Some(later) => (format::fixed(1e3 * later, 2)), None => "–" } }
    } }
}
