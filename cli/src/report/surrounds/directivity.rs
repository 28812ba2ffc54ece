//! Beamwidth, directivity index and polar patterns.

use super::curves::{Quantity, names};
use super::{SurroundInput, balloons};
use crate::report::chart::colour;
use crate::report::chart::curves::over_frequency;
use crate::report::chart::polar::{self, Opening, Pattern, SPAN};
use crate::report::chart::scale::{Scale, extent};
use crate::report::choice::Choice;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::listening::{OneSurround, Polar, SurroundFindings};

/// Band shown at the start [Hz].
const FIRST_BAND: f64 = 4000.0;

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let body = html! { (beam(findings)) (patterns(findings)) (balloons::figure(input)) };
    figure::section("directivity", "Directivity", &findings.warnings, &[], body)
}

fn beam(findings: &SurroundFindings) -> Markup {
    let width = |title: &str, values| Quantity { title: title.into(), unit: "°", height: 150.0, values };
    let across = width("Horizontal width of the beam at −6 dB, degrees", &|_, one| {
        degrees(&one.beamwidth_horizontal)
    });
    let upright =
        width("Vertical width of the beam at −6 dB, degrees", &|_, one| degrees(&one.beamwidth_vertical));
    let index = Quantity {
        title: "Directivity index, dB".into(),
        unit: "dB",
        height: 150.0,
        values: &|_, one| one.directivity_index.clone(),
    };
    let (low, high) = extent(index.all(findings)).unwrap_or((0.0, 10.0));
    let plots = [
        across.plot(findings, angle_scale(&across.all(findings))),
        upright.plot(findings, angle_scale(&upright.all(findings))),
        index.plot(findings, Scale::linear(low.max(-20.0), high)),
    ];
    Figure {
        title: "Width of the beam and directivity index".into(),
        controls: html! {},
        legend: names(findings),
        drawing: over_frequency("Width of the beam and directivity index over frequency", &findings.frequencies, &plots),
        caption: html! {
            "Width: between the first angles on both sides where the far field lies 6 dB under the axis; no line where it never falls so far. "
            "Directivity index: level on the axis over the mean of all directions."
        },
        map: None,
    }
    .render()
}

fn degrees(widths: &[Option<f64>]) -> Vec<f64> {
    widths.iter().map(|width| width.map_or(f64::NAN, f64::to_degrees)).collect()
}

/// From nothing to the widest beam, in steps of a quarter of the circle or less.
fn angle_scale(values: &[f64]) -> Scale {
    let widest = extent(values.iter().copied()).map_or(180.0, |(_, high)| high);
    let step = if widest > 180.0 { 90.0 } else { 45.0 };
    Scale { logarithmic: false, low: 0.0, high: (widest / step).ceil() * step, step: Some(step) }
}

fn patterns(findings: &SurroundFindings) -> Markup {
    let Some(first) =
        findings.surrounds.first().map(|one| &one.polar).filter(|polar| !polar.bands.is_empty())
    else {
        return html! {};
    };
    let choice = band_choice(first);
    let of = |levels: fn(&Polar) -> &Array2<f64>| all(findings, &choice, levels);
    let draw = |label: &str, opening: Opening, patterns: &[Pattern]| {
        polar::polar(label, opening, &first.angles, patterns)
    };
    let round = first.angles.last().is_some_and(|angle| *angle > 2.0);
    Figure {
        title: "Polar patterns".into(),
        controls: choice.controls("polar"),
        legend: names(findings),
        drawing: html! {
            div.pair.even[round] {
                div { h4 { "Horizontal, seen from above" } (draw("Horizontal polar pattern", Opening::Down, &of(|polar| &polar.horizontal))) }
                div { h4 { "Vertical, seen from the listener’s left" } (draw("Vertical polar pattern", Opening::Right, &of(|polar| &polar.vertical))) }
            }
        },
        caption: html! {
            "Far field; each surround relative to its loudest angle, " (format::fixed(SPAN, 0)) " dB from rim to centre. Positive angles: to the listener’s right, or upwards. "
            "Levels at " (format::quantity(first.distance, "m")) " are in the CSV files."
        },
        map: None,
    }
    .render()
}

fn band_choice(polar: &Polar) -> Choice {
    let labels = polar.bands.iter().map(|band| format::band_label(band.nominal)).collect();
    let first =
        polar.bands.iter().position(|band| band.nominal >= FIRST_BAND).unwrap_or(polar.bands.len() - 1);
    Choice::one("polar", "Band, Hz", labels, first)
}

/// One pattern per surround and band.
fn all(findings: &SurroundFindings, choice: &Choice, levels: fn(&Polar) -> &Array2<f64>) -> Vec<Pattern> {
    let of_surround = |(number, surround): (usize, &OneSurround)| {
        let pattern = |(band, row): (usize, ndarray::ArrayView1<f64>)| Pattern {
            label: surround.name.clone(),
            levels: row.to_vec(),
            colour: colour::categorical(number).hex(),
            dash: colour::DASHES[number % colour::DASHES.len()],
            when: choice.when(band),
        };
        levels(&surround.polar).rows().into_iter().enumerate().map(pattern).collect::<Vec<_>>()
    };
    findings.surrounds.iter().enumerate().flat_map(of_surround).collect()
}
