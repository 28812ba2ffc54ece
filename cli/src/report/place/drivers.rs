//! The map of a driver's places, and what speaks for and against each.

use super::PlaceInput;
use super::driver_map::{self, Layer};
use super::map;
use super::small;
use crate::place_results::driver_lines;
use crate::report::chart::heat;
use crate::report::choice::Choice;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::scene::Scene;
use panelwright_solver::search::drivers::{DriverPlace, DriverPlaces, DriverScores};

/// Key of the data of a driver's map.
pub fn map_key(found: &DriverPlaces) -> String {
    format!("driver-{}", found.number)
}

/// The choice of what is shown.
const GROUP: &str = "judged";
/// Key of the warnings.
pub const CONCERNS: &[&str] = &["driver-places"];

/// A score on the page.
struct Shown {
    title: &'static str,
    value: fn(&DriverScores) -> f64,
    words: fn(f64) -> String,
    /// True when less is better.
    less: bool,
    meaning: &'static str,
}

const SHOWN: [Shown; 6] = [
    Shown {
        title: "Unevenness, matched",
        value: |s| s.matched.unevenness,
        words: format::decibels,
        less: true,
        meaning: "standard deviation of the level of panel and drivers together, averaged over the seats and smoothed to a sixth of an octave, with the delay, gain and polarity that suit the place best on top of the case’s channels",
    },
    Shown {
        title: "Unevenness, as set",
        value: |s| s.as_set,
        words: format::decibels,
        less: true,
        meaning: "the same with the channels of the case as they are",
    },
    Shown {
        title: "Centres apart",
        value: |s| s.apart.unwrap_or(f64::NAN),
        words: blurs,
        less: true,
        meaning: "angle between the acoustic centres of panel and driver as the seats see them, over the blur of hearing (3.6° sideways, 4° upwards for steady noise), root mean square over the third octaves in which neither leads; the driver’s centre is that of its own wave fronts with nothing behind it, the middle of its front where those have none; blank where one leads in every band",
    },
    Shown {
        title: "Ripple by the panel’s echo",
        value: |s| s.comb,
        words: format::decibels,
        less: true,
        meaning: "standard deviation over frequency of what the panel behind it does to the driver’s level at the seats, where its channel lets it pass",
    },
    Shown {
        title: "Deepest dip by the echo",
        value: |s| s.dip[1],
        words: format::decibels,
        less: false,
        meaning: "the least of what the panel behind it adds to the driver’s level at the seats; negative where it takes away",
    },
    Shown {
        title: "Shadow of the housing",
        value: |s| s.shadow,
        words: format::decibels,
        less: true,
        meaning: "root mean square over frequency of what the housing changes in the panel’s own level at the seats, where the panel’s channel lets it pass; the panel moves in a wall for this",
    },
];

/// The section; nothing without a driver.
pub fn section(input: &PlaceInput) -> Markup {
    let drivers = &input.findings.drivers;
    if drivers.is_empty() {
        return html! {};
    }
    let title = if drivers.len() > 1 { "Where to hang the drivers" } else { "Where to hang the driver" };
    let body = html! {
        @for found in drivers {
            @if drivers.len() > 1 { h3 { (found.driver[0]) } }
            (one(found, &input.case.scene))
        }
        h3 { "What the scores mean" }
        dl.facts { @for shown in &SHOWN { div { dt { (shown.title) } dd { (shown.meaning) } } } }
    };
    figure::section("driver", title, &[], &[], body)
}

/// Everything of one driver.
fn one(found: &DriverPlaces, scene: &Scene) -> Markup {
    html! {
        @for warning in &found.warnings { (figure::note(&warning.message)) }
        (hero(found, scene))
        (table(found))
        h4 { "Lines for the case file" }
        pre { code { (driver_lines(found)) } }
        p.definition { "Then let " code { "panelwright blend" } " advise crossover, delay, gain and polarity for this place." }
        h4 { "Every score by itself" }
        div.scores { @for shown in &SHOWN { (shown.picture(found, scene)) } }
        (how(found))
    }
}

fn hero(found: &DriverPlaces, scene: &Scene) -> Markup {
    let layers = driver_map::layers(found);
    let labels = layers.iter().map(|layer| layer.label.to_owned()).collect();
    let choice = Choice::one(GROUP, "Show", labels, 0);
    let (plane, shading) = (driver_map::plane(found, scene), driver_map::shading(&layers));
    let first: &Layer = &layers[choice.first()];
    let above = first.values.mapv(|value| value - first.least);
    let shapes = html! {
        g.cells { (driver_map::cells(found, &plane, &above, &shading)) }
        (driver_map::marks(found, &plane, scene))
    };
    let side = heat::bar(&plane, &shading, -(shading.low / 4.0).ceil(), "dB above the best");
    let label = "Cost of every place of the driver, heat map";
    Figure {
        title: format!("What every place of “{}” costs", found.driver[0]),
        controls: html! { (choice.controls(&map_key(found))) },
        legend: map::legend("where it hangs", html! {}),
        drawing: plane.draw(label, "map", &shapes, &driver_map::words(found, &plane), &side),
        caption: html! {
            "Light: good places for the middle of the driver, over the panel (outlined) and around it, its housing " (format::millimetres(found.heights[0])) " before the panel’s plane. Everything together weighs evenness at the seats, "
            "agreement of the centres, ripple by the panel’s echo and shadow of the housing against each other, in decibels of evenness, from the best place on."
            @if !found.others.is_empty() { " Other drivers stay where they hang and play with it; blank: it would stand in one." }
        },
        map: Some((map_key(found), GROUP)),
    }
    .render()
}

impl Shown {
    fn picture(&self, found: &DriverPlaces, scene: &Scene) -> Markup {
        let values = found.scored(self.value);
        let (plane, shading) = (driver_map::plane(found, scene), small::shading(&values, self.less));
        let shapes = html! {
            g.cells { (driver_map::cells(found, &plane, &values, &shading)) }
            (driver_map::marks(found, &plane, scene))
        };
        small::picture(self.title, &plane, &shapes, small::key(&shading, self.words))
    }
}

/// The best place and the present one side by side.
fn table(found: &DriverPlaces) -> Markup {
    type Cell = fn(&DriverPlace) -> String;
    let rows: [(&str, Cell); 9] = [
        ("x, y", |place| place.position.map(format::millimetres).join(", ")),
        ("cost", |place| decibels(place.scores.cost)),
        ("uneven, delay, gain and polarity matched", |place| decibels(place.scores.matched.unevenness)),
        ("matched by, on top of the channels", matched),
        ("uneven, channels as they are", |place| decibels(place.scores.as_set)),
        ("centres apart", |place| place.scores.apart.map_or_else(|| "–".into(), blurs)),
        ("heard apart, of the bands where both play", heard_apart),
        ("ripple by the panel’s echo, deepest dip", echo),
        ("shadow of the housing", |place| decibels(place.scores.shadow)),
    ];
    html! {
        div.wide { table.numbers {
            caption { "The best place and the present one" }
            thead { tr { th { "" } th { "Best" } th { "Now" } } }
            tbody { @for (name, cell) in rows { tr {
                th scope="row" { (name) } td { (cell(&found.best)) } td { (cell(&found.now)) }
            } } }
        } }
        p.definition { "A negative delay of the driver holds the panel back instead." }
    }
}

fn decibels(value: f64) -> String {
    format!("{}{}dB", format::fixed(value, 2), format::NBSP)
}

fn matched(place: &DriverPlace) -> String {
    let matched = &place.scores.matched;
    let polarity = if matched.reversed { ", reversed" } else { "" };
    let delay = format::fixed(1e3 * matched.delay, 2);
    let end = if matched.at_the_end() { " (the end of what is tried)" } else { "" };
    format!("{delay}{}ms, {}{end}{polarity}", format::NBSP, format::decibels(matched.gain_db))
}

fn heard_apart(place: &DriverPlace) -> String {
    place
        .scores
        .heard_apart
        .map_or_else(|| "–".into(), |share| format!("{} %", format::fixed(100.0 * share, 0)))
}

fn echo(place: &DriverPlace) -> String {
    let [frequency, level] = place.scores.dip;
    let ripple = format::decibels(place.scores.comb);
    format!("{ripple}; {} at {}", format::decibels(level), format::hertz(frequency))
}

/// How it was computed, and how far it can be trusted.
fn how(found: &DriverPlaces) -> Markup {
    let ends = [found.frequencies.first(), found.frequencies.last()].map(|f| f.copied().unwrap_or(0.0));
    html! {
        p.definition {
            (found.places().count()) " places with the surround “" (found.driver[1]) "” at " (found.frequencies.len()) " frequencies from " (format::hertz(ends[0])) " to " (format::hertz(ends[1]))
            (about(found)) ". The exciters stay where they are for this. "
            @if !found.others.is_empty() { "So do the other drivers, whose housings throw nothing back and cast no shadow. " }
            @if found.walled { "The panel stands in a rigid wall without end, as in its own prediction, and driver and wall are solved together." } @else { (beside_whole(found)) }
        }
    }
}

/// What is interpolated before a board, and how far it is off.
fn beside_whole(found: &DriverPlaces) -> Markup {
    let worst = found.checked.iter().map(|check| check.deviation).fold(0.0, f64::max);
    html! {
        "The panel is a finite rigid board: each seat’s sound is scattered by it once, and reciprocity gives every place from that; what the board does to the housing is interpolated between no board and "
        "an endless one by the share of the echo that it throws back. Driver and board solved together at both places and " (found.checked.len() / 2) " frequencies differ from the map by at most "
        (format::fixed(100.0 * worst, 1)) (format::NBSP) "% of the driver’s own sound."
    }
}

/// Where the frequencies lie; a case without filters has no crossover.
fn about(found: &DriverPlaces) -> String {
    let corners = found.corners.iter().map(|corner| format::hertz(*corner)).collect::<Vec<_>>().join(" and ");
    match found.crossed {
        true => format!(" around the crossover at {corners}"),
        false => {
            format!(
                ", about the middle of what all play, {corners}: neither its channel nor the panel’s says a crossover"
            )
        }
    }
}

fn blurs(value: f64) -> String {
    format!("{}{}blurs", format::fixed(value, 1), format::NBSP)
}
