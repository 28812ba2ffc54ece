//! Third-octave gains as coloured cells, and where dips and peaks went.

use super::{places, reference};
use crate::report::format::{self, NBSP};
use crate::report::sections::gains;
use maud::{Markup, html};
use panelwright_solver::listening::{BandGain, Extremum, OneSurround, Shift, SurroundFindings, Turn};

/// All surrounds but the reference.
fn others(findings: &SurroundFindings) -> impl Iterator<Item = &OneSurround> {
    findings.surrounds.iter().enumerate().filter(|(i, _)| *i != findings.reference).map(|(_, one)| one)
}

/// What every surround adds in third octaves at a place.
pub fn gains(findings: &SurroundFindings, place: usize) -> Markup {
    let rows: Vec<(&str, &[BandGain])> = others(findings)
        .map(|surround| (surround.name.as_str(), surround.places[place].bands.as_slice()))
        .collect();
    gains::table(&places(findings)[place].place, reference(findings), &rows)
}

/// Dips and peaks of the reference at a place, and where every surround moves them.
pub fn turns(findings: &SurroundFindings, place: usize) -> Markup {
    html! {
        h3 { "Dips and peaks at " (places(findings)[place].place) }
        @if findings.surrounds.len() > 1 {
            div.wide { table.numbers {
                thead { tr {
                    th { "Surround" } th { "" } th { "“" (reference(findings)) "”" } th { "With it" } th { "Moved" } th { "Stood out" } th { "Stands out" } th { "Change" }
                } }
                tbody { @for surround in others(findings) {
                    @for (row, shift) in surround.places[place].shifts.iter().enumerate() { (shift_row(&surround.name, row == 0, shift)) }
                } }
            } }
            p.definition { "Those that stand out by 1 dB or more. Followed is what keeps its order and moves least, at most half an octave." }
        } @else { (alone(&places(findings)[place].turns)) }
    }
}

fn shift_row(name: &str, first: bool, shift: &Shift) -> Markup {
    let at = |e: Option<Extremum>, none: &str| e.map_or_else(|| none.into(), |e| format::hertz(e.frequency));
    let out = |e: Option<Extremum>| e.map_or_else(|| "–".into(), |e| format::decibels(e.prominence));
    let turn = shift.before.or(shift.after).map_or("", |e| turn_name(e.turn));
    html! {
        tr {
            th scope="row" { @if first { (name) } }
            td { (turn) }
            td { (at(shift.before, "new")) }
            td { (at(shift.after, "gone")) }
            td { (moved(shift)) }
            td { (out(shift.before)) }
            td { (out(shift.after)) }
            td { (change(shift)) }
        }
    }
}

fn turn_name(turn: Turn) -> &'static str {
    match turn {
        Turn::Dip => "dip",
        Turn::Peak => "peak",
    }
}

/// Shift of the frequency in per cent.
fn moved(shift: &Shift) -> String {
    shift.before.zip(shift.after).map_or_else(
        || "–".into(),
        |(before, after)| signed(100.0 * (after.frequency / before.frequency - 1.0), 1, "%"),
    )
}

/// How much deeper a dip or higher a peak became.
fn change(shift: &Shift) -> String {
    let Some((before, after)) = shift.before.zip(shift.after) else { return "–".into() };
    let more = after.prominence - before.prominence;
    let word = match (before.turn, more >= 0.0) {
        (Turn::Dip, true) => "deeper",
        (Turn::Dip, false) => "shallower",
        (Turn::Peak, true) => "higher",
        (Turn::Peak, false) => "lower",
    };
    format!("{} {word}", format::decibels(more.abs()))
}

fn signed(value: f64, digits: usize, unit: &str) -> String {
    let text = format::fixed(value, digits);
    let sign = if value > 0.0 && text.chars().any(|c| c.is_ascii_digit() && c != '0') { "+" } else { "" };
    format!("{sign}{text}{NBSP}{unit}")
}

fn alone(turns: &[Extremum]) -> Markup {
    html! {
        div.wide { table.numbers {
            thead { tr { th { "" } th { "Frequency" } th { "Level" } th { "Stands out" } } }
            tbody { @for turn in turns { tr {
                th scope="row" { (turn_name(turn.turn)) }
                td { (format::hertz(turn.frequency)) }
                td { (format::decibels(turn.level)) }
                td { (format::decibels(turn.prominence)) }
            } } }
        } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dip(frequency: f64, prominence: f64) -> Option<Extremum> {
        Some(Extremum { turn: Turn::Dip, frequency, level: 70.0, prominence })
    }

    #[test]
    fn shifts_are_told_in_per_cent_and_depth() {
        let shift = Shift { before: dip(8500.0, 8.0), after: dip(7650.0, 12.5) };
        assert_eq!((moved(&shift), change(&shift)), ("−10.0\u{a0}%".into(), "4.5\u{a0}dB deeper".into()));
        let gone = Shift { after: None, ..shift };
        assert_eq!((moved(&gone), change(&gone)), ("–".into(), "–".into()));
        let row = shift_row("wings", true, &gone).into_string();
        assert!(row.contains("gone") && row.contains("wings") && row.contains("8.5"), "{row}");
        assert_eq!(signed(0.02, 1, "%"), "0.0\u{a0}%");
    }
}
