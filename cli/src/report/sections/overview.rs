//! Summary in plain words, key figures, cautions, and warnings that concern no section.

use crate::report::ReportInput;
use crate::report::figure::note;
use crate::report::format::{self, NBSP};
use maud::{Markup, html};
use panelwright_solver::listening::{Findings, UsableBand};

/// Keys of the warnings that the other sections show.
const ELSEWHERE: [&str; 7] = ["modes", "response", "radiation", "map", "centre", "exciter", "power"];

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let homeless = findings.warnings.iter().filter(|w| !ELSEWHERE.contains(&w.concerns));
    html! {
        section #overview {
            h2 { "In short" }
            ul.summary { @for sentence in &findings.summary { li { (sentence) } } }
            @for warning in homeless { (note(&warning.message)) }
            (key_figures(findings))
            (where_doubted(findings))
            (cautions(input.cautions))
        }
    }
}

fn key_figures(findings: &Findings) -> Markup {
    html! {
        dl.figures { @for (name, value, remark) in figures(findings) {
            div { dt { (name) } dd { (value) } dd.remark { (remark) } }
        } }
    }
}

fn figures(findings: &Findings) -> Vec<(&'static str, String, String)> {
    let mut figures = vec![(
        "Sensitivity",
        format::decibels(findings.sensitivity.mean),
        "2.83 V, 1 m on axis, mean of 200 Hz to 4 kHz".to_string(),
    )];
    if let Some(seat) = findings.seats.first() {
        if let Some(usable) = seat.usable.iter().max_by(|a, b| a.drop.total_cmp(&b.drop)) {
            figures.push((
                "Usable band",
                band_text(usable),
                format!("−{} dB, {}", format::fixed(usable.drop, 0), seat.name),
            ));
        }
        figures.push((
            "Pink noise",
            format!("{}{NBSP}dB(A)", format::fixed(seat.a_weighted, 0)),
            seat.name.clone(),
        ));
    }
    if let Some(first) = findings.panel.natural_frequencies.first() {
        let count = findings.panel.natural_frequencies.len();
        figures.push(("First mode", format::hertz(*first), format!("{count} modes computed")));
    }
    figures.push(("Bare panel", format::mass(findings.panel.mass), "without exciters".into()));
    for channel in &findings.channels {
        let (frequency, ohms) = channel.lowest_impedance;
        figures.push((
            "Lowest impedance",
            format::quantity(ohms, "Ω"),
            format!("{} at {}", channel.name, format::hertz(frequency)),
        ));
    }
    figures
}

/// Limits of a usable band in words.
pub fn band_text(usable: &UsableBand) -> String {
    match (usable.lower, usable.upper) {
        (Some(lower), Some(upper)) => {
            let from = if usable.lower_open { "below " } else { "" };
            let to = if usable.upper_open { "beyond " } else { "" };
            format!("{from}{} to {to}{}", format::hertz(lower), format::hertz(upper))
        }
        _ => "none".into(),
    }
}

fn where_doubted(findings: &Findings) -> Markup {
    let count = findings.warnings.len();
    html! {
        @if count > 0 {
            p.quiet-line {
                @if count == 1 { "One warning stands" } @else { (count) " warnings stand" }
                " beside the curves concerned, marked “Take care”."
            }
        }
    }
}

fn cautions(cautions: &[&str]) -> Markup {
    html! {
        @if !cautions.is_empty() {
            aside.cautions aria-label="Cautions" {
                h3 { "Before you build and switch on" }
                ul { @for caution in cautions { li { (with_bold_head(caution)) } } }
            }
        }
    }
}

fn with_bold_head(text: &str) -> Markup {
    match text.split_once(':') {
        Some((head, rest)) if head.len() < 60 => html! { strong { (head) ":" } (rest) },
        _ => html! { (text) },
    }
}
