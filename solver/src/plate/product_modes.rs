//! Modes of a plate in products of line functions, all symmetry blocks together.

use super::PlateError;
use super::block_modes::BlockModes;
use super::line_tables::LineTables;
use super::product_basis::{BlockPlan, Line, Plan};
use super::reduced::{PlateEnergy, Reduced};
use super::shapes::{Block, Directions, Shapes};
use super::static_flexibility::{StaticBlock, StaticFlexibility};
use crate::linalg::LapackFailure;
use crate::scene::Panel;
use ndarray::Array2;
use rayon::prelude::*;

/// All modes.
pub(super) struct ProductModes {
    /// Eigenvalues ω² [s⁻²], ascending.
    pub eigenvalues: Vec<f64>,
    /// Twice the strain energy of each mode by terms: (modes, terms).
    pub energies: Array2<f64>,
    /// Shapes in the same order.
    pub shapes: Shapes,
    /// Static flexibility in the same basis, if it was asked for.
    pub statics: Option<StaticFlexibility>,
}

/// One block.
struct Solved {
    plan: BlockPlan,
    modes: BlockModes,
    statics: Option<StaticBlock>,
}

/// Modes of `panel` with eigenvalues up to `limit` [s⁻²] and, if so asked, its static flexibility in the same basis.
pub(super) fn solve(
    plan: Plan,
    energy: &PlateEnergy,
    panel: &Panel,
    (limit, with_statics): (f64, bool),
) -> Result<ProductModes, PlateError> {
    let failed = |size: usize| move |LapackFailure(code)| PlateError::Eigensolver { code, size };
    let (x, y) = plan.lines().map_err(failed(plan.x[0].wavenumbers().len()))?;
    let waves = plan.waves();
    let solved: Vec<Solved> = (plan.blocks.into_par_iter())
        .map(|block| {
            let (size, lines) = (block.products.len(), (&x[block.x_class].1, &y[block.y_class].1));
            Solved::new(block, lines, energy, (limit, with_statics)).map_err(failed(size))
        })
        .collect::<Result<_, PlateError>>()?;
    let bases = |lines: Vec<Line>| lines.into_iter().map(|line| line.0).collect::<Vec<_>>();
    let (x, y) = (bases(x), bases(y));
    let mut parts = Parts::default();
    solved.into_iter().for_each(|block| parts.take(block, panel.section.surface_mass));
    let statics = with_statics.then(|| {
        let directions = [Directions::new(x.clone()), Directions::new(y.clone())];
        StaticFlexibility::assembled(panel, waves, directions, parts.statics)
    });
    let (eigenvalues, shapes) = Shapes::in_order(x, y, parts.blocks);
    let energies = in_order(&shapes, &parts.energies, energy.strain.len());
    Ok(ProductModes { eigenvalues, energies, shapes, statics })
}

impl Solved {
    fn new(
        plan: BlockPlan,
        (x, y): (&LineTables, &LineTables),
        energy: &PlateEnergy,
        (limit, with_statics): (f64, bool),
    ) -> Result<Self, LapackFailure> {
        let reduced = Reduced::new(&plan, (x, y), energy)?;
        let statics = with_statics.then(|| StaticBlock::new(&plan, (x, y), &reduced)).transpose()?;
        let modes = BlockModes::solve(&plan, (x, y), energy, reduced, limit)?;
        Ok(Self { plan, modes, statics })
    }
}

/// The blocks by what they yield.
#[derive(Default)]
struct Parts {
    blocks: Vec<(Vec<f64>, Block)>,
    energies: Vec<Array2<f64>>,
    statics: Vec<StaticBlock>,
}

impl Parts {
    fn take(&mut self, Solved { plan, modes, statics }: Solved, surface_mass: f64) {
        let scale = surface_mass.sqrt().recip();
        self.blocks.push((modes.values, Block::new(plan, modes.coefficients * scale)));
        self.energies.push(modes.energies);
        self.statics.extend(statics);
    }
}

/// Energies of the blocks' modes in the order of all modes: (modes, terms).
fn in_order(shapes: &Shapes, energies: &[Array2<f64>], terms: usize) -> Array2<f64> {
    let mut ordered = Array2::zeros((shapes.count(), terms));
    for (block, energies) in shapes.blocks().iter().zip(energies) {
        for (&place, row) in block.places().iter().zip(energies.rows()) {
            ordered.row_mut(place).assign(&row);
        }
    }
    ordered
}
