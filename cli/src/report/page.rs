//! The document: head, sections in reading order, data and script. No address outside the file is ever fetched.

use super::sections::{
    balance, centre, exciters, fixing, inputs, loudness, maps, modes, overview, polar, response,
};
use super::{ReportInput, format};
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("style.css");
const SCRIPT: &str = include_str!("script.js");
/// Errors are kept in the document, where a test can find them.
const ERROR_COLLECTOR: &str = "document.documentElement.dataset.errors='';\
    addEventListener('error',e=>document.documentElement.dataset.errors+=e.message+';');\
    addEventListener('unhandledrejection',e=>document.documentElement.dataset.errors+=e.reason+';');";

const CONTENTS: [(&str, &str); 11] = [
    ("overview", "In short"),
    ("response", "Response"),
    ("map", "Output map"),
    ("centre", "Acoustic centre"),
    ("polar", "Polar patterns"),
    ("loudness", "Sensitivity and power"),
    ("fixing", "Cut sheet"),
    ("exciters", "Exciters"),
    ("modes", "Modes"),
    ("balance", "Power balance"),
    ("inputs", "Inputs"),
];

pub(super) fn document(input: &ReportInput) -> Markup {
    let title = format!("{} – panelwright", input.scene.title);
    html! {
        (DOCTYPE)
        html lang="en" data-view="0" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "panelwright " (input.version) };
                title { (title) }
                script { (PreEscaped(ERROR_COLLECTOR)) }
                style { (PreEscaped(STYLE)) (PreEscaped(line_styles())) }
            }
            body {
                (masthead(input))
                main { (sections(input)) }
                (footer(input))
                (data(input))
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
}

fn masthead(input: &ReportInput) -> Markup {
    html! {
        header {
            p.kicker { "Predicted before anything is cut" }
            h1 { (input.scene.title) }
            p.byline { "Case " em { (input.case_name) } ", computed " (input.computed_at) " in " (format::quantity(input.seconds, "s")) "." }
            nav aria-label="Contents" {
                @for (id, title) in CONTENTS { a href={ "#" (id) } { (title) } }
            }
        }
    }
}

fn sections(input: &ReportInput) -> Markup {
    html! {
        (overview::section(input))
        (response::section(input))
        (maps::section(input))
        (centre::section(input))
        (polar::section(input))
        (loudness::section(input))
        (fixing::section(input))
        (exciters::section(input))
        (modes::section(input))
        (balance::section(input))
        (inputs::section(input))
    }
}

fn footer(input: &ReportInput) -> Markup {
    html! {
        footer {
            "panelwright " (input.version) ". All values are predictions from the inputs echoed above; every curve also lies beside this "
            "page as a CSV file, and all of it in " code { "results.h5" } "."
        }
    }
}

/// Levels of the maps for the script, whole tenths of a decibel.
fn data(input: &ReportInput) -> Markup {
    let json = serde_json::json!({ "maps": maps::data(input) }).to_string();
    // `<` never occurs in numbers and keys; escaped all the same so that no text can ever end the element.
    html! { script #data type="application/json" { (PreEscaped(json.replace('<', "\\u003c"))) } }
}

/// Colour and dash pattern of every line.
fn line_styles() -> String {
    use super::chart::colour;
    let line = |index: usize| {
        let (hex, dash) = (colour::categorical(index).hex(), colour::DASHES[index]);
        format!(
            ".s{index}{{stroke:{hex};stroke-dasharray:{dash}}}.area.s{index}{{fill:{hex}}}.ink{index}{{fill:{hex}}}"
        )
    };
    (0..colour::categories()).map(line).collect()
}
