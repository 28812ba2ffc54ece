//! Levels of parts and sum, phase between the parts, group delay, at every seat.

use super::{BlendInput, everywhere};
use crate::report::chart::curves::{Curve, Plot, legend, over_frequency};
use crate::report::chart::scale::{Scale, extent};
use crate::report::chart::time::over_time;
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::report::sections::gains;
use maud::{Markup, html};
use panelwright_solver::blend::{BlendFindings, Blended};
use panelwright_solver::listening::{BlendedAt, InTime, PartAt};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 60.0;
/// Group delays shown at most to either side [ms]: in a deep dip they have no end.
const DELAY: f64 = 5.0;
/// Times shown before and after the first arrival [ms].
const SHOWN: [f64; 2] = [1.0, 12.0];
/// Shares shown down to this, and half as much upwards [dB].
const SHARE: f64 = 24.0;

/// The section.
pub fn section(input: &BlendInput) -> Markup {
    let findings = input.findings;
    let at = |blended: &Blended, seat: usize| {
        let heard = &blended.seats[seat];
        html! { (levels(findings, heard)) (changes(findings, blended, seat)) (delays(findings, heard)) (step(heard)) }
    };
    let body = everywhere(findings, "response", at);
    figure::section(
        "response",
        "Response",
        &findings.warnings,
        &["response", "radiation", "modes", "exciter"],
        body,
    )
}

/// What the surround changes in the sum.
fn changes(findings: &BlendFindings, blended: &Blended, seat: usize) -> Markup {
    let (Some(gains), Some(first)) = (blended.gains.get(seat), findings.surrounds.first()) else {
        return html! {};
    };
    gains::table(
        &format!("{}, everything together", blended.seats[seat].seat),
        &first.surround,
        &[(&blended.surround, gains)],
    )
}

/// A curve.
pub fn curve(label: &str, values: Vec<f64>, unit: &'static str, colour: usize) -> Curve<'static> {
    Curve { label: label.into(), values: values.into(), unit, colour, thin: false, when: When::default() }
}

fn levels(findings: &BlendFindings, heard: &BlendedAt) -> Markup {
    let names: Vec<&str> = std::iter::once("sum").chain(findings.parts.iter().map(String::as_str)).collect();
    let parts = heard.parts.iter().map(|part| &part.level);
    let values: Vec<&Vec<f64>> = std::iter::once(&heard.level).chain(parts).collect();
    let all = values.iter().flat_map(|values| values.iter().copied());
    let level = Plot {
        title: "Sound pressure level, dB re 20 µPa".into(),
        scale: Scale::decibels(all, SPAN),
        height: 300.0,
        curves: (0..values.len()).map(|i| curve(names[i], values[i].clone(), "dB", i)).collect(),
        marks: vec![],
    };
    let title = format!("Level at {}, sum and every part alone", heard.seat);
    let plots = [level, shares(findings, heard), between(findings, heard)];
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &plots),
        title,
        controls: html! {},
        legend: legend(&names.iter().enumerate().map(|(i, name)| (i, (*name).to_owned())).collect::<Vec<_>>()),
        caption: html! {
            "Sine at the voltages of the case, through its channels, unsmoothed. Share: level of a part minus that of the sum; above 0 the others take away from it. Within 90° of each other "
            "parts help, near 180° they cancel."
        },
        map: None,
    }
    .render()
}

fn shares<'a>(findings: &BlendFindings, heard: &BlendedAt) -> Plot<'a> {
    let of = |(i, part): (usize, &PartAt)| curve(&findings.parts[i], part.share.clone(), "dB", i + 1);
    Plot {
        title: "Share of every part, dB re the sum".into(),
        scale: Scale::linear(-SHARE, 0.5 * SHARE),
        height: 150.0,
        curves: heard.parts.iter().enumerate().map(of).collect(),
        marks: vec![],
    }
}

fn between<'a>(findings: &BlendFindings, heard: &BlendedAt) -> Plot<'a> {
    let of = |(i, part): (usize, &PartAt)| {
        let degrees = part.against_first.iter().map(|angle| angle.to_degrees()).collect();
        curve(&format!("“{}” against the panel", findings.parts[i]), degrees, "°", i + 1)
    };
    Plot {
        title: "Phase against the panel, degrees".into(),
        scale: Scale::degrees([-180.0, 180.0]),
        height: 150.0,
        curves: heard.parts.iter().enumerate().skip(1).map(of).collect(),
        marks: vec![],
    }
}

fn delays(findings: &BlendFindings, heard: &BlendedAt) -> Markup {
    let delay: Vec<f64> = heard.group_delay.iter().map(|seconds| 1e3 * seconds).collect();
    let (low, high) = extent(delay.iter().copied()).unwrap_or((0.0, 1.0));
    let phase = Plot {
        title: "Phase of the sum without the time of the first arrival, degrees".into(),
        scale: Scale::degrees([-180.0, 180.0]),
        height: 150.0,
        curves: vec![curve("sum", heard.phase.iter().map(|angle| angle.to_degrees()).collect(), "°", 0)],
        marks: vec![],
    };
    let plot = Plot {
        title: "Group delay of the sum beyond the first arrival, ms".into(),
        scale: Scale::linear(low.clamp(-DELAY, 0.0), high.clamp(0.1, DELAY)),
        height: 190.0,
        curves: vec![curve("sum", delay, "ms", 0)],
        marks: vec![],
    };
    let title = format!("Phase and group delay at {}", heard.seat);
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &[phase, plot]),
        title,
        controls: html! {},
        legend: html! {},
        caption: html! {
            "How much later than by the straight way from the nearest part a narrow band arrives. A panel rings: its modes make the ripple. A step at the crossover means that one "
            "part comes late. Narrow spikes belong to dips, where little arrives."
        },
        map: None,
    }
    .render()
}

fn step(heard: &BlendedAt) -> Markup {
    let title = format!("Step response at {}", heard.seat);
    let InTime::Heard { sample_rate, starts, step, .. } = &heard.in_time else {
        return html! { p.definition { "No step response is given for " (heard.seat) ": see the doubts above." } };
    };
    let time = |n: usize| 1e3 * (starts + n as f64 / sample_rate - heard.flight);
    let shown = |(time, _): &(f64, f64)| (-SHOWN[0]..=SHOWN[1]).contains(time);
    let points: Vec<(f64, f64)> = step.iter().enumerate().map(|(n, p)| (time(n), *p)).filter(shown).collect();
    html! { figure {
        h3 { (title) }
        (over_time(&title, "Sound pressure after a step of the voltage, Pa", 190.0, &points))
        figcaption {
            "The clock starts when sound from the nearest part can first arrive. One source makes one rise; two that do not arrive together make two. Only what was computed is in it: without the bass the "
            "step falls back to nothing soon."
        }
    } }
}
