//! The page: its sections in reading order.

use super::{BlendInput, advice, agreement, directivity, hear, measured, response};
use crate::case::filter_words;
use crate::report::document::Document;
use crate::report::figure;
use crate::report::sections::overview::{self, Place};
use maud::{Markup, html};
use panelwright_solver::scene::Channel;

const CONTENTS: [(&str, &str); 7] = [
    ("overview", "In short"),
    ("response", "Response"),
    ("directivity", "Where the sound goes"),
    ("agreement", "One source or two"),
    ("advice", "Crossover"),
    ("hear", "Hear it"),
    ("inputs", "Inputs"),
];

/// The sections that show warnings, in reading order.
const PLACES: [Place; 1] = [(&["response", "radiation", "modes", "exciter"], "response", "response")];

pub(super) fn document(input: &BlendInput) -> Markup {
    let told = |(id, _): &(&str, &str)| *id != "hear" || !input.heard.is_empty();
    let contents: Vec<(&str, &str)> = CONTENTS.into_iter().filter(told).collect();
    Document {
        title: &input.case.scene.panel.title,
        kicker: "Panel and small drivers, heard as one before anything is built",
        case_name: input.case_name,
        version: input.version,
        computed_at: input.computed_at,
        seconds: input.seconds,
        contents: &contents,
        sections: html! {
            (in_short(input))
            (response::section(input))
            (directivity::section(input))
            (agreement::section(input))
            (advice::section(input))
            (hear::section(input))
            (inputs(input))
        },
        footer: html! {
            "All values are predictions from the inputs echoed above; every curve also lies beside this page as a CSV file, all of it in " code { "blend.h5" } ", what the seats hear of a click as WAV "
            "files (32-bit, scaled: start quietly), the crossover in " code { "crossover.txt" } "."
        },
        maps: serde_json::Value::Object(serde_json::Map::new()),
    }
    .render()
}

fn in_short(input: &BlendInput) -> Markup {
    let told = (input.findings.summary.as_slice(), input.findings.warnings.as_slice());
    overview::in_short(told, &PLACES, html! {}, input.cautions)
}

fn inputs(input: &BlendInput) -> Markup {
    let scene = &input.case.scene;
    let fed = scene.drivers.iter().map(|driver| &driver.channel);
    let channels: Vec<&Channel> = scene.panel.channels.iter().chain(fed).collect();
    let body = html! {
        dl.facts { @for channel in channels {
            div { dt { "channel " (channel.name) } dd { "filters: " (filter_words::of_channel(channel)) } }
        } }
        (measured::table(input))
        details.case { summary { "The case file, word for word" } pre { code { (input.case.source) } } }
    };
    figure::section("inputs", "What was put in", &[], &[], body)
}
