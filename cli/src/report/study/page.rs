//! The page: its sections in reading order.

use super::{StudyInput, best, data, failures, influence, robust, trade, variants};
use crate::report::document::Document;
use crate::report::figure;
use crate::report::format;
use crate::report::sections::overview;
use crate::study::robust_verdict;
use crate::terminal::whole;
use maud::{Markup, html};

pub(super) fn document(input: &StudyInput) -> Markup {
    let has_robust = input.findings.robust.is_some();
    let contents: Vec<(&str, &str)> = [
        (true, ("overview", "In short")),
        (true, ("best", "The best")),
        (true, ("variants", "All at once")),
        (true, ("trade", "What for what")),
        (true, ("influence", "What matters")),
        (has_robust, ("robust", "Built a little off")),
        (failures::is_there(input), ("failures", failures::TITLE)),
        (true, ("inputs", "Inputs")),
    ]
    .into_iter()
    .filter_map(|(there, entry)| there.then_some(entry))
    .collect();
    Document {
        title: &input.study.title,
        kicker: "Many variants compared before anything is bought or cut",
        case_name: input.case_name,
        version: input.version,
        computed_at: input.begun,
        seconds: input.seconds,
        contents: &contents,
        sections: html! {
            (in_short(input))
            (best::section(input))
            (variants::section(input))
            (trade::section(input))
            (influence::section(input))
            (robust::section(input))
            (failures::section(input))
            (inputs(input))
        },
        footer: html! {
            "All values are predictions from the inputs echoed above. " code { "panelwright study export" } " writes every variant as a table, or one of them as a case of its own; the "
            code { ".h5" } " files beside this page hold all of it."
        },
        maps: data::of(input),
    }
    .render()
}

fn in_short(input: &StudyInput) -> Markup {
    let findings = input.findings;
    let robust = findings.robust.as_ref().map(robust_verdict).unwrap_or_default();
    let summary = [findings.verdict.as_slice(), &robust, input.told].concat();
    overview::in_short((&summary, &[]), &[], key_figures(input), &[])
}

fn key_figures(input: &StudyInput) -> Markup {
    let ranking = &input.findings.ranking;
    let front = ranking.best_first.iter().filter(|ranked| ranked.on_the_front).count();
    let figures = [
        ("Variants", whole(input.study.count()), format!("{} finished", whole(input.finished))),
        ("Ranked", whole(ranking.best_first.len()), "by all that counts".to_owned()),
        ("Beaten by none", whole(front), "in everything at once".into()),
        ("Beyond a limit", whole(ranking.beyond), "not computed".into()),
        ("Failed", whole(ranking.failed), format!("see “{}”", failures::TITLE)),
        ("Without a number", whole(ranking.incomplete), "for something that counts".into()),
    ];
    html! {
        dl.figures.six { @for (name, value, remark) in figures {
            div { dt { (name) } dd { (value) } dd.remark { (remark) } }
        } }
    }
}

fn inputs(input: &StudyInput) -> Markup {
    let study = input.study;
    let varied = study.parameters.iter().map(|parameter| {
        let tolerance = parameter
            .tolerance
            .map(|amount| format!("; built within ±{}", format::quantity(amount, &parameter.unit())));
        (parameter.name.clone(), format!("{}{}", parameter.slot.path, tolerance.unwrap_or_default()))
    });
    let facts = [
        ("program".to_owned(), format!("panelwright {}", input.version)),
        ("how variants are chosen".into(), input.findings.method.clone()),
        ("begun".into(), input.begun.to_owned()),
        ("time of all workers together".into(), format::quantity(input.seconds, "s")),
    ];
    let body = html! {
        dl.facts { @for (name, value) in facts.into_iter().chain(varied) { div { dt { (name) } dd { (value) } } } }
        details.case { summary { "The case file, word for word" } pre { code { (study.source) } } }
    };
    figure::section("inputs", "What was put in", &[], &[], body)
}
