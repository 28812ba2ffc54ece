//! The page: its sections in reading order.

use super::{PlaceInput, arrangements, driver_map, drivers, map, response, rules, scores, whereto};
use crate::report::document::Document;
use crate::report::figure;
use crate::report::format;
use crate::report::sections::overview::{self, Place};
use maud::{Markup, html};
use panelwright_solver::Warning;
use panelwright_solver::place::ExciterPlaces;
use panelwright_solver::search::exciters::{Scores, Weights};
use serde_json::{Map, Value};

const CONTENTS: [(&str, &str); 8] = [
    ("overview", "In short"),
    ("places", "Where to glue"),
    ("scores", "Every score"),
    ("together", "Other good places"),
    ("rules", "Rules of thumb"),
    ("response", "Before and after"),
    (DRIVER, "Where to hang the driver"),
    ("inputs", "Inputs"),
];

/// The section that is there only with a driver.
const DRIVER: &str = "driver";

/// Key of the warning that there is no such section although the case has a driver.
const NO_DRIVER: &str = "no-driver-places";

/// The sections that show warnings, in reading order.
const PLACES: [Place; 2] =
    [(&["places"], "places", "where to glue"), (drivers::CONCERNS, DRIVER, "where to hang the driver")];

pub(super) fn document(input: &PlaceInput) -> Markup {
    let drivers = &input.findings.drivers;
    let contents: Vec<(&str, &str)> =
        CONTENTS.into_iter().filter(|(id, _)| *id != DRIVER || !drivers.is_empty()).collect();
    Document {
        title: &input.case.scene.title,
        kicker: "Where to glue the exciters, before anything is glued",
        case_name: input.case_name,
        version: input.version,
        computed_at: input.computed_at,
        seconds: input.seconds,
        contents: &contents,
        sections: html! {
            (in_short(input))
            (whereto::section(input))
            (scores::section(input))
            (arrangements::section(input))
            (rules::section(input))
            (response::section(input))
            (drivers::section(input))
            (inputs(input))
        },
        footer: html! {
            "All values are predictions from the inputs echoed above; every place lies beside this page in " code { "places.csv" } ", the best pairs in " code { "pairs.csv" } ", all of it in "
            code { "places.h5" } ", the lines for the case file in " code { "positions.txt" } "."
        },
        maps: maps(input),
    }
    .render()
}

/// The data of every map by its key.
fn maps(input: &PlaceInput) -> Value {
    let drivers = input
        .findings
        .drivers
        .iter()
        .map(|found| (drivers::map_key(found), driver_map::data(found, &input.case.scene)));
    std::iter::once((whereto::MAP.to_owned(), map::data(input))).chain(drivers).collect::<Map<_, _>>().into()
}

fn in_short(input: &PlaceInput) -> Markup {
    let (found, drivers) = (&input.findings.exciters, &input.findings.drivers);
    let told = drivers.iter().flat_map(|driver| &driver.summary);
    let doubted = drivers.iter().flat_map(|driver| &driver.warnings);
    let told = found.summary.iter().chain(told).cloned();
    let summary: Vec<String> = told.chain(input.findings.measured()).collect();
    let missing = input.findings.unplaced.iter().map(|why| Warning::new(NO_DRIVER, why.clone()));
    let warnings: Vec<Warning> = found.warnings.iter().chain(doubted).cloned().chain(missing).collect();
    let told = (summary.as_slice(), warnings.as_slice());
    overview::in_short(told, &PLACES, key_figures(found), input.cautions)
}

/// What moving changes, by whole predictions.
fn key_figures(found: &ExciterPlaces) -> Markup {
    let (now, best) = (&found.whole.now, &found.whole.best);
    let low = |scores: &Scores| scores.extension.map_or_else(|| "–".to_owned(), format::hertz);
    let lost = |scores: &Scores| scores.robustness.map_or_else(|| "–".to_owned(), format::decibels);
    let figures = [
        ("Even within", format::decibels(best.evenness), format::decibels(now.evenness)),
        ("Low end", low(best), low(now)),
        ("Mean level", format::decibels(best.sensitivity), format::decibels(now.sensitivity)),
        ("Modes driven well", percent(best.coverage), percent(now.coverage)),
        ("Dips per seat", format::fixed(best.dips, 1), format::fixed(now.dips, 1)),
        ("Lost 5 mm off", lost(best), lost(now)),
    ];
    html! {
        dl.figures.six { @for (name, value, before) in figures {
            div { dt { (name) } dd { (value) } dd.remark { "now " (before) } }
        } }
    }
}

/// A share in per cent.
pub(super) fn percent(share: f64) -> String {
    format!("{}{}%", format::fixed(100.0 * share, 0), format::NBSP)
}

fn inputs(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let facts = [
        ("channel", found.channel.clone()),
        ("exciters", found.exciters.join(", ")),
        ("foot", format::millimetres_fine(found.foot, 3)),
        ("places", format!("{}, {} apart", found.places.len(), format::millimetres_fine(found.step, 3))),
        ("clearance around a foot", format::millimetres_fine(found.clearance, 3)),
        ("centres of two exciters at least apart", format::millimetres_fine(found.apart, 3)),
        ("weights", weights(&found.weights)),
        ("frequencies", frequencies(found)),
    ];
    let body = html! {
        dl.facts { @for (name, value) in facts { div { dt { (name) } dd { (value) } } } }
        details.case { summary { "The case file, word for word" } pre { code { (input.case.source) } } }
    };
    figure::section("inputs", "What was put in", &[], &[], body)
}

fn frequencies(found: &ExciterPlaces) -> String {
    let ends = [found.frequencies.first(), found.frequencies.last()].map(|f| f.copied().unwrap_or(0.0));
    let [from, to] = ends.map(format::hertz);
    format!("{} from {from} to {to}: the case’s own as far as they are judged", found.frequencies.len())
}

fn weights(weights: &Weights) -> String {
    let each = [
        ("evenness", weights.evenness),
        ("low end", weights.extension),
        ("level", weights.sensitivity),
        ("modes", weights.coverage),
        ("dips", weights.dips),
        ("robustness", weights.robustness),
    ];
    each.map(|(name, weight)| format!("{name} {}", format::significant(weight, 2))).join(", ")
}
