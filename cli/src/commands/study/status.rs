//! `panelwright study status`: how far a study has come.

use super::Begun;
use crate::args;
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{Record, Study, VariantResult};
use crate::terminal::{self, whole};
use serde::Serialize;
use std::collections::BTreeMap;

/// Reasons of a kind that are listed.
const LISTED: usize = 6;

/// How far a study has come.
#[derive(Serialize)]
struct State {
    variants: usize,
    finished: usize,
    computed: usize,
    beyond_a_limit: usize,
    failed: usize,
    running: usize,
    begun: String,
    seconds_each: Option<f64>,
    reasons: Vec<(String, usize)>,
    missing: Vec<(String, usize)>,
}

/// Tells how far a study has come.
///
/// # Errors
/// When the case is wrong or its study has not begun.
pub fn run(options: &args::StudyLook) -> Result<(), Failure> {
    let begun = Begun::find(&options.case, options.into.as_ref())?;
    let state = state(&begun);
    match options.json {
        true => terminal::print(&serde_json::to_string(&state).map_err(Failure::ours)?),
        false => terminal::print(&words(&state)),
    }
    Ok(())
}

fn state(begun: &Begun) -> State {
    let records = || begun.records.values();
    let count = |is: fn(&VariantResult) -> bool| records().filter(|record| is(&record.result)).count();
    let computed = count(|result| matches!(result, VariantResult::Measured { .. }));
    let seconds: f64 = records()
        .filter(|record| matches!(record.result, VariantResult::Measured { .. }))
        .map(|record| f64::from(record.seconds))
        .sum();
    let folder = &begun.folder;
    State {
        variants: begun.study.count(),
        finished: begun.records.len(),
        computed,
        beyond_a_limit: count(|result| matches!(result, VariantResult::Beyond(_))),
        failed: count(|result| matches!(result, VariantResult::Failed(_))),
        running: folder.shards().into_iter().filter(|shard| folder.is_held(*shard)).count(),
        begun: begun.begun.clone(),
        seconds_each: (computed > 0).then(|| seconds / computed as f64),
        reasons: reasons(records(), not_computed),
        missing: reasons(records(), |result| missing(&begun.study, result)),
    }
}

/// Which objectives do not exist, and why.
pub(super) fn missing(study: &Study, result: &VariantResult) -> Option<String> {
    Some(study.missing(result)).filter(|told| !told.is_empty())
}

/// Why variants were not computed.
pub(super) fn not_computed(result: &VariantResult) -> Option<String> {
    match result {
        VariantResult::Failed(why) | VariantResult::Beyond(why) => Some(why.clone()),
        VariantResult::Measured { .. } => None,
    }
}

/// Reasons that stand for variants, most frequent first; numbers in a reason are left out, so that alike ones count together.
pub(super) fn reasons<'a>(
    records: impl Iterator<Item = &'a Record>,
    reason: impl Fn(&VariantResult) -> Option<String>,
) -> Vec<(String, usize)> {
    let mut counted: BTreeMap<String, (String, usize)> = BTreeMap::new();
    for why in records.filter_map(|record| reason(&record.result)) {
        let alike = why.replace(|letter: char| letter.is_ascii_digit() || letter == '.', "");
        counted.entry(alike).or_insert_with(|| (why, 0)).1 += 1;
    }
    let mut reasons: Vec<(String, usize)> = counted.into_values().collect();
    reasons.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    reasons
}

fn words(state: &State) -> String {
    let mut told = vec![format!(
        "{} of {} variants are finished ({:.0} %): {} computed, {} beyond a limit, {} failed.",
        whole(state.finished),
        whole(state.variants),
        100.0 * state.finished as f64 / state.variants.max(1) as f64,
        whole(state.computed),
        whole(state.beyond_a_limit),
        whole(state.failed)
    )];
    told.push(match state.running {
        0 if state.finished < state.variants => {
            "Nobody computes it now; `panelwright study run` goes on.".into()
        }
        0 => "It is complete.".into(),
        1 => "One process computes it now.".into(),
        running => format!("{running} processes compute it now."),
    });
    if let Some(seconds) = state.seconds_each {
        told.push(format!(
            "A variant takes a worker {seconds:.3} s in the mean. It began {}.",
            crate::results::as_written(&state.begun)
        ));
    }
    format!(
        "{}{}{}",
        bullets(&told),
        listed("Not computed", &state.reasons),
        listed("Computed, but without a number", &state.missing)
    )
}

/// The most frequent reasons under their heading; nothing where there are none.
fn listed(heading: &str, reasons: &[(String, usize)]) -> String {
    let reason = |(why, count): &(String, usize)| format!("{} ×, such as: {why}", whole(*count));
    let told: Vec<String> = reasons.iter().take(LISTED).map(reason).collect();
    if told.is_empty() { String::new() } else { format!("{heading}\n{}", bullets(&told)) }
}
