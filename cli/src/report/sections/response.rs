//! Levels at the seats.

use super::overview::band_text;
use crate::report::chart::curves::{self, Curve, Mark, Plot, over_frequency};
use crate::report::chart::scale::Scale;
use crate::report::choice::{Choice, When};
use crate::report::figure::{self, Figure};
use crate::report::format::NBSP;
use crate::report::{ReportInput, format};
use maud::{Markup, html};
use panelwright_solver::listening::{Findings, SeatFindings};

/// Lowest level shown under the loudest [dB].
const SPAN: f64 = 70.0;
/// Octave fraction shown at the start, where it is among the findings.
const FIRST_SMOOTHING: u32 = 6;

/// The section.
pub fn section(input: &ReportInput) -> Markup {
    let findings = input.findings;
    let body = html! {
        @if !findings.seats.is_empty() {
            (chart(findings))
            (usable_table(findings))
            (third_octave_table(findings))
        } @else { p { "The case names no seats." } }
    };
    figure::section("response", "Response at the seats", &findings.warnings, &["response"], body)
}

fn chart(findings: &Findings) -> Markup {
    let (seats, smoothing) = (seat_choice(findings), smoothing_choice(findings));
    let levels = findings.seats.iter().flat_map(|s| s.level.iter().copied());
    let plot = Plot {
        title: "Sound pressure level, dB re 20 µPa".into(),
        scale: Scale::decibels(levels, SPAN),
        height: 340.0,
        curves: curves(findings, &seats, &smoothing),
        marks: usable_marks(findings, &seats),
    };
    let label = "Sound pressure level at the seats over frequency";
    Figure {
        title: "Level over frequency".into(),
        controls: html! { (seats.controls("response")) (smoothing.controls("response")) },
        legend: legend(findings, &seats),
        drawing: over_frequency(label, &findings.frequencies, &[plot]),
        caption: html! {
            "Sine at the drive voltage. Pale thin line: unsmoothed. Strong line: mean square over the chosen fraction of an octave. "
            "Bars: the stretch that falls nowhere more than 6 or 10 dB below the mean third-octave level from 200 Hz to 4 kHz."
        },
        map: None,
    }
    .render()
}

/// Names of the seats whose curves are visible.
fn legend(findings: &Findings, seats: &Choice) -> Markup {
    let count = findings.seats.len();
    html! {
        ul.legend { @for (i, seat) in findings.seats.iter().enumerate() {
            (curves::legend_entry(i, &seat.name, &seats.when_any(&[i, count])))
        } }
    }
}

/// One option per seat and, with several seats, all of them together.
fn seat_choice(findings: &Findings) -> Choice {
    let mut labels: Vec<String> = findings.seats.iter().map(|s| s.name.clone()).collect();
    if labels.len() > 1 {
        labels.push("all together".into());
    }
    Choice::one("seat", "Seat", labels, 0)
}

fn smoothing_choice(findings: &Findings) -> Choice {
    let fractions: Vec<u32> = findings.seats[0].smoothed.iter().map(|s| s.fraction).collect();
    let chosen = fractions.iter().position(|f| *f == FIRST_SMOOTHING).map_or(0, |place| place + 1);
    let labels =
        std::iter::once("none".to_string()).chain(fractions.iter().map(|f| format!("1/{f}"))).collect();
    Choice::one("smoothing", "Smoothing, octaves", labels, chosen)
}

fn curves<'a>(findings: &'a Findings, seats: &Choice, smoothing: &Choice) -> Vec<Curve<'a>> {
    let count = findings.seats.len();
    let of_seat = |(i, seat): (usize, &'a SeatFindings)| {
        let raw = curve(seat, i, &seat.level, seats.when(i), true);
        let alone = curve(seat, i, &seat.level, seats.when_any(&[i, count]).and(smoothing.when(0)), false);
        let smoothed = seat.smoothed.iter().enumerate().map(move |(k, smooth)| {
            curve(seat, i, &smooth.level, seats.when_any(&[i, count]).and(smoothing.when(k + 1)), false)
        });
        [raw, alone].into_iter().chain(smoothed).collect::<Vec<_>>()
    };
    findings.seats.iter().enumerate().flat_map(of_seat).collect()
}

fn curve<'a>(seat: &SeatFindings, colour: usize, level: &'a [f64], when: When, thin: bool) -> Curve<'a> {
    let label = if thin { format!("{}, unsmoothed", seat.name) } else { seat.name.clone() };
    Curve { label, values: level.into(), unit: "dB", colour, thin, when }
}

fn usable_marks<'a>(findings: &'a Findings, seats: &Choice) -> Vec<Mark<'a>> {
    let of_seat = |(i, seat): (usize, &'a SeatFindings)| {
        let bars = seat.usable.iter().enumerate().filter_map(|(row, usable)| {
            let (from, to) = (usable.lower?, usable.upper?);
            let label = format!("−{} dB: {}", format::fixed(usable.drop, 0), band_text(usable));
            Some(Mark::Bar { from, to, label, row, colour: i, when: seats.when(i) })
        });
        bars.collect::<Vec<_>>()
    };
    findings.seats.iter().enumerate().flat_map(of_seat).collect()
}

fn usable_table(findings: &Findings) -> Markup {
    html! {
        div.wide { table.roomy {
            caption { "Usable band and loudness" }
            thead { tr { th { "Seat" } th { "Place x, y, z, mm" } th { "Reference" }
                @for usable in &findings.seats[0].usable { th { "−" (format::fixed(usable.drop, 0)) " dB band" } }
                th { "Pink noise" } } }
            tbody { @for seat in &findings.seats { tr {
                th scope="row" { (seat.name) }
                td { (place(seat.position)) }
                td { (seat.usable.first().map_or_else(|| "–".into(), |u| format::decibels(u.reference))) }
                @for usable in &seat.usable { td { (band_text(usable)) } }
                td { (format::fixed(seat.a_weighted, 1)) (NBSP) "dB(A)" }
            } } }
        } }
    }
}

fn place(position: [f64; 3]) -> String {
    position.map(|v| format::fixed(v * 1e3, 0)).join(", ")
}

fn third_octave_table(findings: &Findings) -> Markup {
    html! {
        details {
            summary { "Third-octave levels at the seats, dB re 20 µPa" }
            div.wide { table.numbers {
                thead { tr { th { "Band" } @for seat in &findings.seats { th { (seat.name) } } } }
                tbody { @for (row, band) in findings.seats[0].third_octaves.iter().enumerate() { tr {
                    th scope="row" { (format::band(band.band.nominal)) }
                    @for seat in &findings.seats {
                        td { (seat.third_octaves.get(row).map_or_else(String::new, |b| format::fixed(b.level, 1))) }
                    }
                } } }
            } }
            p.definition { "Pink noise with the drive voltage’s power in every band: the mean square of the response in the band." }
        }
    }
}
