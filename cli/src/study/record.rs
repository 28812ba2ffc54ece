//! What is written down of a variant.

use serde::{Deserialize, Serialize};

/// What is written down of a variant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// Its number, from 0.
    pub number: u64,
    /// Seconds a worker took for it.
    pub seconds: f32,
    /// What came of it.
    pub result: VariantResult,
}

/// What came of a variant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum VariantResult {
    /// It was computed.
    Measured {
        /// The objectives, in the study's order; NaN for one that does not exist.
        values: Vec<f64>,
        /// What it costs, in the user's currency.
        cost: f64,
        /// Level [dB re 20 µPa] at every seat, (seats, frequencies), the seats one after the other.
        levels: Vec<f32>,
        /// Which objectives do not exist, by their places among the values, and why.
        missing: Vec<(u32, String)>,
    },
    /// It is beyond a limit and was not computed; the sentence says which.
    Beyond(String),
    /// It cannot be built or computed; the sentence says why.
    Failed(String),
}

impl VariantResult {
    /// Why the objective at this place does not exist; `None` for one that does, and where nothing was computed.
    pub fn why_missing(&self, place: usize) -> Option<&str> {
        let Self::Measured { missing, .. } = self else { return None };
        let found = missing.iter().find(|(at, _)| *at as usize == place);
        found.map(|(_, why)| why.as_str())
    }
}

impl Record {
    /// Digest of what it tells, however long it took: two with the same tell the same bits.
    pub fn digest(&self) -> [u8; 16] {
        let told = postcard::to_stdvec(&(self.number, &self.result)).expect("plain data of known length");
        let whole: [u8; 32] = blake3::hash(&told).into();
        std::array::from_fn(|i| whole[i])
    }
}

#[cfg(test)]
impl Record {
    /// True when both tell the same, however long they took.
    pub fn tells_the_same(&self, other: &Self) -> bool {
        let bits = |record: &Self| match &record.result {
            VariantResult::Measured { values, cost, levels, missing } => {
                let values: Vec<u64> = values.iter().chain([cost]).map(|value| value.to_bits()).collect();
                let levels: Vec<u32> = levels.iter().map(|level| level.to_bits()).collect();
                (values, levels, missing.clone(), None)
            }
            VariantResult::Beyond(why) => (vec![], vec![], vec![], Some((false, why.clone()))),
            VariantResult::Failed(why) => (vec![], vec![], vec![], Some((true, why.clone()))),
        };
        self.number == other.number && bits(self) == bits(other)
    }
}
