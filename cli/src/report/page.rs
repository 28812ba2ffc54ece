//! The page of a prediction: its sections in reading order.

use super::ReportInput;
use super::document::Document;
use super::sections::{
    balance, centre, exciters, fixing, inputs, loudness, maps, modes, overview, polar, response,
};
use maud::{Markup, html};

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
    Document {
        title: &input.scene.title,
        kicker: "Predicted before anything is cut",
        case_name: input.case_name,
        version: input.version,
        computed_at: &input.computed_at,
        seconds: input.seconds,
        contents: &CONTENTS,
        sections: sections(input),
        footer: html! {
            "All values are predictions from the inputs echoed above; every curve also lies beside this page as a CSV file, and all of it in "
            code { "results.h5" } "."
        },
        maps: maps::data(input),
    }
    .render()
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
