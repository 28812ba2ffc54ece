//! What was not computed, or has no number, and why.

use super::StudyInput;
use crate::report::figure;
use crate::terminal::whole;
use maud::{Markup, html};

/// The section; nothing if all were computed and have every number.
pub fn section(input: &StudyInput) -> Markup {
    if !is_there(input) {
        return html! {};
    }
    let [failed, beyond] = &input.failures;
    let body = html! {
        (table("Failed", failed))
        (table("Beyond a limit", beyond))
        (table("Computed, but without a number", &input.missing))
    };
    figure::section("failures", TITLE, &[], &[], body)
}

/// What it is called.
pub const TITLE: &str = "Not there, and why";

/// True when something is to be told.
pub fn is_there(input: &StudyInput) -> bool {
    input.failures.iter().chain([&input.missing]).any(|reasons| !reasons.is_empty())
}

fn table(title: &str, reasons: &[(String, usize)]) -> Markup {
    html! {
        @if !reasons.is_empty() {
            h3 { (title) }
            table.roomy {
                thead { tr { th { "Variants" } th { "Such as" } } }
                tbody { @for (why, count) in reasons { tr { th scope="row" { (whole(*count)) } td { (why) } } } }
            }
        }
    }
}
