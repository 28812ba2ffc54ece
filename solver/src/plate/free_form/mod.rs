//! Modes of plates of any outline.
//!
//! Rayleigh–Ritz on the cosines of a box a few half waves larger than the panel. Inside the panel they are nearly
//! complete whatever the outline is, because a smooth field has a smooth continuation into the margin (D. Huybrechs, On the Fourier
//! extension of nonperiodic functions, SIAM J. Numer. Anal. 47 (2010) 4326–4355; source named from memory, accuracy and
//! conditioning are measured in the validation).
//!
//! - Products of two cosines are sums of cosines, so every integral over the panel is a sum of four entries of one table, and the
//!   table follows from the boundary alone by Green's theorem (`rim_waves`, `area`). Holes and polygons of thousands of corners cost
//!   nothing more.
//! - The cosines are nearly dependent on the panel. A pivoted Cholesky factor of their mass matrix picks the independent ones
//!   (`picked`).
//! - Rotations of a shear-deformable plate have the slopes of the cosines for a basis (`unknowns`), made independent in the same
//!   way, and follow the deflection (`rotations`).
//! - Free edges need nothing. Strips add their energy. Ideal supports are very stiff strips whose compliance is corrected to
//!   first order (`supports`).
//! - Shift and tilts belong to the basis, come first in the factor, and are exactly free of bending energy.
//!
//! What it cannot do well: the field beside a re-entrant corner has a singular second derivative, there convergence is
//! algebraic; a clamped re-entrant corner is the worst case. A slit narrower than half the shortest wave of the
//! basis is not seen, because the functions on both sides are the same. [`outline_doubts`](super::outline_doubts) tells the user.

mod area;
mod block;
mod picked;
mod plan;
mod reduction;
mod region;
mod rigid;
mod rim_waves;
mod rotations;
mod statics;
mod supports;
mod unknowns;

#[cfg(test)]
mod shear_tests;
#[cfg(test)]
mod tests;

pub(super) use plan::FreeFormPlan;
pub(super) use region::Region;
pub(super) use statics::FreeFormStatics;

use super::PlateError;
use super::line_basis::LineBasis;
use super::product_basis::WaveCurve;
use super::shapes::Shapes;
use area::AreaTable;
use block::BlockModes;
use ndarray::Array2;
use rayon::prelude::*;
use rigid::RigidTables;
use rim_waves::RimWaves;
use supports::Supports;

/// Everything that is integrated once for all symmetry blocks.
struct Integrals<'a> {
    region: &'a Region<'a>,
    plan: &'a FreeFormPlan,
    area: AreaTable,
    rigid: RigidTables,
    supports: Supports,
}

impl<'a> Integrals<'a> {
    pub fn new(region: &'a Region<'a>, plan: &'a FreeFormPlan) -> Self {
        let waves = RimWaves::new(region, plan);
        let area = AreaTable::new(&waves);
        let rigid = RigidTables::new(&waves, area.area());
        let supports = Supports::new(region, plan, &waves);
        Self { region, plan, area, rigid, supports }
    }
}

/// Modes as `Modes` wants them.
pub(super) struct Solved {
    /// Eigenvalues ω² [rad²/s²], ascending; exactly 0 for rigid motion.
    pub eigenvalues: Vec<f64>,
    pub shapes: Shapes,
    /// Parts of the strain energy (modes, [`EnergyPart::COUNT`](super::EnergyPart)); rows sum to one, rigid ones are zero.
    pub energy: Array2<f64>,
    /// Loss factor of the supports, weighted with the energy in them, times that energy's share, per mode.
    pub support_loss: Vec<f64>,
    /// Where the statics know no wider range than the modes, whose matrices then serve both.
    pub statics: Option<FreeFormStatics>,
}

/// All modes of `region` with eigenvalues ω² up to `limit` [rad²/s²].
///
/// # Errors
/// When LAPACK fails.
pub(super) fn solve(region: &Region, plan: &FreeFormPlan, limit: f64) -> Result<Solved, PlateError> {
    let integrals = Integrals::new(region, plan);
    let with_statics = FreeFormPlan::wider(region, plan.omega).is_none();
    let solved = (plan.blocks.par_iter())
        .map(|block| {
            let size = block.len();
            BlockModes::solve(&integrals, block, limit, with_statics)
                .map_err(|failure| PlateError::Eigensolver { code: failure.0, size })
        })
        .collect::<Result<Vec<_>, PlateError>>()?;
    Ok(gathered(region, plan, solved))
}

fn gathered(region: &Region, plan: &FreeFormPlan, solved: Vec<BlockModes>) -> Solved {
    let [x, y] = plan.lines();
    let scale = region.section.surface_mass.sqrt().recip();
    let (mut energies, mut held) = (Vec::new(), Vec::new());
    let blocks = (solved.into_iter().zip(&plan.blocks))
        .map(|(modes, block)| {
            energies.push((modes.energy, modes.support_loss));
            held.extend(modes.held);
            let shapes = super::shapes::Block::of_products(
                block.classes,
                block.products.clone(),
                modes.coefficients * scale,
            );
            (modes.values, shapes)
        })
        .collect();
    let (eigenvalues, shapes) = Shapes::in_order(x, y, blocks);
    let statics = (held.len() == plan.blocks.len()).then(|| FreeFormStatics::of_blocks(region, plan, held));
    let mut energy = Array2::zeros((eigenvalues.len(), super::EnergyPart::COUNT));
    let mut support_loss = vec![0.0; eigenvalues.len()];
    for (block, (parts, losses)) in shapes.blocks().iter().zip(energies) {
        for ((&place, part), loss) in block.places().iter().zip(parts.rows()).zip(losses) {
            energy.row_mut(place).assign(&part);
            support_loss[place] = loss;
        }
    }
    Solved { eigenvalues, shapes, energy, support_loss, statics }
}

impl FreeFormPlan {
    /// Line functions of both directions, one per class.
    fn lines(&self) -> [Vec<LineBasis>; 2] {
        [0, 1].map(|axis| {
            let span = &self.spans[axis];
            let line = |class: &plan::Class| {
                LineBasis::cosines(span.start, span.length, &class.half_waves, class.tilt)
            };
            self.classes[axis].iter().map(line).collect()
        })
    }
}
