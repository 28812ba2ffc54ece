//! Finished variants in order of merit, and those that nothing beats in everything at once.

use super::objective::Judged;
use super::record::{Record, VariantResult};

/// A variant with its score.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Its number.
    pub number: usize,
    /// The objectives, in the study's order.
    pub values: Vec<f64>,
    /// What it costs.
    pub cost: f64,
    /// Weighted sum of steps; small is better.
    pub score: f64,
    /// True when no other variant is at least as good in everything that counts and better in something.
    pub on_the_front: bool,
}

/// All that can be ranked, best first, and how many cannot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ranking {
    /// Best first; equal scores by number.
    pub best_first: Vec<Ranked>,
    /// Beyond a limit.
    pub beyond: usize,
    /// Failed.
    pub failed: usize,
    /// Computed, but something that counts does not exist.
    pub incomplete: usize,
}

impl Ranking {
    /// The ranking of `records` by `objectives`.
    pub fn of<'a>(objectives: &[Judged], records: impl IntoIterator<Item = &'a Record>) -> Self {
        let mut ranking = Self::default();
        for record in records {
            match &record.result {
                VariantResult::Beyond(_) => ranking.beyond += 1,
                VariantResult::Failed(_) => ranking.failed += 1,
                VariantResult::Measured { values, cost, .. } => match score(objectives, values) {
                    Some(score) => ranking.best_first.push(Ranked {
                        number: record.number as usize,
                        values: values.clone(),
                        cost: *cost,
                        score,
                        on_the_front: false,
                    }),
                    None => ranking.incomplete += 1,
                },
            }
        }
        ranking.best_first.sort_by(|a, b| a.score.total_cmp(&b.score).then(a.number.cmp(&b.number)));
        let steps: Vec<Vec<f64>> =
            ranking.best_first.iter().map(|ranked| counted(objectives, &ranked.values)).collect();
        for index in front(&steps) {
            ranking.best_first[index].on_the_front = true;
        }
        ranking
    }
}

impl Ranking {
    /// The value of objective `index` that half of all variants do better than, half-way between the two in the middle of an even number; NaN where it does not exist.
    pub fn median(&self, judged: &Judged, index: usize) -> f64 {
        let mut values: Vec<f64> = self.best_first.iter().map(|ranked| ranked.values[index]).collect();
        values.sort_by(|a, b| judged.steps(*a).total_cmp(&judged.steps(*b)));
        let Some(&upper) = values.get(values.len() / 2) else { return f64::NAN };
        match values.len() % 2 {
            0 if upper.is_finite() => 0.5 * (values[values.len() / 2 - 1] + upper),
            _ => upper,
        }
    }
}

/// Steps of all that counts.
fn counted(objectives: &[Judged], values: &[f64]) -> Vec<f64> {
    let pairs = objectives.iter().zip(values).filter(|(judged, _)| judged.weight > 0.0);
    pairs.map(|(judged, value)| judged.steps(*value)).collect()
}

/// Score of a result: small is better, infinite for what cannot be ranked.
pub fn merit(objectives: &[Judged], result: &VariantResult) -> f64 {
    match result {
        VariantResult::Measured { values, .. } => score(objectives, values).unwrap_or(f64::INFINITY),
        VariantResult::Beyond(_) | VariantResult::Failed(_) => f64::INFINITY,
    }
}

/// Weighted sum of steps; `None` when something that counts does not exist.
pub(super) fn score(objectives: &[Judged], values: &[f64]) -> Option<f64> {
    let counting = objectives.iter().zip(values).filter(|(judged, _)| judged.weight > 0.0);
    let total: f64 = counting.map(|(judged, value)| judged.weight * judged.steps(*value)).sum();
    total.is_finite().then_some(total)
}

/// Rows that no other row beats: at most as large in every column and smaller in one. In the order of their first column.
///
/// Of n rows with a front of m it takes n log n steps and n times m comparisons.
pub fn front(rows: &[Vec<f64>]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    let before = |a: &Vec<f64>, b: &Vec<f64>| {
        let columns = a.iter().zip(b).map(|(x, y)| x.total_cmp(y));
        columns.into_iter().find(|order| order.is_ne()).unwrap_or(std::cmp::Ordering::Equal)
    };
    order.sort_by(|&a, &b| before(&rows[a], &rows[b]).then(a.cmp(&b)));
    // In this order a row can only be beaten by one before it; of equal rows none beats the other.
    let mut front: Vec<usize> = vec![];
    for index in order {
        let beats = |other: &&usize| {
            let pairs = || rows[**other].iter().zip(&rows[index]);
            pairs().all(|(theirs, mine)| theirs <= mine) && pairs().any(|(theirs, mine)| theirs < mine)
        };
        if front.iter().find(beats).is_none() {
            front.push(index);
        }
    }
    front
}

#[cfg(test)]
mod tests {
    use super::*;
    use panelwright_solver::study::{Objective, Over, Range};
    use proptest::prelude::*;

    fn objectives() -> Vec<Judged> {
        let flatness = Objective::Flatness { band: Range::ALL, over: Over::Average };
        let judged = |objective, name: &str, weight| Judged { objective, name: name.into(), weight };
        vec![
            judged(Some(flatness), "unevenness", 1.0),
            judged(Some(Objective::Sensitivity { band: Range::ALL }), "sensitivity", 0.5),
            judged(None, "cost", 0.0),
        ]
    }

    fn record(number: u64, values: [f64; 3]) -> Record {
        let (cost, values) = (values[2], values.to_vec());
        let result = VariantResult::Measured { values, cost, levels: vec![], missing: vec![] };
        Record { number, seconds: 0.0, result }
    }

    #[test]
    fn the_smallest_sum_is_first_and_what_counts_nothing_does_not_count() {
        let failed = Record { number: 9, seconds: 0.0, result: VariantResult::Failed("x".into()) };
        let records = [
            record(0, [3.0, 80.0, 1.0]),
            record(1, [2.0, 80.0, 9.0]),
            record(2, [2.5, 84.0, f64::NAN]),
            record(3, [f64::NAN, 84.0, 1.0]),
            record(4, [3.5, 83.0, 1.0]),
            failed,
        ];
        let ranking = Ranking::of(&objectives(), &records);
        let found: Vec<(usize, bool)> =
            ranking.best_first.iter().map(|r| (r.number, r.on_the_front)).collect();
        assert_eq!(found, [(2, true), (1, true), (4, false), (0, false)]);
        assert_eq!((ranking.failed, ranking.incomplete, ranking.beyond), (1, 1, 0));
    }

    proptest! {
        #[test]
        fn the_front_is_what_comparing_all_with_all_finds(rows in prop::collection::vec(prop::collection::vec(0u8..6, 3), 0..60)) {
            let rows: Vec<Vec<f64>> = rows.iter().map(|row| row.iter().map(|&x| x.into()).collect()).collect();
            let beaten = |mine: &Vec<f64>| rows.iter().any(|theirs| theirs != mine && theirs.iter().zip(mine).all(|(a, b)| a <= b));
            let expected: Vec<usize> = (0..rows.len()).filter(|&i| !beaten(&rows[i])).collect();
            let mut found = front(&rows);
            found.sort();
            prop_assert_eq!(found, expected);
        }
    }
}
