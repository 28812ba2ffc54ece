//! One curve per surround.

use crate::report::chart::curves::{Curve, Plot, legend};
use crate::report::chart::scale::Scale;
use crate::report::choice::When;
use maud::Markup;
use panelwright_solver::listening::{OneSurround, SurroundFindings};

/// A quantity that every surround has over frequency.
pub struct Quantity<'v> {
    /// Quantity and unit, above the plot.
    pub title: String,
    /// Unit in the readout.
    pub unit: &'static str,
    /// Height of the plot.
    pub height: f64,
    /// Values of a surround, and of its number.
    pub values: &'v dyn Fn(usize, &OneSurround) -> Vec<f64>,
}

impl Quantity<'_> {
    /// All values, for scales.
    pub fn all(&self, findings: &SurroundFindings) -> Vec<f64> {
        findings.surrounds.iter().enumerate().flat_map(|(i, one)| (self.values)(i, one)).collect()
    }

    /// The plot.
    pub fn plot(&self, findings: &SurroundFindings, scale: Scale) -> Plot<'static> {
        let curve = |(colour, surround): (usize, &OneSurround)| Curve {
            label: surround.name.clone(),
            values: (self.values)(colour, surround).into(),
            unit: self.unit,
            colour,
            thin: false,
            when: When::default(),
        };
        let curves = findings.surrounds.iter().enumerate().map(curve).collect();
        Plot { title: self.title.clone(), scale, height: self.height, curves, marks: vec![] }
    }
}

/// Names of the surrounds with a sample of each line.
pub fn names(findings: &SurroundFindings) -> Markup {
    let entries: Vec<(usize, String)> =
        findings.surrounds.iter().enumerate().map(|(i, surround)| (i, surround.name.clone())).collect();
    legend(&entries)
}
