//! What was put in.

use super::SurroundInput;
use crate::case::describe_driver;
use crate::report::figure;
use maud::{Markup, html};

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let body = html! {
        dl.facts { @for fact in describe_driver(input.case) { div { dt { (fact.subject) } dd { (fact.text) } } } }
        details.case { summary { "The case file, word for word" } pre { code { (input.case.source) } } }
    };
    figure::section("inputs", "What was put in", &[], &[], body)
}
