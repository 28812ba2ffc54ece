//! Levels, differences and group delay at the near microphone and at every seat.

use super::curves::{Quantity, names};
use super::{SurroundInput, place_choice, places, reference, tables};
use crate::report::chart::curves::over_frequency;
use crate::report::chart::scale::{Scale, extent};
use crate::report::choice::Choice;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::listening::{HeardAt, OneSurround, SurroundFindings};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 60.0;
/// Group delays shown to either side of most of them [ms]: in a deep dip they have no end.
const DELAY: f64 = 1.0;

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let choice = place_choice(findings);
    let body = html! {
        (choice.controls("levels"))
        (at_every_place(findings, &choice, levels))
        (choice.controls("gains"))
        (at_every_place(findings, &choice, tables::gains))
        (choice.controls("turns"))
        (at_every_place(findings, &choice, tables::turns))
        (choice.controls("delay"))
        (at_every_place(findings, &choice, delay))
    };
    figure::section("response", "Response", &findings.warnings, &["response"], body)
}

/// What belongs to a place, visible while it is chosen.
fn at_every_place(
    findings: &SurroundFindings,
    choice: &Choice,
    content: fn(&SurroundFindings, usize) -> Markup,
) -> Markup {
    html! {
        @for place in 0..places(findings).len() {
            @let when = choice.when(place);
            div class=(when.class()) data-when=[when.attribute()] { (content(findings, place)) }
        }
    }
}

fn levels(findings: &SurroundFindings, place: usize) -> Markup {
    let level = Quantity {
        title: "Sound pressure level, dB re 20 µPa".into(),
        unit: "dB",
        height: 300.0,
        values: &|_, surround| at(surround, place, |heard| &heard.level),
    };
    let difference = Quantity {
        title: format!("Difference against “{}”, dB", reference(findings)),
        unit: "dB",
        height: 170.0,
        values: &|_, surround| at(surround, place, |heard| &heard.difference),
    };
    let (low, high) = extent(difference.all(findings)).unwrap_or((-1.0, 1.0));
    let scale = Scale::linear(low.clamp(-30.0, -1.0), high.clamp(1.0, 30.0));
    let mut plots = vec![level.plot(findings, Scale::decibels(level.all(findings), SPAN))];
    if findings.surrounds.len() > 1 {
        plots.push(difference.plot(findings, scale));
    }
    let heard = &places(findings)[place];
    let title = format!("Level at {}, {}", heard.place, format::quantity(heard.distance, "m"));
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &plots),
        title,
        controls: html! {},
        legend: names(findings),
        caption: html! {
            "Sine at " (format::quantity(findings.voltage, "V")) ", unsmoothed. The distance counts from the middle of the driver’s front. "
            "Below: the same minus “" (reference(findings)) "”."
        },
        map: None,
    }
    .render()
}

fn delay(findings: &SurroundFindings, place: usize) -> Markup {
    let delay = Quantity {
        title: "Group delay beyond the time of flight, ms".into(),
        unit: "ms",
        height: 190.0,
        values: &|_, surround| {
            at(surround, place, |heard| &heard.group_delay).iter().map(|s| s * 1e3).collect()
        },
    };
    let (low, high) = extent(delay.all(findings)).unwrap_or((0.0, 1.0));
    let scale = Scale::linear(low.clamp(-DELAY, 0.0), high.clamp(0.1, DELAY));
    let title = format!("Group delay at {}", places(findings)[place].place);
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &[delay.plot(findings, scale)]),
        title,
        controls: html! {},
        legend: names(findings),
        caption: html! {
            "How much later than by the straight way from the driver’s front a narrow band arrives. What rises here rings: coil and air, or sound that "
            "comes round by the surround. Narrow spikes belong to dips, where little arrives."
        },
        map: None,
    }
    .render()
}

fn at(surround: &OneSurround, place: usize, values: fn(&HeardAt) -> &Vec<f64>) -> Vec<f64> {
    surround.places.get(place).map(values).cloned().unwrap_or_default()
}
