//! What was not computed, and why.

use super::StudyInput;
use crate::report::figure;
use crate::terminal::whole;
use maud::{Markup, html};

/// The section; nothing if all were computed.
pub fn section(input: &StudyInput) -> Markup {
    let [failed, beyond] = &input.failures;
    if failed.is_empty() && beyond.is_empty() {
        return html! {};
    }
    let body = html! { (table("Failed", failed)) (table("Beyond a limit", beyond)) };
    figure::section("failures", "Not computed", &[], &[], body)
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
