//! What a variant costs, by the user's prices.

use super::parameter::Parameter;
use crate::case::section::Section;

/// Prices in the user's currency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prices {
    /// For each square metre of the panel's bounding box.
    pub per_square_metre: f64,
    /// For each exciter.
    pub per_exciter: f64,
    /// For everything else.
    pub fixed: f64,
}

impl Prices {
    /// Those of `[study.prices]`.
    pub fn of(section: &Section) -> Option<Self> {
        Some(Self {
            per_square_metre: section.number("per_square_metre")?,
            per_exciter: section.number("per_exciter")?,
            fixed: section.number("fixed")?,
        })
    }

    /// What a variant at this point costs, with a panel of `area` [m²] and so many exciters.
    pub fn total(&self, parameters: &[Parameter], point: &[f64], (area, exciters): (f64, usize)) -> f64 {
        let chosen: f64 = parameters.iter().zip(point).map(|(parameter, u)| parameter.price(*u, area)).sum();
        self.fixed + self.per_square_metre * area + self.per_exciter * exciters as f64 + chosen
    }
}
