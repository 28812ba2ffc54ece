//! All variants in one picture.

use super::{StudyInput, axis};
use crate::report::chart::curves::legend_entry;
use crate::report::chart::traces::{self, DRAWN, Emphasis, Lane};
use crate::report::choice::When;
use crate::report::figure::{self, Figure};
use crate::study::{Aspect, ordinal};
use crate::terminal::whole;
use maud::{Markup, html};

/// Of a long front only the best so many are drawn by themselves.
const FRONT: usize = 30;

/// The section.
pub fn section(input: &StudyInput) -> Markup {
    let findings = input.findings;
    let count = findings.ranking.best_first.len();
    let label = format!("{} variants as lines through {} axes", whole(count), findings.aspects.len());
    let lanes: Vec<Lane> =
        findings.aspects.iter().enumerate().map(|(i, _)| lane(&findings.aspects, i)).collect();
    let figure = Figure {
        title: "Every variant as a line".into(),
        controls: html! {},
        legend: legend(input),
        drawing: traces::traces(&label, &lanes, count, &emphases(input)),
        caption: html! {
            "From top to bottom each line passes the values of one variant, then what comes of them. Of objectives better is always to the right. " (drawn(count))
            " Point at a line, or at a row of the table, to see that variant in all pictures; with the arrow keys the next in the ranking."
        },
        map: None,
    };
    figure::section("variants", "All variants at once", &[], &[], figure.render())
}

fn lane(aspects: &[Aspect], index: usize) -> Lane<'_> {
    let aspect = &aspects[index];
    let begins = index == 0 || aspects[index - 1].is_varied() != aspect.is_varied();
    let heading = if aspect.is_varied() { "What is varied" } else { "What comes of it: better to the right" };
    Lane { axis: axis(aspect), flipped: aspect.less_is_better(), heading: begins.then_some(heading) }
}

/// The best, and under them the front.
fn emphases(input: &StudyInput) -> Vec<Emphasis> {
    let best = (0..input.best()).map(|index| Emphasis { index, class: format!("s{index}") });
    let front = front(input).into_iter().map(|index| Emphasis { index, class: "front s3".into() });
    best.chain(front).collect()
}

/// Places in the ranking of the front, without the best, as many as are drawn.
fn front(input: &StudyInput) -> Vec<usize> {
    let ranked = input.findings.ranking.best_first.iter().enumerate().skip(input.best());
    ranked.filter(|(_, ranked)| ranked.on_the_front).map(|(place, _)| place).take(FRONT).collect()
}

fn legend(input: &StudyInput) -> Markup {
    let best = input.findings.ranking.best_first.iter().take(input.best()).enumerate();
    html! {
        ul.legend {
            @for (place, ranked) in best { (legend_entry(place, &format!("No. {}, the {}", ranked.number, ordinal(place + 1)), &When::default())) }
            @if !front(input).is_empty() { li { svg.sample viewBox="0 0 34 10" aria-hidden="true" { path.trace.front.s3 d="M1 5 33 5" {} } "beaten by none in all that counts" } }
            li { svg.sample viewBox="0 0 34 10" aria-hidden="true" { g.many { path d="M1 5 33 5" {} } } "all others" }
        }
    }
}

fn drawn(count: usize) -> String {
    match count > DRAWN {
        true => format!(
            "{} lines would be a blot, so they are counted: the darker, the more pass there, by the logarithm of the count; of the front the best {FRONT} are drawn.",
            whole(count)
        ),
        false => String::new(),
    }
}
