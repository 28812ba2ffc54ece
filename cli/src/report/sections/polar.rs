//! Far-field patterns.

use crate::report::chart::colour;
use crate::report::chart::polar::{self, Opening, Pattern, SPAN};
use crate::report::choice::Choice;
use crate::report::figure::{self, Figure};
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::listening::Polar;

/// Bands shown at the start [Hz].
const FIRST_BANDS: [f64; 3] = [500.0, 2000.0, 8000.0];

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let polar = &input.findings.polar;
    let body = html! { @if polar.bands.is_empty() { p { "No bands in the computed range." } } @else { (chart(polar, "polar")) } };
    figure::section("polar", "Polar patterns", &input.findings.warnings, &["radiation"], body)
}

/// The patterns of all bands; `place` tells their controls apart from others of the page.
pub fn chart(found: &Polar, place: &str) -> Markup {
    let choice = band_choice(found);
    let (across, upright) =
        (patterns(found, &found.horizontal, &choice), patterns(found, &found.vertical, &choice));
    Figure {
        title: "Horizontal and vertical".into(),
        controls: choice.controls(place),
        legend: legend(&across),
        drawing: html! {
            div.pair {
                div { h4 { "Horizontal, seen from above" } (polar::polar("Horizontal polar pattern", Opening::Down, &found.angles, &across)) }
                div { h4 { "Vertical, seen from the listener’s left" } (polar::polar("Vertical polar pattern", Opening::Right, &found.angles, &upright)) }
            }
        },
        caption: html! {
            "Far field; each band relative to its loudest angle, " (format::fixed(SPAN, 0)) " dB from rim to centre. Positive angles: to the listener’s right, or upwards. "
            "Levels at " (format::quantity(found.distance, "m")) " are in the CSV files."
        },
        map: None,
    }
    .render()
}

/// Names of the chosen bands with a sample of each line.
pub fn legend(patterns: &[Pattern]) -> Markup {
    html! {
        ul.legend { @for pattern in patterns {
            li class=(pattern.when.class()) data-when=[pattern.when.attribute()] {
                svg.sample viewBox="0 0 34 10" aria-hidden="true" {
                    path.curve style={ "stroke:" (pattern.colour) ";stroke-dasharray:" (pattern.dash) } d="M1 5 33 5" {}
                }
                (pattern.label)
            }
        } }
    }
}

fn band_choice(polar: &Polar) -> Choice {
    let labels = polar.bands.iter().map(|b| format::band_label(b.nominal)).collect();
    let wanted = |nominal: f64| FIRST_BANDS.iter().any(|f| (f / nominal).log10().abs() < 0.02);
    let mut chosen: Vec<usize> = (0..polar.bands.len()).filter(|&i| wanted(polar.bands[i].nominal)).collect();
    if chosen.is_empty() {
        chosen.push(0);
    }
    let swatches = (0..polar.bands.len()).map(|i| line_colour(i, polar.bands.len())).collect();
    Choice::many("polar", "Bands, Hz", labels, chosen).coloured(swatches)
}

fn line_colour(index: usize, count: usize) -> String {
    colour::sequential(0.05 + 0.75 * index as f64 / (count.max(2) - 1) as f64).hex()
}

fn patterns(polar: &Polar, levels: &Array2<f64>, choice: &Choice) -> Vec<Pattern> {
    let count = polar.bands.len();
    let pattern = |(i, row): (usize, ndarray::ArrayView1<f64>)| Pattern {
        label: format::band(polar.bands[i].nominal),
        levels: row.to_vec(),
        colour: line_colour(i, count),
        // Neighbours that are often compared lie an octave or two apart: three bands, or six.
        dash: colour::DASHES[(i / 3) % 3],
        when: choice.when(i),
    };
    levels.rows().into_iter().enumerate().take(count).map(pattern).collect()
}
