//! In what variants differ, one after the other: the varied values, then the objectives. What pictures are drawn of.

use super::plan::Study;
use super::rank::Ranked;

/// One thing in which variants differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Aspect {
    /// What it is called.
    pub name: String,
    /// Unit of its numbers; nothing for words and bare numbers.
    pub unit: String,
    /// The words that its numbers stand for, from 1; none if it has numbers.
    pub words: Vec<String>,
    /// True when its numbers are compared by their ratios.
    pub logarithmic: bool,
    /// Whether it is chosen or judged.
    pub role: Role,
    /// Its number for every ranked variant, best first; NaN for one that does not exist.
    pub values: Vec<f64>,
}

/// Whether something is chosen or judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Role {
    /// A varied value.
    Varied,
    /// An objective.
    Judged {
        /// What it counts.
        weight: f64,
        /// True when small numbers are better.
        less_is_better: bool,
    },
}

impl Aspect {
    /// All aspects of ranked variants.
    pub fn all(study: &Study, best_first: &[Ranked]) -> Vec<Self> {
        let points: Vec<Vec<f64>> = best_first.iter().map(|ranked| study.point(ranked.number)).collect();
        let varied = study.parameters.iter().enumerate().map(|(p, parameter)| Self {
            name: parameter.name.clone(),
            unit: parameter.unit(),
            words: parameter.words().to_vec(),
            logarithmic: parameter.is_logarithmic(),
            role: Role::Varied,
            values: points.iter().map(|point| parameter.number(point[p])).collect(),
        });
        let judged = study.objectives.iter().enumerate().map(|(i, judged)| Self {
            name: judged.name.clone(),
            unit: judged.unit().into(),
            words: vec![],
            logarithmic: judged.unit() == "Hz",
            role: Role::Judged { weight: judged.weight, less_is_better: judged.less_is_better() },
            values: best_first.iter().map(|ranked| ranked.values[i]).collect(),
        });
        varied.chain(judged).collect()
    }

    /// Name and unit, as on an axis.
    pub fn title(&self) -> String {
        match self.unit.as_str() {
            "" => self.name.clone(),
            unit => format!("{}, {unit}", self.name),
        }
    }

    /// True for an objective of which small numbers are better.
    pub fn less_is_better(&self) -> bool {
        matches!(self.role, Role::Judged { less_is_better: true, .. })
    }

    /// True for a varied value.
    pub fn is_varied(&self) -> bool {
        self.role == Role::Varied
    }
}
