//! The page: its sections in reading order.

use super::SurroundInput;
use super::{bodies, computed, cuts, directivity, driver, inputs, response};
use crate::report::document::Document;
use crate::report::sections::overview::{self, Place};
use maud::{Markup, html};

const CONTENTS: [(&str, &str); 8] = [
    ("overview", "In short"),
    ("geometry", "Geometry"),
    ("response", "Response"),
    ("directivity", "Directivity"),
    ("driver", "Driver"),
    ("pictures", "Pictures"),
    ("computed", "How it was computed"),
    ("inputs", "Inputs"),
];

/// The sections that show warnings, in reading order.
const PLACES: [Place; 2] = [(&["response"], "response", "response"), (&["driver"], "driver", "driver")];

pub(super) fn document(input: &SurroundInput) -> Markup {
    let maps = cuts::data(input).into_iter().chain(bodies::data(input)).collect();
    Document {
        title: &input.case.scene.title,
        kicker: "Surrounds of a small driver, compared before anything is printed",
        case_name: input.case_name,
        version: input.version,
        computed_at: input.computed_at,
        seconds: input.seconds,
        contents: &CONTENTS,
        sections: sections(input),
        footer: html! {
            "All values are predictions from the inputs echoed above; every curve also lies beside this page as a CSV file, all of it in "
            code { "surrounds.h5" } ", the sound on the bodies in " code { ".vtu" } " files, and every part made from measures as an STL file in mm."
        },
        maps: serde_json::Value::Object(maps),
    }
    .render()
}

fn sections(input: &SurroundInput) -> Markup {
    html! {
        (in_short(input))
        (bodies::geometry(input))
        (response::section(input))
        (directivity::section(input))
        (driver::section(input))
        (cuts::section(input))
        (computed::section(input))
        (inputs::section(input))
    }
}

fn in_short(input: &SurroundInput) -> Markup {
    let told = (input.findings.summary.as_slice(), input.findings.warnings.as_slice());
    overview::in_short(told, &PLACES, html! {}, input.cautions)
}
