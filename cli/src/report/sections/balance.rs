//! Where the electrical power goes.

use crate::report::ReportInput;
use crate::report::chart::curves::{self, Curve, Plot, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use maud::{Markup, html};
use panelwright_solver::listening::Findings;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    figure::section("balance", "Power balance", &findings.warnings, &["power"], chart(findings))
}

fn chart(findings: &Findings) -> Markup {
    let balance = &findings.balance;
    let mut powers: Vec<(&str, &[f64])> = vec![
        ("electrical input", &balance.electrical),
        ("coil heat", &balance.coil_heat),
        ("suspension", &balance.suspension),
        ("panel", &balance.structure),
        ("air", &balance.radiated),
        ("sound", &findings.radiated),
    ];
    if balance.supports.iter().any(|&power| power > 0.0) {
        powers.push(("hangs", &balance.supports));
    }
    let curve = |(colour, (label, values)): (usize, &(&str, &'_ [f64]))| Curve {
        label: label.to_string(),
        values: values.to_vec().into(),
        unit: "W",
        colour,
        thin: false,
        when: When::default(),
    };
    let plot = Plot {
        title: "Power, W".into(),
        scale: Scale::log(powers.iter().flat_map(|(_, values)| values.iter().copied()), 7.0),
        height: 300.0,
        curves: powers.iter().enumerate().map(curve).collect(),
        marks: Vec::new(),
    };
    let entries: Vec<(usize, String)> =
        powers.iter().enumerate().map(|(i, (name, _))| (i, name.to_string())).collect();
    Figure {
        title: "Where the power goes".into(),
        controls: html! {},
        legend: curves::legend(&entries),
        drawing: over_frequency("Power balance over frequency", &findings.frequencies, &[plot]),
        caption: html! { "Sine at the drive voltage, all channels together. Panel: its material, patches and bars. Air: what both faces give off. Sound: what travels away, to both sides of an open panel, to the front of any other." },
        map: None,
    }
    .render()
}
