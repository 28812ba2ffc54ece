//! Impedance, excursion and power against the ratings.

use crate::report::ReportInput;
use crate::report::chart::curves::{self, Curve, Mark, Plot, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::listening::{ExciterFindings, Findings};

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let body = html! {
        (table(findings))
        (impedance(findings))
        (against_rating(findings, &EXCURSION))
        (against_rating(findings, &POWER))
    };
    figure::section("exciters", "Exciters and amplifier", &findings.warnings, &["exciter"], body)
}

/// A quantity that has a rating.
struct Rated {
    title: &'static str,
    axis: &'static str,
    unit: &'static str,
    /// From SI to the unit shown.
    factor: f64,
    values: fn(&ExciterFindings) -> &[f64],
    rating: fn(&ExciterFindings) -> Option<f64>,
    caption: &'static str,
}

const EXCURSION: Rated = Rated {
    title: "Excursion against rating",
    axis: "Peak excursion of coil against magnet, mm",
    unit: "mm",
    factor: 1e3,
    values: |e| &e.excursion,
    rating: |e| e.rated_excursion,
    caption: "Sine at the drive voltage, one way. Horizontal lines: what the parts are rated for.",
};

const POWER: Rated = Rated {
    title: "Electrical power against rating",
    axis: "Real electrical power, W",
    unit: "W",
    factor: 1.0,
    values: |e| &e.power,
    rating: |e| e.rated_power,
    caption: "Sine at the drive voltage. Horizontal lines: what the parts are rated for.",
};

fn against_rating(findings: &Findings, rated: &Rated) -> Markup {
    let shown = |value: f64| value * rated.factor;
    let values = findings.exciters.iter().flat_map(|e| (rated.values)(e).iter().copied());
    let ratings = findings.exciters.iter().filter_map(rated.rating);
    let curve = |(colour, e): (usize, &ExciterFindings)| Curve {
        label: e.name.clone(),
        values: (rated.values)(e).iter().map(|&v| shown(v)).collect::<Vec<_>>().into(),
        unit: rated.unit,
        colour,
        thin: false,
        when: When::default(),
    };
    let plot = Plot {
        title: rated.axis.into(),
        scale: Scale::log(values.chain(ratings).map(shown), 4.0),
        height: 240.0,
        curves: findings.exciters.iter().enumerate().map(curve).collect(),
        marks: limits(findings, rated),
    };
    Figure {
        title: rated.title.into(),
        controls: html! {},
        legend: exciter_legend(findings),
        drawing: over_frequency(rated.title, &findings.frequencies, &[plot]),
        caption: html! { (rated.caption) },
        map: None,
    }
    .render()
}

/// One line per different rating.
fn limits(findings: &Findings, rated: &Rated) -> Vec<Mark<'static>> {
    let mut marks: Vec<Mark> = Vec::new();
    let mut seen: Vec<f64> = Vec::new();
    for (colour, exciter) in findings.exciters.iter().enumerate() {
        let Some(value) = (rated.rating)(exciter).filter(|v| !seen.contains(v)) else { continue };
        seen.push(value);
        let twins = findings.exciters.iter().filter(|e| (rated.rating)(e) == Some(value)).count();
        let owner = if twins == findings.exciters.len() { "each" } else { exciter.name.as_str() };
        let label = format!("rated {} ({owner})", format::quantity(value * rated.factor, rated.unit));
        marks.push(Mark::Limit { value: value * rated.factor, label, colour });
    }
    marks
}

fn exciter_legend(findings: &Findings) -> Markup {
    let entries: Vec<(usize, String)> =
        findings.exciters.iter().enumerate().map(|(i, e)| (i, e.name.clone())).collect();
    html! { @if entries.len() > 1 { (curves::legend(&entries)) } }
}

fn impedance(findings: &Findings) -> Markup {
    let channels = &findings.channels;
    let curve = |colour: usize, values: Vec<f64>, unit: &'static str| Curve {
        label: channels[colour].name.clone(),
        values: values.into(),
        unit,
        colour,
        thin: false,
        when: When::default(),
    };
    let magnitude = |i: usize| channels[i].load.impedance.iter().map(|z| z.norm()).collect::<Vec<_>>();
    let phase =
        |i: usize| channels[i].load.impedance.iter().map(|z| z.arg().to_degrees()).collect::<Vec<_>>();
    let all = 0..channels.len();
    let plots = [
        Plot {
            title: "Magnitude, Ω".into(),
            scale: Scale::log(all.clone().flat_map(magnitude), 3.0),
            height: 220.0,
            curves: all.clone().map(|i| curve(i, magnitude(i), "Ω")).collect(),
            marks: Vec::new(),
        },
        Plot {
            title: "Phase, degrees".into(),
            scale: Scale::degrees(all.clone().flat_map(phase)),
            height: 120.0,
            curves: all.map(|i| curve(i, phase(i), "°")).collect(),
            marks: Vec::new(),
        },
    ];
    let entries: Vec<(usize, String)> =
        channels.iter().enumerate().map(|(i, c)| (i, c.name.clone())).collect();
    Figure {
        title: "Electrical impedance at the amplifier’s terminals".into(),
        controls: html! {},
        legend: html! { @if entries.len() > 1 { (curves::legend(&entries)) } },
        drawing: over_frequency("Electrical impedance over frequency", &findings.frequencies, &plots),
        caption: html! { "What the amplifier sees, its own output and cable resistance excluded. Its magnitude is easily measured on the finished panel, to check the inputs." },
        map: None,
    }
    .render()
}

fn table(findings: &Findings) -> Markup {
    html! {
        div.wide { table.roomy {
            caption { "Worst cases against the ratings" }
            thead { tr { th { "Exciter" } th { "Place x, y" } th { "Largest excursion" } th { "Rated" } th { "Largest power" } th { "Rated" } } }
            tbody { @for e in &findings.exciters { tr {
                th scope="row" { (e.name) }
                td { (format::fixed(e.position[0] * 1e3, 0)) ", " (format::millimetres(e.position[1])) }
                td.over[exceeds(e.worst_excursion.1, e.rated_excursion)] { (format::millimetres_fine(e.worst_excursion.1, 2)) " at " (format::hertz(e.worst_excursion.0)) }
                td { (e.rated_excursion.map_or_else(|| "not stated".into(), |r| format::millimetres_fine(r, 2))) }
                td.over[exceeds(e.worst_power.1, e.rated_power)] { (format::quantity(e.worst_power.1, "W")) " at " (format::hertz(e.worst_power.0)) }
                td { (e.rated_power.map_or_else(|| "not stated".into(), |r| format::quantity(r, "W"))) }
            } } }
        } }
    }
}

fn exceeds(value: f64, rating: Option<f64>) -> bool {
    rating.is_some_and(|rated| value > rated)
}
