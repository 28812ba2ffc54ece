//! The recording as the seats would hear it.

use super::BlendInput;
use crate::rendering::{self, Heard};
use crate::report::{figure, format};
use maud::{Markup, html};

/// The section; nothing without a recording.
pub fn section(input: &BlendInput) -> Markup {
    if input.heard.is_empty() {
        return html! {};
    }
    let body = html! {
        p { strong { "Start quietly. " } (rendering::words(input.heard, &input.findings.frequencies)) }
        div.wide { table.numbers {
            thead { tr { th { "Heard at" } th { "Surround" } th { "Channels" } th { "Would be louder by, dB" } th { "Listen" } } }
            tbody { @for heard in input.heard { (row(heard)) } }
        } }
    };
    figure::section("hear", "Hear it", &[], &[], body)
}

fn row(heard: &Heard) -> Markup {
    html! { tr {
        th scope="row" { (heard.seat) }
        td { (heard.surround) }
        td { @if heard.advised { "advised" } @else { "as in the case" } }
        td { (format::fixed(heard.louder, 1)) }
        td { audio controls preload="none" src=(heard.file) {} }
    } }
}
