//! `panelwright study rank`: the best variants, and why; on the terminal, and as a page in the study's folder.

use super::Begun;
use super::{page, printable, robust};
use crate::args;
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{
    Judged, Ranked, Ranking, RobustRanking, Share, Study, StudyFindings, UNTOLD, robust_verdict, short_values,
};
use crate::terminal::{self, number, whole};
use serde::Serialize;
use std::path::Path;

/// What a program reads.
#[derive(Serialize)]
struct Listed {
    variant: usize,
    score: f64,
    on_the_front: bool,
    values: Vec<(String, String)>,
    objectives: Vec<(String, f64)>,
    robust: Option<ListedRobust>,
}

/// The same built a little off.
#[derive(Serialize)]
struct ListedRobust {
    neighbours: usize,
    lost: usize,
    place_in_the_mean: usize,
    place_at_the_bad_end: usize,
    /// `null` where neighbours were lost.
    mean: Option<f64>,
    bad_end: Option<f64>,
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
    if let Some(count) = options.robust {
        let best: Vec<usize> = ranking.best_first.iter().take(count.max(1)).map(|r| r.number).collect();
        robust::run(&begun, &best, options)?;
    }
    let findings = StudyFindings::of(&begun.study, &begun.records, &robust::kept(&begun)?);
    let bodies = printable::write(&begun, &findings.ranking)?;
    let told = told(&begun, &findings, &bodies);
    let page = page::write(&begun, &findings, &told, &bodies)?;
    let best: Vec<&Ranked> = findings.ranking.best_first.iter().take(options.top.max(1)).collect();
    match options.look.json {
        true => {
            let listed: Vec<Listed> =
                best.iter().map(|ranked| listed(&begun.study, &findings, ranked)).collect();
            terminal::print(&serde_json::to_string(&listed).map_err(Failure::ours)?);
        }
        false => terminal::print(&words(&begun.study, &findings, (&told, &best), &page)),
    }
    Ok(())
}

fn listed(study: &Study, findings: &StudyFindings, ranked: &Ranked) -> Listed {
    let names = study.parameters.iter().map(|parameter| parameter.name.clone());
    let objectives = study.objectives.iter().map(|judged| judged.name.clone());
    Listed {
        variant: ranked.number,
        score: ranked.score,
        on_the_front: ranked.on_the_front,
        values: names.zip(study.values(ranked.number)).collect(),
        objectives: objectives.zip(ranked.values.iter().copied()).collect(),
        robust: findings.robust.as_ref().and_then(|robust| listed_robust(robust, ranked.number)),
    }
}

fn listed_robust(robust: &RobustRanking, number: usize) -> Option<ListedRobust> {
    let index = robust.by_mean.iter().position(|variant| variant.number == number)?;
    let variant = &robust.by_mean[index];
    let finite = |value: f64| Some(value).filter(|value| value.is_finite());
    Some(ListedRobust {
        neighbours: robust.neighbours,
        lost: variant.lost,
        place_in_the_mean: index + 1,
        place_at_the_bad_end: robust.bad_end_place(index),
        mean: finite(variant.score.mean),
        bad_end: finite(variant.score.bad_end),
    })
}

/// How far the study is and what it wrote, in sentences.
fn told(begun: &Begun, findings: &StudyFindings, bodies: &[String]) -> Vec<String> {
    let (study, ranking) = (&begun.study, &findings.ranking);
    let mut told = vec![];
    let left_out = [
        (ranking.failed, "that failed"),
        (ranking.beyond, "beyond a limit"),
        (ranking.incomplete, "for which something that counts does not exist"),
    ];
    let named = left_out.iter().filter(|(count, _)| *count > 0);
    let named: Vec<String> = named.map(|(count, why)| format!("{} {why}", whole(*count))).collect();
    if !named.is_empty() {
        told.push(format!("Not in the list: {}.", named.join(", ")));
    }
    let missing = study.count() - begun.records.len();
    if missing > 0 {
        told.push(format!("{} of {} variants are not computed yet.", whole(missing), whole(study.count())));
    }
    if !bodies.is_empty() {
        told.push(format!("To be printed: {}.", bodies.join(", ")));
    }
    told
}

fn words(
    study: &Study,
    findings: &StudyFindings,
    (told, best): (&[String], &[&Ranked]),
    page: &Path,
) -> String {
    let mut all = findings.verdict.clone();
    all.extend_from_slice(told);
    let robust = findings.robust.as_ref().map_or_else(String::new, |robust| {
        format!(
            "\nBuilt a little off\n{}{}\n",
            bullets(&robust_verdict(robust)),
            lined(&robust::table(robust))
        )
    });
    format!(
        "{}{}\n{robust}\nWhat matters\n{}\nOpen {}",
        bullets(&all),
        lined(&table(study, best)),
        bullets(&what_matters(study, findings)),
        page.display()
    )
}

/// Which varied values each objective depends on, in words.
fn what_matters(study: &Study, findings: &StudyFindings) -> Vec<String> {
    if study.is_adaptive() {
        return vec![UNTOLD.into()];
    }
    let one = |(judged, shares): (&Judged, &Option<Vec<Share>>)| {
        let Some(shares) = shares else { return format!("{}: nothing differs.", judged.name) };
        let mut named: Vec<(&str, &Share)> =
            study.parameters.iter().map(|parameter| parameter.name.as_str()).zip(shares).collect();
        named.sort_by(|a, b| b.1.index.alone.total_cmp(&a.1.index.alone));
        format!("{}: {}.", judged.name, named.into_iter().map(explained).collect::<Vec<_>>().join(", "))
    };
    let mut lines: Vec<String> = study.objectives.iter().zip(&findings.shares).map(one).collect();
    let errors = findings.shares.iter().flatten().flatten().filter_map(|share| share.error);
    let trusted = match errors.fold(0.0, f64::max) {
        error if error > 0.0 => format!(", with standard errors up to {:.0} %", 100.0 * error),
        _ => String::new(),
    };
    lines.push(format!(
        "Shares of the variance (Sobol’s indices) as {} variants tell them{trusted}; what is missing to 100 % comes of several values together, or of chance.",
        whole(findings.ranking.best_first.len())
    ));
    lines
}

fn explained((name, share): (&str, &Share)) -> String {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share.clamp(0.0, 1.0));
    match share.index.total {
        Some(total) => {
            format!("{name} {} alone and {} with the others", percent(share.index.alone), percent(total))
        }
        None => format!("{name} {}", percent(share.index.alone)),
    }
}

fn table(study: &Study, best: &[&Ranked]) -> Vec<Vec<String>> {
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
        row.extend(short_values(study, ranked.number));
        row
    };
    std::iter::once(headings).chain(best.iter().map(row)).collect()
}

/// Rows with their columns under each other.
fn lined(rows: &[Vec<String>]) -> String {
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
