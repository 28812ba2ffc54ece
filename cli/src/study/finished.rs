//! Which variants are finished and what came of each: one byte a variant, however much was computed for it.

use super::record::{Record, VariantResult};
use super::shard::Shard;

/// What came of a variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It was computed.
    Measured,
    /// It is beyond a limit.
    Beyond,
    /// It failed.
    Failed,
}

/// Which variants are finished, by their numbers.
#[derive(Clone, Debug, Default)]
pub struct Finished {
    outcomes: Vec<Option<Outcome>>,
}

impl Finished {
    /// Takes note of a record. What failed once and was computed another time is computed.
    pub fn note(&mut self, record: &Record) {
        let number = record.number as usize;
        if number >= self.outcomes.len() {
            self.outcomes.resize(number + 1, None);
        }
        let known = &mut self.outcomes[number];
        if known.is_none_or(|outcome| outcome == Outcome::Failed) {
            *known = Some(record.outcome());
        }
    }

    /// True when a variant is finished.
    pub fn has(&self, number: usize) -> bool {
        self.outcome(number).is_some()
    }

    /// What came of a variant; `None` when it is not finished.
    pub fn outcome(&self, number: usize) -> Option<Outcome> {
        self.outcomes.get(number).copied().flatten()
    }

    /// How many have this outcome.
    pub fn count(&self, outcome: Outcome) -> usize {
        self.outcomes.iter().filter(|known| **known == Some(outcome)).count()
    }

    /// Numbers of the parts, of so many, in which something is not finished; `order` is that in which variants are shared out.
    pub fn unfinished_parts(&self, order: &[usize], count: usize) -> Vec<usize> {
        let unfinished =
            |shard: &Shard| order[shard.range(order.len())].iter().any(|number| !self.has(*number));
        Shard::all(count).filter(unfinished).map(|shard| shard.index).collect()
    }

    /// Takes those of `numbers` that failed for not finished.
    pub fn forget_failed(&mut self, numbers: &[usize]) {
        for number in numbers {
            if self.outcome(*number) == Some(Outcome::Failed) {
                self.outcomes[*number] = None;
            }
        }
    }
}

impl Record {
    /// What came of it, in a word.
    pub fn outcome(&self) -> Outcome {
        match self.result {
            VariantResult::Measured { .. } => Outcome::Measured,
            VariantResult::Beyond(_) => Outcome::Beyond,
            VariantResult::Failed(_) => Outcome::Failed,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn success_counts_whichever_came_first() {
        let failed = |number| Record { number, seconds: 0.0, result: VariantResult::Failed("why".into()) };
        let computed = |number| Record {
            number,
            seconds: 0.0,
            result: VariantResult::Measured { values: vec![], cost: 0.0, levels: vec![], missing: vec![] },
        };
        let mut finished = Finished::default();
        for record in [failed(3), computed(3), computed(5), failed(5), failed(1)] {
            finished.note(&record);
        }
        let found: Vec<Option<Outcome>> = (0..7).map(|number| finished.outcome(number)).collect();
        let (none, measured, failed) = (None, Some(Outcome::Measured), Some(Outcome::Failed));
        assert_eq!(found, [none, failed, none, measured, none, measured, none]);
        finished.forget_failed(&[3, 9]);
        assert!(finished.has(1) && finished.has(3));
        finished.forget_failed(&[1]);
        assert!(!finished.has(1) && finished.count(Outcome::Measured) == 2);
    }

    #[test]
    fn parts_are_unfinished_where_a_variant_is_missing() {
        let mut finished = Finished::default();
        for number in [0, 1, 2, 3, 5, 7] {
            let result = VariantResult::Beyond("a limit".into());
            finished.note(&Record { number, seconds: 0.0, result });
        }
        assert_eq!(finished.unfinished_parts(&[0, 1, 2, 3, 4, 5, 6, 7], 4), [3, 4]);
        assert_eq!(finished.unfinished_parts(&[7, 6, 5, 4, 3, 2, 1, 0], 4), [1, 2]);
        // Of more parts than variants some have nothing to do.
        assert_eq!(finished.unfinished_parts(&[0, 1, 2, 3, 4, 5, 6, 7], 16), [10, 14]);
    }

    #[test]
    fn it_takes_one_byte_a_variant() {
        assert_eq!(size_of::<Option<Outcome>>(), 1);
    }
}
