//! What becomes of the best variants when they are built a little off.
//!
//! Neighbours are kept like variants, in a folder of their own within the study's: `robust-1f2e3d4c`, named after what makes them the same neighbours. An interrupted
//! run goes on, and other tolerances disturb nothing.

use super::run::stopped_by_hand;
use super::{Begun, cores, expected};
use crate::args;
use crate::failure::Failure;
use crate::results::now;
use crate::study::{
    Description, Held, MOST_NEIGHBOURS, Neighbours, Pending, Record, Results, RobustRanking, RobustVariant,
    Shard, StudyFolder, run as compute,
};
use crate::terminal::{self, StudyView, whole};
use panelwright_solver::study::Workbench;
use std::collections::BTreeMap;

/// Memory for what neighbours have in common [bytes].
const KEPT: usize = 1_000_000_000;

/// The neighbours that are computed; none without tolerances.
///
/// # Errors
/// When they cannot be read.
pub(super) fn kept(begun: &Begun) -> Result<BTreeMap<u64, Record>, Failure> {
    let Some(neighbours) = Neighbours::of(&begun.study, 1) else { return Ok(BTreeMap::new()) };
    folder(begun, &neighbours).records(&neighbours.identity().digest())
}

/// Computes the neighbours of these variants that are not there yet.
///
/// # Errors
/// When nothing may be off, or what is computed cannot be written.
pub(super) fn run(begun: &Begun, best: &[usize], options: &args::StudyRank) -> Result<(), Failure> {
    let count = options.neighbours.clamp(1, MOST_NEIGHBOURS);
    let Some(neighbours) = Neighbours::of(&begun.study, count) else {
        return Err(Failure::input(
            "nothing in this study may be off, so its variants are as good as they are computed",
            "Give varied values a `tolerance`, such as tolerance = \"1 mm\" in [[study.vary]], or the case a [spread] with samples.",
        ));
    };
    let mut held = held(begun, &neighbours)?;
    let there = kept(begun)?;
    let all = best.iter().flat_map(|&variant| (0..count).map(move |k| Neighbours::number(variant, k)));
    let wanted: Vec<usize> = all.collect();
    let pending: Vec<usize> =
        wanted.iter().copied().filter(|number| !there.contains_key(&(*number as u64))).collect();
    if pending.is_empty() {
        return Ok(());
    }
    terminal::complain(&format!(
        "{} variants, each {} times a little off; {} to go.{}",
        whole(best.len()),
        whole(count),
        whole(pending.len()),
        expected(&begun.study.forecast_apart(best, pending.len()), pending.len(), workers(options))
    ));
    watched(&neighbours, (&pending, wanted.len() - pending.len()), &mut held, workers(options))
}

fn workers(options: &args::StudyRank) -> usize {
    options.workers.unwrap_or_else(cores).max(1)
}

fn watched(
    neighbours: &Neighbours,
    (pending, earlier): (&[usize], usize),
    held: &mut Held,
    workers: usize,
) -> Result<(), Failure> {
    let bench = Workbench::new(KEPT);
    let stop = stopped_by_hand()?;
    let mut view = StudyView::new(pending.len(), workers);
    let one = |number: usize| neighbours.evaluate(&bench, number);
    let show = &mut |status| view.show(&status);
    let pending = Pending { numbers: pending, finished: earlier, renewals: &[] };
    let ran = compute(&pending, (held, &mut InTheJournal), (&one, workers), &stop, show);
    view.finish();
    let status = ran?;
    if status.finished < status.total {
        let (finished, total) = (whole(status.finished), whole(status.total));
        terminal::complain(&format!(
            "Stopped: {finished} of {total} are computed and kept. The same command goes on."
        ));
    }
    Ok(())
}

/// Neighbours are kept in their journal alone.
struct InTheJournal;

impl Results for InTheJournal {
    fn take(&mut self, _: usize) {}

    fn is_due(&self) -> bool {
        false
    }

    fn flush(&mut self) -> Result<(), Failure> {
        Ok(())
    }
}

fn folder(begun: &Begun, neighbours: &Neighbours) -> StudyFolder {
    let digest = neighbours.identity().digest();
    let name: String = digest[..4].iter().map(|byte| format!("{byte:02x}")).collect();
    StudyFolder::at(&begun.folder.file(&format!("robust-{name}")))
}

fn held(begun: &Begun, neighbours: &Neighbours) -> Result<Held, Failure> {
    let (folder, identity) = (folder(begun, neighbours), neighbours.identity());
    if folder.description()?.is_none() {
        let identity = identity.clone();
        folder.describe(&Description { identity, ..Description::of(&begun.study, now()) })?;
    }
    folder.hold(Shard::WHOLE, &identity.digest(), &mut |_, _| ())
}

/// Nominal against robust places, as lines; scores are told as what they lie behind the first.
pub(super) fn table(robust: &RobustRanking) -> Vec<Vec<String>> {
    let headings =
        ["variant", "place", "in the mean", "at the bad end", "behind", "in the mean", "at the bad end"];
    let [nominal, mean, bad] = robust.winners();
    let behind = |score: f64, first: f64| match score.is_finite() {
        true => format!("{:.2}", score - first),
        false => "–".into(),
    };
    let row = |(i, variant): (usize, &RobustVariant)| {
        vec![
            variant.number.to_string(),
            whole(variant.nominal_place),
            whole(i + 1),
            whole(robust.bad_end_place(i)),
            behind(variant.nominal_score, nominal.nominal_score),
            behind(variant.score.mean, mean.score.mean),
            behind(variant.score.bad_end, bad.score.bad_end),
        ]
    };
    std::iter::once(headings.map(String::from).to_vec())
        .chain(robust.by_mean.iter().enumerate().map(row))
        .collect()
}
