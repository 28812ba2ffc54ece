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
use panelwright_solver::scene::{Alignment, BandShape, EqualiserBand, PassFilter};
use panelwright_solver::search::crossover::{Crossover, WORTH_SPLITTING};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 40.0;

/// The section.
pub fn section(input: &BlendInput) -> Markup {
    let content = |blended: &Blended| match &blended.advice {
        Some(advice) => html! {
            (averaged(input.findings, blended, advice))
            (leads(input.findings, blended, advice))
            @for k in 0..advice.crossover.crossovers.len() { (choices(input.findings, blended, advice, k)) }
            (how(advice))
            h4 { "One source or two, with it" }
            ul { @for at in &advice.agreement { li { (format::bound(&at.verdict)) } } }
            h3 { "Lines for the case file" }
            pre { code { (case_lines(input.case, advice)) } }
            p.definition { "They take the place of filters, gain, delay and polarity of these channels. Keep what else stands in their tables, such as " code { "wiring" } " and " code { "voltage" } "." }
            (equaliser(advice))
        },
        None => {
            html! { p { "No crossover is advised: " (blended.unadvised.as_deref().unwrap_or_default()) "." } }
        }
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

/// Which part is the loudest where, now and then.
fn leads(findings: &BlendFindings, blended: &Blended, advice: &BlendAdvice) -> Markup {
    let range = |leads: Option<[f64; 2]>| match leads {
        Some([low, high]) => format!("{} to {}", format::hertz(low), format::hertz(high)),
        None => "nowhere".into(),
    };
    html! {
        div.wide { table.numbers {
            thead { tr { th { "Loudest at the seats" } th { "as in the case" } th { "advised" } } }
            tbody { @for ((part, now), then) in findings.parts.iter().zip(&blended.leads).zip(&advice.leads) {
                tr { th scope="row" { (part) } td { (range(*now)) } td { (range(*then)) } }
            } }
        } }
        p.definition { "From the lowest to the highest frequency at which a part is the loudest, energies averaged over the seats; between them others may lead, too." }
    }
}

fn choices(findings: &BlendFindings, blended: &Blended, advice: &BlendAdvice, k: usize) -> Markup {
    let found = &advice.crossover;
    let best = (found.crossovers[k], found.cost);
    let [lower, upper] = [k, k + 1].map(|rank| findings.parts[advice.order[rank]].as_str());
    html! {
        h3 { "From “" (lower) "” to “" (upper) "”: the best of every shape, with “" (blended.surround) "”" }
        div.wide { table.numbers {
            thead { tr {
                th { "Low-pass, high-pass" } th { "Gain of “" (upper) "”, dB" } th { "“" (upper) "” later, ms" }
                th { "Polarity" } th { "Unevenness, dB" }
            } }
            tbody { @for (crossover, cost) in std::iter::once(&best).chain(&found.others[k]) { (choice(crossover, *cost, [lower, upper])) } }
        } }
    }
}

fn how(advice: &BlendAdvice) -> Markup {
    html! { p.definition {
        "The search looks for the most even averaged sound within the ratings of the parts, a price of 10 dB for every decibel beyond one included in the unevenness. Gain, delay and polarity are those of the "
        "upper part against the lower one. Delays keep within half a period of the corner from arriving together there. A few tenths of a decibel between shapes are less than the built parts differ: take the one your amplifier has. Low-pass and high-pass differ only where that gains more "
        "than " (format::decibels(WORTH_SPLITTING)) "."
        @if advice.crossover.crossovers.len() > 1 {
            " Parts are ordered by the corners of the case; one crossover after the other is searched, from low to high, the others left as they are, until nothing is gained; in each table the other crossovers are the "
            "advised ones."
        }
    } }
}

fn choice(crossover: &Crossover, cost: f64, [lower, upper]: [&str; 2]) -> Markup {
    html! { tr {
        th scope="row" {
            (pass(&crossover.low)) @if crossover.is_split() { " for “" (lower) "”, " (pass(&crossover.high)) " for “" (upper) "”" }
        }
        td { (format::fixed(crossover.gain_db, 1)) }
        td { (format::fixed(1e3 * crossover.delay, 3)) }
        td { @if crossover.reversed { "reversed" } @else { "normal" } }
        td { (format::fixed(cost, 2)) }
    } }
}

fn pass(filter: &PassFilter) -> String {
    let name = match filter.alignment {
        Alignment::Butterworth => "Butterworth",
        Alignment::Bessel => "Bessel",
        Alignment::LinkwitzRiley => "Linkwitz–Riley",
    };
    format!("{name} {} at {}", filter.order, format::hertz(filter.corner))
}

fn equaliser(advice: &BlendAdvice) -> Markup {
    let equaliser = &advice.equaliser;
    html! {
        h3 { "Equaliser before all channels" }
        @if equaliser.bands.is_empty() { p { "None is worth setting." } }
        @else {
            div.wide { table.numbers {
                thead { tr { th { "Frequency" } th { "Gain, dB" } th { "Q" } } }
                tbody { @for band in &equaliser.bands { (bell(band)) } }
            } }
            p.definition {
                "In third octaves it brings the unevenness from " (format::decibels(equaliser.before)) " to " (format::decibels(equaliser.after))
                ". Peaks are cut by at most 8 dB; only what is missing over a whole octave is raised, by at most 4 dB. Its biquads stand in " code { "crossover.txt" } "."
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
