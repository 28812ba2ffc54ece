//! Where the sum goes: level over angle and frequency, and polar patterns.

use super::{BlendInput, with_every_surround};
use crate::report::chart::angles::{Arc, over_angles};
use crate::report::chart::heat;
use crate::report::figure::{self, Figure};
use crate::report::format;
use crate::report::sections::polar;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::blend::{BlendFindings, Blended};

/// Levels shown under the loudest [dB].
const SPAN: f64 = 36.0;

/// The section.
pub fn section(input: &BlendInput) -> Markup {
    let findings = input.findings;
    let content = |blended: &Blended| {
        // Controls of one group need places of their own.
        let same = |other: &&Blended| other.surround == blended.surround;
        let place = format!("polar-{}", findings.surrounds.iter().take_while(|other| !same(other)).count());
        html! {
            (picture(findings, blended, "horizontal", &blended.horizontal))
            (picture(findings, blended, "vertical", &blended.vertical))
            @if !blended.polar.bands.is_empty() { (polar::chart(&blended.polar, &place)) }
        }
    };
    let body = with_every_surround(findings, "directivity", content);
    figure::section("directivity", "Where the sound goes", &[], &[], body)
}

fn picture(findings: &BlendFindings, blended: &Blended, which: &str, levels: &Array2<f64>) -> Markup {
    let loudest = levels.iter().copied().filter(|level| level.is_finite()).fold(f64::NEG_INFINITY, f64::max);
    let top = (loudest / 6.0).ceil() * 6.0;
    let shading = heat::quiet_to_loud(top - SPAN, top);
    let title = format!("Level of the sum over the {which} arc, with “{}”", blended.surround);
    let arc = Arc { frequencies: &findings.frequencies, angles: &findings.angles, levels };
    let ends = if which == "horizontal" {
        "to the listener’s left (below 0) and right"
    } else {
        "below and above"
    };
    Figure {
        drawing: over_angles(&title, &arc, &shading),
        title,
        controls: html! {},
        legend: html! {},
        caption: html! {
            "Far away, as at 1 m, in dB re 20 µPa; angles from the panel’s axis, " (ends) ". Bright stripes that run out to one side are lobes: there panel and driver add up, and between them they cancel. "
            "The loudest is " (format::decibels(loudest)) "."
        },
        map: None,
    }
    .render()
}
