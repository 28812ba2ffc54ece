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
use panelwright_solver::listening::{BlendedAt, InTime};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 60.0;
/// Group delays shown at most to either side [ms]: in a deep dip they have no end.
const DELAY: f64 = 5.0;
/// Times shown before and after the first arrival [ms].
const SHOWN: [f64; 2] = [1.0, 12.0];
/// Colours of sum, panel, driver.
const COLOURS: [usize; 3] = [0, 1, 2];

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
        &format!("{}, panel and driver", blended.seats[seat].seat),
        &first.surround,
        &[(&blended.surround, gains)],
    )
}

/// A curve.
pub fn curve(label: &str, values: Vec<f64>, unit: &'static str, colour: usize) -> Curve<'static> {
    Curve { label: label.into(), values: values.into(), unit, colour, thin: false, when: When::default() }
}

fn levels(findings: &BlendFindings, heard: &BlendedAt) -> Markup {
    let names = ["sum", "panel", findings.driver.as_str()];
    let values = [&heard.level, &heard.parts[0].level, &heard.parts[1].level];
    let curves = (0..3).map(|i| curve(names[i], values[i].clone(), "dB", COLOURS[i])).collect();
    let all = values.iter().flat_map(|values| values.iter().copied());
    let level = Plot {
        title: "Sound pressure level, dB re 20 µPa".into(),
        scale: Scale::decibels(all, SPAN),
        height: 300.0,
        curves,
        marks: vec![],
    };
    let between: Vec<f64> = heard.parts[1].against_first.iter().map(|angle| angle.to_degrees()).collect();
    let phase = Plot {
        title: format!("Phase of “{}” against the panel, degrees", findings.driver),
        scale: Scale::degrees([-180.0, 180.0]),
        height: 150.0,
        curves: vec![curve("between the parts", between, "°", COLOURS[2])],
        marks: vec![],
    };
    let title = format!("Level at {}", heard.seat);
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &[level, phase]),
        title,
        controls: html! {},
        legend: legend(&COLOURS.iter().map(|&c| (c, names[c].to_owned())).collect::<Vec<_>>()),
        caption: html! {
            "Sine at the voltages of the case, through its channels, unsmoothed. Where the sum lies below a part the other one takes away from it: within 90° of each other "
            "parts help, near 180° they cancel."
        },
        map: None,
    }
    .render()
}

fn delays(findings: &BlendFindings, heard: &BlendedAt) -> Markup {
    let delay: Vec<f64> = heard.group_delay.iter().map(|seconds| 1e3 * seconds).collect();
    let (low, high) = extent(delay.iter().copied()).unwrap_or((0.0, 1.0));
    let plot = Plot {
        title: "Group delay of the sum beyond the first arrival, ms".into(),
        scale: Scale::linear(low.clamp(-DELAY, 0.0), high.clamp(0.1, DELAY)),
        height: 190.0,
        curves: vec![curve("sum", delay, "ms", COLOURS[0])],
        marks: vec![],
    };
    let title = format!("Group delay at {}", heard.seat);
    Figure {
        drawing: over_frequency(&title, &findings.frequencies, &[plot]),
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
