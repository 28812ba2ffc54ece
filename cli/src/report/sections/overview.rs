//! Summary in plain words, key figures, cautions, and warnings that concern no section.

use crate::report::ReportInput;
use crate::report::figure::note;
use crate::report::format::{self, NBSP};
use maud::{Markup, html};
use panelwright_solver::Warning;
use panelwright_solver::listening::{Findings, UsableBand};

/// Keys of the warnings that another section shows, that section and its name.
pub type Place = (&'static [&'static str], &'static str, &'static str);

/// The sections that show warnings, in reading order.
const PLACES: [Place; 7] = [
    (&["response"], "response", "response"),
    (&["map"], "map", "output map"),
    (&["centre"], "centre", "acoustic centre"),
    (&["radiation"], "polar", "polar patterns"),
    (&["exciter"], "exciters", "exciters"),
    (&["modes"], "modes", "modes"),
    (&["power"], "balance", "power balance"),
];

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let told = (findings.summary.as_slice(), findings.warnings.as_slice());
    in_short(told, &PLACES, key_figures(findings), input.cautions)
}

/// Summary and warnings, figures below them, and cautions.
pub fn in_short(
    (summary, warnings): (&[String], &[Warning]),
    places: &[Place],
    figures: Markup,
    all_cautions: &[&str],
) -> Markup {
    html! {
        section #overview {
            h2 { "In short" }
            (in_words(summary, warnings, places))
            (figures)
            (where_doubted(warnings, places))
            (cautions(all_cautions))
        }
    }
}

/// The summary, and the warnings that no other section shows.
fn in_words(summary: &[String], warnings: &[Warning], places: &[Place]) -> Markup {
    let homeless = warnings.iter().filter(|w| !places.iter().any(|(keys, ..)| keys.contains(&w.concerns)));
    html! {
        ul.summary { @for sentence in summary { li { (format::bound(sentence)) } } }
        @for warning in homeless { (note(&warning.message)) }
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
    let mut figures =
        vec![("Sensitivity", format::decibels(findings.sensitivity.mean), sensitivity_remark(findings))];
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

fn sensitivity_remark(findings: &Findings) -> String {
    let spread = findings.sensitivity.mean_spread.map(|spread| {
        let [low, high] = [spread.tenth, spread.ninetieth].map(|level| format::fixed(level, 1));
        format!("; {low} to {high}{NBSP}dB in eight of ten variations")
    });
    format!("2.83 V, 1 m on axis, mean of third octaves{}", spread.unwrap_or_default())
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

/// Where the warnings stand: section and its name, in reading order.
fn where_doubted(warnings: &[Warning], places: &[Place]) -> Markup {
    let concerned = |keys: &[&str]| warnings.iter().any(|warning| keys.contains(&warning.concerns));
    let places: Vec<_> = places.iter().filter(|(keys, ..)| concerned(keys)).collect();
    html! {
        @if !places.is_empty() {
            p.quiet-line {
                "Doubts stand beside the curves they concern, marked “Take care”: "
                @for (i, (_, id, name)) in places.iter().enumerate() {
                    @if i > 0 { @if i + 1 == places.len() { " and " } @else { ", " } }
                    a href={ "#" (id) } { (name) }
                }
                "."
            }
        }
    }
}

/// Folded on the screen, so that the pictures come soon; whole on paper.
fn cautions(cautions: &[&str]) -> Markup {
    let heads: Vec<&str> = cautions.iter().filter_map(|caution| head(caution)).collect();
    html! {
        @if !cautions.is_empty() {
            aside.cautions aria-label="Cautions" {
                details {
                    summary { strong { "Before you build and switch on, read this. " } (heads.join(" · ")) }
                    ul { @for caution in cautions { li { (with_bold_head(caution)) } } }
                }
            }
        }
    }
}

/// The words before the first colon, if they are a heading.
fn head(text: &str) -> Option<&str> {
    text.split_once(':').map(|(head, _)| head).filter(|head| head.len() < 60)
}

fn with_bold_head(text: &str) -> Markup {
    match head(text) {
        Some(head) => html! { strong { (head) ":" } (text[head.len() + 1..]) },
        None => html! { (text) },
    }
}
