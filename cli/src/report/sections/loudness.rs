//! Sensitivity, sound power level and directivity index.

use crate::report::ReportInput;
use crate::report::chart::curves::{self, Curve, Plot, over_frequency};
use crate::report::chart::scale::{Scale, extent};
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::listening::Findings;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    figure::section(
        "loudness",
        "Sensitivity, sound power, directivity",
        &findings.warnings,
        &["radiation"],
        chart(findings),
    )
}

fn chart(findings: &Findings) -> Markup {
    let (axis, power) = (&findings.sensitivity.level, &findings.power_level);
    let levels = Plot {
        title: "Level, dB".into(),
        scale: Scale::decibels(axis.iter().chain(power).copied(), 70.0),
        height: 260.0,
        curves: vec![curve("sensitivity", axis, 0), curve("sound power level", power, 1)],
        marks: Vec::new(),
    };
    let index = &findings.directivity_index;
    let (low, high) = extent(index.iter().copied()).unwrap_or((0.0, 10.0));
    let directivity = Plot {
        title: "Directivity index, dB".into(),
        scale: Scale::linear(low.max(-30.0), high),
        height: 150.0,
        curves: vec![curve("directivity index", index, 2)],
        marks: Vec::new(),
    };
    let names =
        ["sensitivity, 2.83 V, 1 m, dB re 20 µPa", "sound power level, dB re 1 pW", "directivity index"];
    let entries: Vec<(usize, String)> = names.iter().enumerate().map(|(i, n)| (i, n.to_string())).collect();
    Figure {
        title: format!("Mean sensitivity {}", format::decibels(findings.sensitivity.mean)),
        controls: html! {},
        legend: curves::legend(&entries),
        drawing: over_frequency("Sensitivity, sound power level and directivity index over frequency", &findings.frequencies, &[levels, directivity]),
        caption: html! {
            "Sensitivity: on the panel’s axis at 1 m for 2.83 V; its mean is taken over the third-octave levels from 200 Hz to 4 kHz. "
            "Directivity index: level on axis over the mean of the half space as if radiated into the full sphere."
        },
        map: None,
    }
    .render()
}

fn curve<'a>(label: &str, values: &'a [f64], colour: usize) -> Curve<'a> {
    Curve {
        label: label.into(),
        values: values.into(),
        unit: "dB",
        colour,
        thin: false,
        when: When::default(),
    }
}
