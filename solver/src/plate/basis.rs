//! Which kind of basis a plate gets.

use super::Accuracy;
use super::free_form::{FreeFormPlan, Region};
use super::product_basis::Plan;
use crate::scene::Panel;
use panelwright_mesh::Outline;

/// The planned basis of a plate.
pub(super) enum BasisPlan<'a> {
    /// Products of line functions: a rectangle with each side held in one way.
    Product(Plan),
    /// Cosines of a box around the panel: everything else.
    FreeForm(Region<'a>, FreeFormPlan),
}

impl<'a> BasisPlan<'a> {
    /// Plans the basis for all modes of `panel` up to the angular frequency `omega` [rad/s].
    pub fn new(panel: &'a Panel, omega: f64, accuracy: Accuracy) -> Self {
        if is_product(panel) {
            return Self::Product(Plan::new(panel, omega, accuracy));
        }
        let region = Region::of(panel);
        let plan = FreeFormPlan::new(&region, omega, accuracy);
        Self::FreeForm(region, plan)
    }

    /// Unknowns of every symmetry block.
    pub fn sizes(&self) -> Vec<usize> {
        match self {
            Self::Product(plan) => plan.blocks.iter().map(|block| block.products.len()).collect(),
            Self::FreeForm(_, plan) => plan.sizes().collect(),
        }
    }

    /// Unknowns of the largest block.
    pub fn largest_block(&self) -> usize {
        self.sizes().into_iter().max().unwrap_or(0)
    }
}

/// True for a rectangle whose sides are each held in one way.
pub(super) fn is_product(panel: &Panel) -> bool {
    matches!(panel.outline, Outline::Rectangle { width, height } if panel.edges.sides(width, height).is_some())
}
