//! `panelwright study status`: how far a study has come.

use super::Begun;
use crate::args;
use crate::commands::predict::bullets;
use crate::failure::Failure;
use crate::study::{Record, VariantResult};
use crate::terminal::{self, whole};
use serde::Serialize;
use std::collections::BTreeMap;

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
        reasons: reasons(records()),
    }
}

/// Why variants were not computed, most frequent first; numbers in a reason are left out, so that alike ones count together.
pub(super) fn reasons<'a>(records: impl Iterator<Item = &'a Record>) -> Vec<(String, usize)> {
    let mut counted: BTreeMap<String, (String, usize)> = BTreeMap::new();
    for record in records {
        if let VariantResult::Failed(why) | VariantResult::Beyond(why) = &record.result {
            let alike = why.replace(|letter: char| letter.is_ascii_digit() || letter == '.', "");
            counted.entry(alike).or_insert_with(|| (why.clone(), 0)).1 += 1;
        }
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
            "A variant takes {seconds:.3} s on one core in the mean. It began {}.",
            crate::results::as_written(&state.begun)
        ));
    }
    let reason = |(why, count): &(String, usize)| format!("{} ×, such as: {why}", whole(*count));
    let reasons: Vec<String> = state.reasons.iter().take(6).map(reason).collect();
    let because =
        if reasons.is_empty() { String::new() } else { format!("Not computed\n{}", bullets(&reasons)) };
    format!("{}{because}", bullets(&told))
}
