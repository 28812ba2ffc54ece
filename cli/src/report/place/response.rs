//! Levels at the seats before and after, by whole predictions.

use super::PlaceInput;
use crate::report::chart::curves::{Curve, Plot, legend, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::choice::{Choice, When};
use crate::report::figure::{self, Figure};
use maud::{Markup, html};
use panelwright_solver::place::{ExciterPlaces, SeatCurves};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 60.0;
/// Colours of before and after.
const COLOURS: [usize; 2] = [1, 0];
const NAMES: [&str; 2] = ["where they are", "at the best places"];

/// The section.
pub fn section(input: &PlaceInput) -> Markup {
    let found = &input.findings.exciters;
    let seats = found.whole.seats.iter().map(|seat| seat.seat.clone()).collect();
    let choice = Choice::one("seat", "Heard at", seats, 0);
    let body = html! {
        (choice.controls("response"))
        @for (index, seat) in found.whole.seats.iter().enumerate() {
            @let when = choice.when(index);
            div class=(when.class()) data-when=[when.attribute()] { (levels(found, seat)) }
        }
    };
    figure::section("response", "Before and after", &[], &[], body)
}

fn levels(found: &ExciterPlaces, seat: &SeatCurves) -> Markup {
    let all = seat.now.iter().chain(&seat.best).copied();
    let curve = |which: usize, values: &[f64], thin: bool| Curve {
        label: if thin { format!("{}, unsmoothed", NAMES[which]) } else { NAMES[which].into() },
        values: values.to_vec().into(),
        unit: "dB",
        colour: COLOURS[which],
        thin,
        when: When::default(),
    };
    let plot = Plot {
        title: "Sound pressure level, dB re 20 µPa".into(),
        scale: Scale::decibels(all, SPAN),
        height: 300.0,
        curves: vec![
            curve(0, &seat.now, true),
            curve(1, &seat.best, true),
            curve(0, &seat.now_smoothed, false),
            curve(1, &seat.best_smoothed, false),
        ],
        marks: vec![],
    };
    let title = format!("Level at {}", seat.seat);
    Figure {
        drawing: over_frequency(&title, &found.frequencies, &[plot]),
        title,
        controls: html! {},
        legend: legend(&[0, 1].map(|which| (COLOURS[which], NAMES[which].to_owned()))),
        caption: html! {
            "Whole predictions of the case with the exciters where they are and at the best places, each exciter coupled to the others through panel, air and wiring. Sine at the voltage of the case; pale: "
            "unsmoothed, strong: mean square over a third of an octave."
        },
        map: None,
    }
    .render()
}
