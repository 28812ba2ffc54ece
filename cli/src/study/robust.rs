//! The best variants ranked again by what their neighbours within the tolerances are worth.
//!
//! A neighbour that cannot be built or is beyond a limit is worse than any other: a variant that loses one has no mean, and one that loses a tenth has no bad end.

use super::neighbours::{MOST_NEIGHBOURS, Neighbours};
use super::objective::Judged;
use super::rank::{Ranking, score};
use super::record::{Record, VariantResult};
use std::collections::BTreeMap;
use std::ops::Range;

/// Share of the neighbours that are better than the bad end.
const BAD_END: f64 = 0.9;

/// What neighbours come to: their mean, and the value that one in ten is worse than.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Mean.
    pub mean: f64,
    /// Bad end: 90th percentile from the best on, straight between neighbours.
    pub bad_end: f64,
}

/// A variant with what its neighbours come to.
#[derive(Clone, Debug, PartialEq)]
pub struct RobustVariant {
    /// Its number.
    pub number: usize,
    /// Place by the score of the variant itself, from 1, among all variants.
    pub nominal_place: usize,
    /// Score of the variant itself.
    pub nominal_score: f64,
    /// Neighbours that could not be built or were beyond a limit.
    pub lost: usize,
    /// Score; infinite where neighbours were lost.
    pub score: Expected,
    /// The objectives, in the study's order; NaN where they do not exist.
    pub objectives: Vec<Expected>,
}

/// The best variants ranked by their neighbours.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RobustRanking {
    /// Neighbours of each variant.
    pub neighbours: usize,
    /// By the mean of the score, best first.
    pub by_mean: Vec<RobustVariant>,
    /// Places in `by_mean`, in the order of the bad end of the score.
    pub by_bad_end: Vec<usize>,
}

impl RobustRanking {
    /// Of all variants of `ranking` whose neighbours are among `records`, as many as the best documented variant has; `None` where there are none.
    pub fn of(objectives: &[Judged], ranking: &Ranking, records: &BTreeMap<u64, Record>) -> Option<Self> {
        let known: Vec<(usize, Vec<&Record>)> = (ranking.best_first.iter().enumerate())
            .map(|(place, ranked)| (place, neighbours_of(ranked.number, records)))
            .collect();
        let neighbours = known.iter().map(|(_, found)| found.len()).max().filter(|&most| most > 0)?;
        let whole = known.iter().filter(|(_, found)| found.len() == neighbours);
        let mut by_mean: Vec<RobustVariant> =
            whole.map(|(place, found)| RobustVariant::of(objectives, (ranking, *place), found)).collect();
        by_mean.sort_by(|a, b| before((a.score.mean, a.nominal_place), (b.score.mean, b.nominal_place)));
        let mut by_bad_end: Vec<usize> = (0..by_mean.len()).collect();
        let key = |&i: &usize| (by_mean[i].score.bad_end, by_mean[i].nominal_place);
        by_bad_end.sort_by(|a, b| before(key(a), key(b)));
        Some(Self { neighbours, by_mean, by_bad_end })
    }

    /// The place by the bad end, from 1, of the variant at a place of `by_mean`.
    pub fn bad_end_place(&self, index: usize) -> usize {
        self.by_bad_end.iter().position(|&i| i == index).map_or(self.by_mean.len(), |place| place + 1)
    }

    /// First by its own score, by the mean, and by the bad end.
    pub fn winners(&self) -> [&RobustVariant; 3] {
        let first = &self.by_mean[0];
        let nominal = self.by_mean.iter().min_by_key(|variant| variant.nominal_place).unwrap_or(first);
        [nominal, first, &self.by_mean[self.by_bad_end[0]]]
    }
}

fn before(a: (f64, usize), b: (f64, usize)) -> std::cmp::Ordering {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
}

/// Neighbours from the first on, as many as there are without a gap.
fn neighbours_of(variant: usize, records: &BTreeMap<u64, Record>) -> Vec<&Record> {
    let Range { start, end } =
        Neighbours::number(variant, 0) as u64..(Neighbours::number(variant, MOST_NEIGHBOURS)) as u64;
    let found = records.range(start..end).map(|(_, record)| record);
    found.enumerate().take_while(|(k, record)| record.number == start + *k as u64).map(|(_, r)| r).collect()
}

impl RobustVariant {
    fn of(objectives: &[Judged], (ranking, place): (&Ranking, usize), neighbours: &[&Record]) -> Self {
        let ranked = &ranking.best_first[place];
        let values = |record: &&&Record| match &record.result {
            VariantResult::Measured { values, .. } => Some(values.clone()),
            _ => None,
        };
        let measured: Vec<Vec<f64>> = neighbours.iter().filter_map(|record| values(&record)).collect();
        let scores = neighbours.iter().map(|record| values(&record).and_then(|v| score(objectives, &v)));
        let scores: Vec<f64> = scores.map(|score| score.unwrap_or(f64::INFINITY)).collect();
        let one = |(i, judged): (usize, &Judged)| {
            let values: Vec<f64> = measured.iter().map(|values| values[i]).collect();
            expected(values, |value| judged.steps(value))
        };
        Self {
            number: ranked.number,
            nominal_place: place + 1,
            nominal_score: ranked.score,
            lost: neighbours.len() - measured.len(),
            score: expected(scores, |score| score),
            objectives: objectives.iter().enumerate().map(one).collect(),
        }
    }
}

/// Mean and bad end of values that are the worse the larger their `steps` are.
fn expected(mut values: Vec<f64>, steps: impl Fn(f64) -> f64) -> Expected {
    values.sort_by(|a, b| steps(*a).total_cmp(&steps(*b)));
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    Expected { mean, bad_end: percentile(&values, BAD_END) }
}

/// Straight between neighbours (definition 7 of R. J. Hyndman & Y. Fan, Am. Stat. 50 (1996) 361); NaN of nothing.
fn percentile(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len().max(1) - 1) as f64;
    let (below, above) = (sorted.get(at.floor() as usize), sorted.get(at.ceil() as usize));
    match (below, above) {
        // Infinity minus itself is no number.
        (Some(below), Some(above)) if below == above => *below,
        (Some(below), Some(above)) => below + (above - below) * at.fract(),
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::super::rank::Ranking;
    use super::*;
    use panelwright_solver::study::{Objective, Over, Range as Band};

    fn objectives() -> Vec<Judged> {
        let flatness = Objective::Flatness { band: Band::ALL, over: Over::Average };
        let sensitivity = Objective::Sensitivity { band: Band::ALL };
        [(flatness, "unevenness"), (sensitivity, "sensitivity")]
            .map(|(objective, name)| Judged { objective: Some(objective), name: name.into(), weight: 1.0 })
            .into()
    }

    fn record(number: usize, values: Option<[f64; 2]>) -> Record {
        let result = match values {
            Some(values) => VariantResult::Measured {
                values: values.to_vec(),
                cost: 0.0,
                levels: vec![],
                missing: vec![],
            },
            None => VariantResult::Failed("cannot be built".into()),
        };
        Record { number: number as u64, seconds: 0.0, result }
    }

    /// Neighbours of variant 0, the nominal best, are much worse; of 1 hardly; of 2 one cannot be built.
    fn ranked() -> RobustRanking {
        let nominal =
            [record(0, Some([1.0, 80.0])), record(1, Some([1.2, 80.0])), record(2, Some([1.3, 80.0]))];
        let ranking = Ranking::of(&objectives(), &nominal);
        let mut neighbours = BTreeMap::new();
        for k in 0..11 {
            let off = k as f64 / 10.0;
            let each = [
                (0, Some([1.0 + 2.0 * off, 80.0 - off])),
                (1, Some([1.2 + 0.1 * off, 80.0])),
                (2, (k > 0).then_some([1.3, 80.0])),
            ];
            for (variant, values) in each {
                let record = record(Neighbours::number(variant, k), values);
                neighbours.insert(record.number, record);
            }
        }
        RobustRanking::of(&objectives(), &ranking, &neighbours).expect("there are neighbours")
    }

    #[test]
    fn the_winner_that_cannot_bear_errors_loses_and_what_cannot_be_built_is_last() {
        let found = ranked();
        let order: Vec<(usize, usize)> = found.by_mean.iter().map(|v| (v.number, v.nominal_place)).collect();
        assert_eq!((found.neighbours, order), (11, vec![(1, 2), (0, 1), (2, 3)]));
        assert_eq!(found.winners().map(|winner| winner.number), [0, 1, 1]);
        assert_eq!((found.by_mean[2].lost, found.by_mean[2].score.mean), (1, f64::INFINITY));
        // One in eleven lies at the very end: the bad end is the tenth of eleven, and still exists.
        approx::assert_relative_eq!(found.by_mean[2].score.bad_end, 1.3 - 80.0, max_relative = 1e-12);
    }

    #[test]
    fn the_bad_end_of_what_is_better_large_lies_below_its_mean() {
        let found = ranked();
        let [unevenness, sensitivity] = found.by_mean[1].objectives[..] else { panic!("two objectives") };
        for (found, exact) in [
            (unevenness.mean, 2.0),
            (unevenness.bad_end, 2.8),
            (sensitivity.mean, 79.5),
            (sensitivity.bad_end, 79.1),
        ] {
            approx::assert_relative_eq!(found, exact, max_relative = 1e-12);
        }
    }

    #[test]
    fn only_variants_with_all_neighbours_are_compared() {
        let nominal = [record(0, Some([1.0, 80.0])), record(1, Some([1.2, 80.0]))];
        let ranking = Ranking::of(&objectives(), &nominal);
        let mut neighbours = BTreeMap::new();
        for (variant, k) in [(0, 0), (0, 1), (1, 0), (1, 2)] {
            let record = record(Neighbours::number(variant, k), Some([1.0, 80.0]));
            neighbours.insert(record.number, record);
        }
        let found = RobustRanking::of(&objectives(), &ranking, &neighbours).expect("there are some");
        assert_eq!((found.neighbours, found.by_mean.len(), found.by_mean[0].number), (2, 1, 0));
        assert_eq!(RobustRanking::of(&objectives(), &ranking, &BTreeMap::new()), None);
    }
}
