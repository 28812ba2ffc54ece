//! The driver itself: impedance, excursion against its rating, sound power.

use super::SurroundInput;
use super::curves::{Quantity, names};
use crate::report::chart::curves::{Mark, Plot, over_frequency};
use crate::report::chart::scale::{Scale, extent};
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use num_complex::Complex64;

/// The section.
pub fn section(input: &SurroundInput) -> Markup {
    let body = html! { (impedance(input)) (excursion(input)) (power(input)) };
    figure::section("driver", "Driver", &input.findings.warnings, &["driver"], body)
}

fn figure(input: &SurroundInput, title: &str, plots: &[Plot], caption: Markup) -> Markup {
    Figure {
        title: title.into(),
        controls: html! {},
        legend: names(input.findings),
        drawing: over_frequency(title, &input.findings.frequencies, plots),
        caption,
        map: None,
    }
    .render()
}

fn impedance(input: &SurroundInput) -> Markup {
    let variants = &input.comparison.variants;
    let of = |number: usize, part: fn(&Complex64) -> f64| -> Vec<f64> {
        variants
            .get(number)
            .map_or_else(Vec::new, |variant| variant.curves.impedance.iter().map(part).collect())
    };
    let magnitude = Quantity {
        title: "Magnitude of the electrical impedance, Ω".into(),
        unit: "Ω",
        height: 190.0,
        values: &|number, _| of(number, |z| z.norm()),
    };
    let phase = Quantity {
        title: "Phase, degrees".into(),
        unit: "°",
        height: 120.0,
        values: &|number, _| of(number, |z| z.arg().to_degrees()),
    };
    let findings = input.findings;
    let (_, high) = extent(magnitude.all(findings)).unwrap_or((0.0, 10.0));
    let plots = [
        magnitude.plot(findings, Scale::linear(0.0, high)),
        phase.plot(findings, Scale::degrees(phase.all(findings))),
    ];
    figure(
        input,
        "Impedance",
        &plots,
        html! { "At the driver’s terminals, cable and source resistance excluded." },
    )
}

fn excursion(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let excursion = Quantity {
        title: "Peak excursion of the coil, µm".into(),
        unit: "µm",
        height: 220.0,
        values: &|_, one| one.excursion.iter().map(|metres| metres * 1e6).collect(),
    };
    let rated = input.case.scene.driver.motor.rated_excursion.map(|metres| metres * 1e6);
    let scale = Scale::log(excursion.all(findings).into_iter().chain(rated), 4.0);
    let mut plot = excursion.plot(findings, scale);
    plot.marks.extend(rated.map(|value| Mark::Limit {
        value,
        label: format!("rated {}", format::quantity(value, "µm")),
        colour: 5,
    }));
    let caption = html! {
        "Sine at " (format::quantity(findings.voltage, "V")) ", one way." @if rated.is_none() { " The case states no rated excursion." }
    };
    figure(input, "Excursion", &[plot], caption)
}

fn power(input: &SurroundInput) -> Markup {
    let findings = input.findings;
    let power = Quantity {
        title: "Sound power level, dB re 1 pW".into(),
        unit: "dB",
        height: 220.0,
        values: &|_, one| one.power_level.clone(),
    };
    let plot = power.plot(findings, Scale::decibels(power.all(findings), 60.0));
    figure(
        input,
        "Sound power",
        &[plot],
        html! { "What the diaphragm gives to the air, in all directions together." },
    )
}
