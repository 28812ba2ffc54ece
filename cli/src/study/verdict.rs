//! Why the best variant is the best, and what the others offer, in sentences.

use super::objective::Judged;
use super::plan::Study;
use super::rank::{Ranked, Ranking};
use super::robust::RobustRanking;
use crate::terminal::{number as rounded, whole};

/// Why an adaptive search does not say what matters.
pub const UNTOLD: &str = "An adaptive search looks where it likes best, so its variants do not tell how much each value matters on the whole. A study of \
    the same values with method = \"sensitivity\" or \"low discrepancy\" does.";

/// Steps that nobody takes notice of.
const UNNOTICED: f64 = 0.25;
/// A place within this share of all is a good one.
const GOOD: f64 = 0.25;
/// Digits of a number that is written as it is.
const DIGITS: usize = 6;
/// Merits that are told, at most, and how large they are beside the largest, at least.
const MERITS: usize = 3;
const WORTH_TELLING: f64 = 0.1;

/// An objective that counts, as the first variant does in it.
struct Standing<'a> {
    index: usize,
    judged: &'a Judged,
    /// Place of the first variant in it, from 1; equals share one.
    place: usize,
    /// What it does better than half of all in the score.
    merit: f64,
    /// What it does worse than the best of all in the score.
    lack: f64,
    /// Who is the best in it.
    best: &'a Ranked,
}

/// The sentences; none when nothing can be ranked.
pub fn verdict(study: &Study, ranking: &Ranking) -> Vec<String> {
    let Some(first) = ranking.best_first.first() else { return vec![] };
    let of = ranking.best_first.len();
    let standings: Vec<Standing> = (study.objectives.iter().enumerate())
        .filter(|(_, judged)| judged.weight > 0.0)
        .filter_map(|(index, judged)| Standing::of(ranking, (index, judged)))
        .collect();
    let merits = merits(&standings, (first, ranking));
    let mut told = vec![format!("No. {} is first: {}.", first.number, values(study, first))];
    told.extend((!merits.is_empty()).then(|| format!("It is first because of its {}.", joined(&merits))));
    told.extend(lacks(study, &standings, first, of));
    told.extend(runner_up(study, ranking));
    told.extend(choice(study, ranking, &standings));
    told
}

impl<'a> Standing<'a> {
    fn of(ranking: &'a Ranking, (index, judged): (usize, &'a Judged)) -> Option<Self> {
        let steps = |ranked: &Ranked| judged.steps(ranked.values[index]);
        let first = steps(ranking.best_first.first()?);
        let best = ranking.best_first.iter().min_by(|a, b| steps(a).total_cmp(&steps(b)))?;
        let place = 1 + ranking.best_first.iter().filter(|other| steps(other) < first).count();
        let merit = judged.weight * (judged.steps(ranking.median(judged, index)) - first);
        Some(Self { index, judged, place, merit, lack: judged.weight * (first - steps(best)), best })
    }
}

/// What puts the first one there, most important first.
fn merits(standings: &[Standing], (first, ranking): (&Ranked, &Ranking)) -> Vec<String> {
    let mut good: Vec<&Standing> = standings.iter().filter(|standing| standing.merit > 0.0).collect();
    good.sort_by(|a, b| b.merit.total_cmp(&a.merit));
    let most = good.first().map_or(0.0, |standing| standing.merit);
    good.retain(|standing| standing.merit >= WORTH_TELLING * most);
    let told = |standing: &&Standing| {
        let (judged, i) = (standing.judged, standing.index);
        let median = told_value(judged, ranking.median(judged, i));
        let place = match standing.place {
            1 => "the best of all".to_owned(),
            place => format!("{} of {}", ordinal(place), whole(ranking.best_first.len())),
        };
        format!("{} of {} ({place}; median {median})", judged.name, told_value(judged, first.values[i]))
    };
    good.iter().take(MERITS).map(told).collect()
}

/// Where it is not good, and what the one that is best there costs.
fn lacks(study: &Study, standings: &[Standing], first: &Ranked, of: usize) -> Option<String> {
    let poor = |standing: &&Standing| standing.place as f64 > GOOD * of as f64 && standing.lack > UNNOTICED;
    let most = standings.iter().filter(poor).max_by(|a, b| a.lack.total_cmp(&b.lack))?;
    let (judged, best) = (most.judged, most.best);
    let costs = standings.iter().filter_map(|standing| {
        let (judged, i) = (standing.judged, standing.index);
        let worse = judged.weight * (judged.steps(best.values[i]) - judged.steps(first.values[i]));
        (worse > 0.0).then_some((worse, standing))
    });
    let dearest = costs.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, standing)| standing)?;
    let i = most.index;
    Some(format!(
        "It is only {} of {} in {}: {}. No. {} is the best there ({}), but {}.",
        ordinal(most.place),
        whole(of),
        judged.name,
        told_value(judged, first.values[i]),
        best.number,
        told_value(judged, best.values[i]),
        gives_up(study, dearest.index, (first, best))
    ))
}

/// "costs 0.8 dB of evenness" is told as from where to where.
fn gives_up(study: &Study, objective: usize, (from, to): (&Ranked, &Ranked)) -> String {
    let judged = &study.objectives[objective];
    let [from, to] = [from, to].map(|ranked| ranked.values[objective]);
    let (gap, unit) = (rounded((to - from).abs()), judged.unit());
    let word = if to > from { "more" } else { "less" };
    let amount = with_unit(&gap, unit);
    format!("has {amount} {word} {} ({})", judged.name, told_value(judged, to))
}

/// The second, when it is about as good.
fn runner_up(study: &Study, ranking: &Ranking) -> Option<String> {
    let [first, second, ..] = &ranking.best_first[..] else { return None };
    let behind = second.score - first.score;
    (behind < UNNOTICED).then(|| {
        format!(
            "No. {} is as good by your weights, {} of a step behind: {}.",
            second.number,
            rounded(behind),
            values(study, second)
        )
    })
}

/// Between what one chooses.
fn choice(study: &Study, ranking: &Ranking, standings: &[Standing]) -> Option<String> {
    let front: Vec<&Ranked> = ranking.best_first.iter().filter(|ranked| ranked.on_the_front).collect();
    let [only] = front[..] else {
        let spans: Vec<String> = standings.iter().filter_map(|standing| span(standing, &front)).collect();
        let offer = if spans.is_empty() { String::new() } else { format!(" It offers {}.", joined(&spans)) };
        return (!study.objectives.is_empty()).then(|| {
            format!(
                "{} of {} variants are beaten by no other in everything that counts at once; along this front you give up one thing for another (marked *).{offer}",
                whole(front.len()),
                whole(ranking.best_first.len())
            )
        });
    };
    Some(format!("No. {} beats every other in all that counts: there is nothing to give up.", only.number))
}

/// From the best to the worst value of an objective on the front.
fn span(standing: &Standing, front: &[&Ranked]) -> Option<String> {
    let (judged, i) = (standing.judged, standing.index);
    let by_steps =
        |a: &&&Ranked, b: &&&Ranked| judged.steps(a.values[i]).total_cmp(&judged.steps(b.values[i]));
    let (best, worst) = (front.iter().min_by(by_steps)?, front.iter().max_by(by_steps)?);
    let [best, worst] = [best.values[i], worst.values[i]].map(rounded);
    let unit = judged.unit();
    (best != worst).then(|| format!("{} from {best} to {}", judged.name, with_unit(&worst, unit)))
}

/// What becomes of the best when they are built a little off.
pub fn robust_verdict(robust: &RobustRanking) -> Vec<String> {
    let [nominal, mean, bad] = robust.winners();
    let compared = format!(
        "Built {} times a little off, the best {} were ranked again.",
        whole(robust.neighbours),
        whole(robust.by_mean.len())
    );
    let lost: usize = robust.by_mean.iter().map(|variant| variant.lost).sum();
    let fail = format!("{} of the ways to be off could not be built or broke a limit.", whole(lost));
    let verdict = changed(robust, nominal.number, [mean.number, bad.number]);
    [compared, verdict].into_iter().chain((lost > 0).then_some(fail)).collect()
}

/// Whether the first one stays the first.
fn changed(robust: &RobustRanking, first: usize, [mean, bad]: [usize; 2]) -> String {
    let index = robust.by_mean.iter().position(|variant| variant.number == first).unwrap_or(0);
    let (in_the_mean, at_the_end) = (ordinal(index + 1), ordinal(robust.bad_end_place(index)));
    let both =
        if mean == bad { " and at the bad end".to_owned() } else { format!(", no. {bad} at the bad end") };
    match (first == mean, first == bad) {
        (true, true) => format!(
            "No. {first} stays the first, in the mean and at the bad end, which one in ten is worse than."
        ),
        (true, false) => format!(
            "No. {first} stays the first in the mean, but is {at_the_end} at the bad end, which one in ten is worse than: there no. {bad} is the safest."
        ),
        (false, _) => format!(
            "The winner changes: no. {first}, the first as drawn, is {in_the_mean} in the mean and {at_the_end} at the bad end, which one in ten is worse than. No. {mean} is the first in the mean{both}."
        ),
    }
}

/// The varied values of a variant.
fn values(study: &Study, ranked: &Ranked) -> String {
    let names = study.parameters.iter().map(|parameter| &parameter.name);
    let pairs = names.zip(short_values(study, ranked.number));
    pairs.map(|(name, value)| format!("{name} {value}")).collect::<Vec<_>>().join(", ")
}

/// The varied values of a variant as people read them: what is written with more digits than anybody can cut is rounded.
pub fn short_values(study: &Study, number: usize) -> Vec<String> {
    let point = study.point(number);
    let pairs = study.parameters.iter().zip(point).zip(study.values(number));
    pairs
        .map(|((parameter, u), text)| match parameter.words().is_empty() {
            true if text.chars().filter(char::is_ascii_digit).count() > DIGITS => {
                format!("{} {}", rounded(parameter.number(u)), parameter.unit()).trim_end().to_owned()
            }
            _ => text,
        })
        .collect()
}

fn told_value(judged: &Judged, value: f64) -> String {
    with_unit(&rounded(value), judged.unit())
}

/// Number and unit, which do not part at the end of a line.
fn with_unit(number: &str, unit: &str) -> String {
    format!("{number}\u{a0}{unit}").trim_end().to_owned()
}

fn joined(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `1st`, `2nd`, `3rd`, `4th` …
pub fn ordinal(place: usize) -> String {
    let ending = match (place % 100, place % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{}{ending}", whole(place))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_aloud() {
        assert_eq!(
            [1, 2, 3, 4, 11, 12, 13, 21, 112, 1023].map(ordinal),
            ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "112th", "1,023rd"]
        );
    }
}
