//! `panelwright study rank`: the best variants, and why.

use super::Begun;
use crate::args;
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{Judged, Ranked, Ranking, Sensitivity, Study, VariantResult};
use crate::terminal::{self, number, whole};
use serde::Serialize;

/// What a program reads.
#[derive(Serialize)]
struct Listed {
    variant: usize,
    score: f64,
    on_the_front: bool,
    values: Vec<(String, String)>,
    objectives: Vec<(String, f64)>,
}

/// Ranks what is finished.
///
/// # Errors
/// When the study has not begun, or nothing in it can be ranked.
pub fn run(options: &args::StudyRank) -> Result<(), Failure> {
    let begun = Begun::find(&options.look.case, options.look.into.as_ref())?;
    let ranking = Ranking::of(&begun.study.objectives, begun.records.values());
    if ranking.best_first.is_empty() {
        return Err(Failure::input(
            format!(
                "nothing can be ranked yet: {} variants failed, {} lie beyond a limit, {} lack something that counts",
                ranking.failed, ranking.beyond, ranking.incomplete
            ),
            "`panelwright study status` says why; `panelwright study run` goes on.",
        ));
    }
    let best: Vec<&Ranked> = ranking.best_first.iter().take(options.top.max(1)).collect();
    match options.look.json {
        true => {
            let listed: Vec<Listed> = best.iter().map(|ranked| listed(&begun.study, ranked)).collect();
            terminal::print(&serde_json::to_string(&listed).map_err(Failure::ours)?);
        }
        false => terminal::print(&words(&begun, &ranking, &best)),
    }
    Ok(())
}

fn listed(study: &Study, ranked: &Ranked) -> Listed {
    let names = study.parameters.iter().map(|parameter| parameter.name.clone());
    let objectives = study.objectives.iter().map(|judged| judged.name.clone());
    Listed {
        variant: ranked.number,
        score: ranked.score,
        on_the_front: ranked.on_the_front,
        values: names.zip(study.values(ranked.number)).collect(),
        objectives: objectives.zip(ranked.values.iter().copied()).collect(),
    }
}

fn words(begun: &Begun, ranking: &Ranking, best: &[&Ranked]) -> String {
    let study = &begun.study;
    let mut told = vec![why(study, ranking)];
    let front = ranking.best_first.iter().filter(|ranked| ranked.on_the_front).count();
    told.push(format!(
        "{} of {} variants are beaten by no other in everything that counts at once (marked *): between them you choose what to give up for what.",
        whole(front),
        whole(ranking.best_first.len())
    ));
    if ranking.incomplete + ranking.failed + ranking.beyond > 0 {
        told.push(format!(
            "Not in the list: {} that failed, {} beyond a limit, {} for which something that counts does not exist.",
            whole(ranking.failed),
            whole(ranking.beyond),
            whole(ranking.incomplete)
        ));
    }
    let missing = study.count() - begun.records.len();
    if missing > 0 {
        told.push(format!("{} of {} variants are not computed yet.", whole(missing), whole(study.count())));
    }
    format!("{}\n{}\n\nWhat matters\n{}", bullets(&told), table(study, best), bullets(&what_matters(begun)))
}

/// Which varied values each objective depends on, in words.
fn what_matters(begun: &Begun) -> Vec<String> {
    let study = &begun.study;
    let one = |(i, judged): (usize, &Judged)| {
        let mut results = vec![None; study.count()];
        for record in begun.records.values() {
            if let VariantResult::Measured { values, .. } = &record.result {
                results[record.number as usize] = Some(values[i]).filter(|value| value.is_finite());
            }
        }
        let Some(found) = study.sensitivities(&results) else {
            return format!("{}: nothing differs.", judged.name);
        };
        let mut shares: Vec<(&str, Sensitivity)> =
            study.parameters.iter().map(|parameter| parameter.name.as_str()).zip(found).collect();
        shares.sort_by(|a, b| b.1.alone.total_cmp(&a.1.alone));
        let percent = |share: f64| format!("{:.0} %", 100.0 * share.clamp(0.0, 1.0));
        let told = |(name, found): &(&str, Sensitivity)| match found.total {
            Some(total) => {
                format!("{name} {} alone and {} with the others", percent(found.alone), percent(total))
            }
            None => format!("{name} {}", percent(found.alone)),
        };
        format!("{}: {}.", judged.name, shares.iter().map(told).collect::<Vec<_>>().join(", "))
    };
    let mut lines: Vec<String> = study.objectives.iter().enumerate().map(one).collect();
    lines.push(
        "Shares of the variance (Sobol’s indices, estimated: with a hundred variants they scatter by some 10 %; what is missing to 100 % comes of several values together)."
            .into(),
    );
    lines
}

/// Why the best is the best: what it is better in than half of all, and what it gives up.
fn why(study: &Study, ranking: &Ranking) -> String {
    let best = &ranking.best_first[0];
    let compared = |(i, judged): (usize, &Judged)| {
        let median = ranking.median(judged, i);
        let text = format!(
            "{} {} {} (half of all: {})",
            judged.name,
            number(best.values[i]),
            judged.unit(),
            number(median)
        );
        (judged.steps(best.values[i]) <= judged.steps(median), text)
    };
    let counting = study.objectives.iter().enumerate().filter(|(_, judged)| judged.weight > 0.0);
    let (gains, losses): (Vec<_>, Vec<_>) = counting.map(compared).partition(|(better, _)| *better);
    let list =
        |items: &[(bool, String)]| items.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>().join(", ");
    let values: Vec<String> = study
        .parameters
        .iter()
        .zip(study.values(best.number))
        .map(|(parameter, value)| format!("{} {value}", parameter.name))
        .collect();
    let gives_up = if losses.is_empty() { String::new() } else { format!("; it gives up {}", list(&losses)) };
    format!(
        "Variant {} is the best by your weights: {}. It gains in {}{gives_up}.",
        best.number,
        values.join(", "),
        list(&gains)
    )
}

fn table(study: &Study, best: &[&Ranked]) -> String {
    let unit =
        |name: &str, unit: &str| if unit.is_empty() { name.to_owned() } else { format!("{name} [{unit}]") };
    let mut headings = vec!["variant".to_owned(), "behind".into()];
    headings.extend(study.objectives.iter().map(|judged| unit(&judged.name, judged.unit())));
    headings.extend(study.parameters.iter().map(|parameter| parameter.name.clone()));
    let row = |ranked: &&Ranked| {
        let mark = if ranked.on_the_front { " *" } else { "" };
        let mut row =
            vec![format!("{}{mark}", ranked.number), format!("{:.2}", ranked.score - best[0].score)];
        row.extend(ranked.values.iter().map(|value| number(*value)));
        row.extend(study.values(ranked.number));
        row
    };
    let rows: Vec<Vec<String>> = std::iter::once(headings).chain(best.iter().map(row)).collect();
    let widths: Vec<usize> = (0..rows[0].len())
        .map(|c| rows.iter().map(|row| row[c].chars().count()).max().unwrap_or(0))
        .collect();
    let line = |row: &Vec<String>| {
        let cells: Vec<String> =
            row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}")).collect();
        cells.join("  ").trim_end().to_owned()
    };
    rows.iter().map(line).collect::<Vec<_>>().join("\n")
}
