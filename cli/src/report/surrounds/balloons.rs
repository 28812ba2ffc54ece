//! Levels over all directions.

use super::SurroundInput;
use crate::report::chart::hemisphere::{self, Hemispheres};
use crate::report::choice::Choice;
use crate::report::format;
use maud::{Markup, html};
use ndarray::Axis;
use panelwright_solver::listening::{Balloon, OneSurround, SurroundFindings};

/// Bands that are drawn, as far as they are computed [Hz]: all of them are in the files.
const OCTAVES: [f64; 5] = [1000.0, 2000.0, 4000.0, 8000.0, 16_000.0];
/// Band shown at the start [Hz].
const FIRST: f64 = 8000.0;

/// Both half spheres of every surround at a few frequencies.
pub fn figure(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let drawn = drawn(findings);
    let Some(choice) = choice(findings, &drawn) else { return html! {} };
    let front_only = input.comparison.polar_angles.last().is_some_and(|angle| *angle < 2.0);
    html! {
        figure {
            h3 { "Levels in all directions" }
            (choice.controls("balloon"))
            (hemisphere::legend())

            div.balloons { @for surround in &findings.surrounds { div {
                h4 { (surround.name) }
                @for (number, &band) in drawn.iter().enumerate() {
                    @let when = choice.when(number);
                    div class=(when.class()) data-when=[when.attribute()] { (balloon(surround, band)) }
                }
            } } }
            figcaption {
            "Level in the far field over the half sphere before the driver" @if !front_only { ", and over that behind it as seen through the driver" }
            ": the middle is the axis, " @if !front_only { "or straight back, " } "the rim a right angle to it, right and up as the listener sees the driver. Equal areas are "
            "equal solid angles. Third-octave bands, relative to the axis. All bands and directions: " code { "balloon.csv" } "; complex over frequency: " code { "surrounds.h5" } "."
            }
        }
    }
}

/// Indices of the bands that are drawn.
fn drawn(findings: &SurroundFindings) -> Vec<usize> {
    let Some(bands) = findings.surrounds.first().map(|one| &one.balloon.bands) else { return vec![] };
    let octaves: Vec<usize> = (0..bands.len()).filter(|&i| OCTAVES.contains(&bands[i].nominal)).collect();
    if octaves.is_empty() { (0..bands.len().min(OCTAVES.len())).collect() } else { octaves }
}

fn choice(findings: &SurroundFindings, drawn: &[usize]) -> Option<Choice> {
    let bands = &findings.surrounds.first()?.balloon.bands;
    let nominal: Vec<f64> = drawn.iter().map(|&band| bands[band].nominal).collect();
    let first = nominal.iter().rposition(|f| *f <= FIRST).unwrap_or(0);
    let labels: Vec<String> = nominal.iter().map(|f| format::band_label(*f)).collect();
    (!labels.is_empty()).then(|| Choice::one("balloon", "Band, Hz", labels, first))
}

fn balloon(surround: &OneSurround, band: usize) -> Markup {
    let Balloon { polar, bands, levels, .. } = &surround.balloon;
    let levels = levels.index_axis(Axis(0), band);
    let relative = &levels - levels[[0, 0]];
    let label = format!("{} at {}", surround.name, format::hertz(bands[band].nominal));
    Hemispheres { polar, levels: relative.view() }.draw(&label)
}
