//! What a study says: everything that its page and `rank` show.

use super::aspect::Aspect;
use super::neighbours::case_of;
use super::plan::Study;
use super::rank::{Ranking, front};
use super::record::{Record, VariantResult};
use super::robust::RobustRanking;
use super::sensitivity::Sensitivity;
use super::verdict::verdict;
use crate::case::section::Section;
use crate::terminal::whole;
use std::collections::BTreeMap;

/// Parts of the sample that are left out in turn to see how far an index is to be trusted.
const PARTS: usize = 10;
/// Objectives that are shown against each other.
const AGAINST_EACH_OTHER: usize = 3;

/// What a study says.
#[derive(Clone, Debug)]
pub struct StudyFindings {
    /// All that can be ranked.
    pub ranking: Ranking,
    /// Why the best is the best and what the others offer, in sentences.
    pub verdict: Vec<String>,
    /// How variants are chosen, in words.
    pub method: String,
    /// In what variants differ: the varied values, then the objectives.
    pub aspects: Vec<Aspect>,
    /// Of every objective what each varied value explains; `None` where nothing differs.
    pub shares: Vec<Option<Vec<Share>>>,
    /// The objectives that count most, against each other.
    pub pairs: Vec<Pair>,
    /// Every objective against the varied value that explains most of it: places among the aspects.
    pub drivers: Vec<[usize; 2]>,
    /// The best ranked by their neighbours, if those are computed.
    pub robust: Option<RobustRanking>,
}

/// An index of sensitivity and how far it is to be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// The index.
    pub index: Sensitivity,
    /// Standard error of its share by itself.
    pub error: Option<f64>,
}

/// Two objectives against each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// Their places among the aspects, to the right and upwards.
    pub aspects: [usize; 2],
    /// Variants that no other beats in both at once, in the order of the first; places in the ranking.
    pub front: Vec<usize>,
}

impl StudyFindings {
    /// Of finished variants, and of neighbours by their numbers.
    pub fn of(study: &Study, records: &BTreeMap<u64, Record>, neighbours: &BTreeMap<u64, Record>) -> Self {
        let ranking = Ranking::of(&study.objectives, records.values());
        let aspects = Aspect::all(study, &ranking.best_first);
        let shares: Vec<Option<Vec<Share>>> =
            (0..study.objectives.len()).map(|i| shares(study, &results(study, records, i))).collect();
        Self {
            verdict: verdict(study, &ranking),
            method: method(study),
            pairs: pairs(study, &ranking),
            drivers: drivers(study.parameters.len(), &shares),
            robust: RobustRanking::of(&study.objectives, &ranking, neighbours),
            shares,
            aspects,
            ranking,
        }
    }
}

/// How variants are chosen, in words.
fn method(study: &Study) -> String {
    let case = case_of(study);
    let told = |section: &Section| {
        Some(format!(
            "{}; {} variants, seed {}",
            section.text("method")?,
            whole(study.count()),
            section.number("seed")?
        ))
    };
    case.table("study").and_then(told).unwrap_or_default()
}

/// An objective of every variant by its number.
fn results(study: &Study, records: &BTreeMap<u64, Record>, objective: usize) -> Vec<Option<f64>> {
    let mut results = vec![None; study.chosen()];
    for record in records.values() {
        if let VariantResult::Measured { values, .. } = &record.result
            && let Some(result) = results.get_mut(record.number as usize)
        {
            *result = Some(values[objective]).filter(|value| value.is_finite());
        }
    }
    results
}

/// Indices with their standard errors by the jackknife: each of ten parts of the variants is left out in turn, and
/// s² = (1 − 1/10) Σ (S₍ₚ₎ − S̄)² (P. S. Kott, J. Off. Stat. 17 (2001) 521 †). Variants of Saltelli's groups stay together.
fn shares(study: &Study, results: &[Option<f64>]) -> Option<Vec<Share>> {
    let whole = study.sensitivities(results)?;
    let group = study.parameters.len() + 2;
    let part = |number: usize| (number / group).wrapping_mul(0x9E37_79B9) / 7 % PARTS;
    let without = |left_out: usize| {
        let kept = results.iter().enumerate().map(|(n, value)| value.filter(|_| part(n) != left_out));
        study.sensitivities(&kept.collect::<Vec<_>>())
    };
    let parts: Option<Vec<Vec<Sensitivity>>> = (0..PARTS).map(without).collect();
    let error = |value: usize| {
        let each: Vec<f64> = parts.as_ref()?.iter().map(|indices| indices[value].alone).collect();
        let mean = each.iter().sum::<f64>() / PARTS as f64;
        let squares: f64 = each.iter().map(|share| (share - mean).powi(2)).sum();
        Some(((1.0 - 1.0 / PARTS as f64) * squares).sqrt()).filter(|error| error.is_finite())
    };
    Some(whole.into_iter().enumerate().map(|(v, index)| Share { index, error: error(v) }).collect())
}

fn pairs(study: &Study, ranking: &Ranking) -> Vec<Pair> {
    let mut counting: Vec<usize> =
        (0..study.objectives.len()).filter(|&i| study.objectives[i].weight > 0.0).collect();
    counting.sort_by(|&a, &b| study.objectives[b].weight.total_cmp(&study.objectives[a].weight));
    counting.truncate(AGAINST_EACH_OTHER);
    let first = study.parameters.len();
    let steps = |i: usize, value: f64| study.objectives[i].steps(value);
    let pair = |a: usize, b: usize| {
        let rows: Vec<Vec<f64>> = (ranking.best_first.iter())
            .map(|ranked| vec![steps(a, ranked.values[a]), steps(b, ranked.values[b])])
            .collect();
        Pair { aspects: [first + a, first + b], front: front(&rows) }
    };
    let all = counting.iter().enumerate().flat_map(|(i, &a)| counting[i + 1..].iter().map(move |&b| (a, b)));
    all.map(|(a, b)| pair(a, b)).collect()
}

/// Every objective that something explains, against what explains most of it.
fn drivers(parameters: usize, shares: &[Option<Vec<Share>>]) -> Vec<[usize; 2]> {
    let most = |shares: &Vec<Share>| {
        let by_share = |a: &usize, b: &usize| shares[*a].index.alone.total_cmp(&shares[*b].index.alone);
        (0..shares.len()).max_by(by_share)
    };
    let all = shares.iter().enumerate();
    all.filter_map(|(i, shares)| Some([shares.as_ref().and_then(most)?, parameters + i])).collect()
}
