//! What would be better: crossover, equaliser, and what they do.

use super::response::curve;
use super::{BlendInput, with_every_surround};
use crate::blend_results::case_lines;
use crate::report::chart::curves::{Plot, legend, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::figure::{self, Figure};
use crate::report::format;
use maud::{Markup, html};
use panelwright_solver::blend::{BlendAdvice, BlendFindings, Blended};
use panelwright_solver::scene::{Alignment, BandShape, EqualiserBand};
use panelwright_solver::search::Crossover;

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 40.0;

/// The section.
pub fn section(input: &BlendInput) -> Markup {
    let content = |blended: &Blended| match &blended.advice {
        Some(advice) => html! {
            (averaged(input.findings, blended, advice))
            (choices(blended, advice))
            h3 { "Lines for the case file" }
            pre { code { (case_lines(input.case, &advice.crossover.crossover)) } }
            (equaliser(advice))
        },
        None => html! { p { "The range is too narrow to advise a crossover." } },
    };
    let body = with_every_surround(input.findings, "advice", content);
    figure::section("advice", "Crossover", &[], &[], body)
}

fn averaged(findings: &BlendFindings, blended: &Blended, advice: &BlendAdvice) -> Markup {
    let all = blended.averaged.iter().chain(&advice.averaged).copied();
    let plot = Plot {
        title: "Level of the energy averaged over the seats, dB re 20 µPa".into(),
        scale: Scale::decibels(all, SPAN),
        height: 260.0,
        curves: vec![
            curve("as in the case", blended.averaged.clone(), "dB", 1),
            curve("advised", advice.averaged.clone(), "dB", 0),
        ],
        marks: vec![],
    };
    let title = format!("Before and after, with “{}”", blended.surround);
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &[plot]),
        title,
        controls: html! {},
        legend: legend(&[(1, "as in the case".into()), (0, "advised".into())]),
        caption: html! {
            "Smoothed to a sixth of an octave; every seat counts alike. Unevenness is the standard deviation of this level over logarithmic frequency: "
            (format::decibels(blended.unevenness)) " as in the case, " (format::decibels(advice.crossover.unevenness)) " advised."
        },
        map: None,
    }
    .render()
}

fn choices(blended: &Blended, advice: &BlendAdvice) -> Markup {
    let best = (advice.crossover.crossover, advice.crossover.unevenness);
    html! {
        h3 { "The best of every shape, with “" (blended.surround) "”" }
        div.wide { table.numbers {
            thead { tr {
                th { "Shape" } th { "Order" } th { "Corner" } th { "Driver’s gain, dB" } th { "Driver later, ms" } th { "Polarity" } th { "Unevenness, dB" }
            } }
            tbody { @for (crossover, cost) in std::iter::once(&best).chain(&advice.crossover.others) { (choice(crossover, *cost)) } }
        } }
        p.definition {
            "The search looks for the most even averaged sound within the ratings of the parts, a price of 10 dB for every decibel beyond one included in the unevenness. A few tenths of a decibel "
            "between shapes are less than the built parts differ: take the one your amplifier has."
        }
    }
}

fn choice(crossover: &Crossover, cost: f64) -> Markup {
    let name = match crossover.shape.alignment {
        Alignment::Butterworth => "Butterworth",
        Alignment::Bessel => "Bessel",
        Alignment::LinkwitzRiley => "Linkwitz–Riley",
    };
    html! { tr {
        th scope="row" { (name) }
        td { (crossover.shape.order) }
        td { (format::hertz(crossover.corner)) }
        td { (format::fixed(crossover.gain_db, 1)) }
        td { (format::fixed(1e3 * crossover.delay, 3)) }
        td { @if crossover.reversed { "reversed" } @else { "normal" } }
        td { (format::fixed(cost, 2)) }
    } }
}

fn equaliser(advice: &BlendAdvice) -> Markup {
    let equaliser = &advice.equaliser;
    html! {
        h3 { "Equaliser before both channels" }
        @if equaliser.bands.is_empty() { p { "None is worth setting." } }
        @else {
            div.wide { table.numbers {
                thead { tr { th { "Frequency" } th { "Gain, dB" } th { "Q" } } }
                tbody { @for band in &equaliser.bands { (bell(band)) } }
            } }
            p.definition {
                "In third octaves it brings the unevenness from " (format::decibels(equaliser.before)) " to " (format::decibels(equaliser.after))
                ". Peaks are cut by at most 8 dB; only what is missing over a whole octave is raised, by at most 4 dB."
            }
        }
        p { "What no equaliser mends: dips where sound cancels at the seats, differences between seats, ringing of the panel, and two places that are heard apart." }
    }
}

fn bell(band: &EqualiserBand) -> Markup {
    let BandShape::Peaking { gain_db, q } = band.shape else { return html! {} };
    html! { tr {
        th scope="row" { (format::hertz(band.frequency)) } td { (format::fixed(gain_db, 1)) } td { (format::fixed(q, 1)) }
    } }
}
