//! Modes of one symmetry block, and where they store their energy.

use super::Integrals;
use super::plan::BlockPlan;
use super::reduction::Reduction;
use super::supports::SupportTable;
use super::unknowns::{Unknown, deflections, shear_angles};
use crate::linalg::LapackFailure;
use crate::plate::EnergyPart;
use crate::plate::block_modes::Solved;
use ndarray::{Array1, Array2, Axis as Along, concatenate, s};
use rayon::prelude::*;

/// Modes of one block.
pub(super) struct BlockModes {
    /// Eigenvalues ω² [rad²/s²].
    pub values: Vec<f64>,
    /// (modes, products), normal in the mass.
    pub coefficients: Array2<f64>,
    /// Shares of the strain energy (modes, parts).
    pub energy: Array2<f64>,
    /// Share of the supports times their loss factor.
    pub support_loss: Vec<f64>,
}

impl BlockModes {
    /// Modes of `block` with eigenvalues up to `limit`, rigid ones first.
    pub fn solve(integrals: &Integrals, block: &BlockPlan, limit: f64) -> Result<Self, LapackFailure> {
        let Reduction { functions, matrices } = Reduction::new(integrals, block)?;
        let loose = functions.loose;
        let solved = Solved::of(matrices, loose, limit)?.up_to(limit, loose);
        let coefficients = functions.spread(solved.coefficients)?;
        let angles = solved.angles.map(|angles| functions.spread_angles(&angles)).transpose()?.flatten();
        let fields = Fields {
            integrals,
            block,
            deflection: columns(&coefficients, loose),
            angles: angles.map(|angles| angles.map(|angles| columns(&angles, loose))),
        };
        let energies = fields.energies();
        let mut energy = Array2::zeros((coefficients.nrows(), EnergyPart::COUNT));
        let mut support_loss = vec![0.0; coefficients.nrows()];
        for (k, parts) in energies.parts.rows().into_iter().enumerate() {
            // Rounding may leave the softest mode of a sliver without energy of its own.
            let whole = parts.sum();
            if whole < f64::EPSILON * limit {
                continue;
            }
            energy.row_mut(loose + k).assign(&(&parts / whole));
            support_loss[loose + k] = energies.lost[k] / whole;
        }
        // To first order in their compliance.
        let floor = f64::EPSILON * limit; // rounding must not make an elastic mode rigid
        let elastic = solved.values.iter().skip(loose).zip(&energies.ideal);
        let corrected = elastic.map(|(value, ideal)| (value + ideal).max(floor));
        let values = solved.values.iter().take(loose).copied().chain(corrected).collect();
        Ok(Self { values, coefficients, energy, support_loss })
    }
}

/// Elastic modes as columns: (functions, modes).
fn columns(coefficients: &Array2<f64>, loose: usize) -> Array2<f64> {
    coefficients.slice(s![loose.., ..]).t().as_standard_layout().into_owned()
}

/// Elastic modes of a block in its unknowns: (unknowns, modes).
struct Fields<'a> {
    integrals: &'a Integrals<'a>,
    block: &'a BlockPlan,
    deflection: Array2<f64>,
    /// Shear angles along x and y, one unknown per wave.
    angles: Option<[Array2<f64>; 2]>,
}

/// Twice the energies of modes over surface mass.
struct Energies {
    /// (modes, parts).
    parts: Array2<f64>,
    /// In the supports times their loss factor.
    lost: Array1<f64>,
    /// In ideal supports, which should hold none.
    ideal: Array1<f64>,
}

impl Fields<'_> {
    fn energies(&self) -> Energies {
        let modes = self.deflection.ncols();
        let section = self.integrals.region.section;
        let supports = &self.integrals.supports;
        let [ideal, strips, lost] =
            [&supports.ideal, &supports.strips, &supports.strip_losses].map(|table| self.in_supports(table));
        let mut parts = Array2::zeros((modes, EnergyPart::COUNT));
        let mut part = |part: EnergyPart, energy: Array1<f64>, factor: f64| {
            parts.column_mut(part.column()).scaled_add(factor / section.surface_mass, &energy);
        };
        let [x, y] = [0, 1].map(|axis| self.turn(axis));
        let [curve_x, curve_y] = [self.times(&x, 0), self.times(&y, 1)];
        let twist = self.times(&x, 1) + self.times(&y, 0);
        let both = &curve_x + &curve_y;
        let curves = concatenate(Along(1), &[curve_x.view(), curve_y.view(), both.view()])
            .expect("as many functions of each");
        let squares = self.squares(&curves, |p, q| self.integrals.area.pair(p, q).cosines());
        let [xx, yy, sum] = [0, 1, 2].map(|k| squares.slice(s![k * modes..(k + 1) * modes]).to_owned());
        let mixed = (sum - &xx - &yy) * 0.5;
        part(EnergyPart::BendingX, xx, section.d11);
        part(EnergyPart::BendingX, mixed.clone(), section.d12);
        part(EnergyPart::BendingY, yy, section.d22);
        part(EnergyPart::BendingY, mixed, section.d12);
        let twisted = self.squares(&twist, |p, q| self.integrals.area.pair(p, q).sines());
        part(EnergyPart::Twisting, twisted, section.d66);
        if let (Some([x, y]), Some([s1, s2])) = (&self.angles, section.shear) {
            let slipped_x = self.squares(x, |p, q| self.integrals.area.pair(p, q).sines_along_x());
            let slipped_y = self.squares(y, |p, q| self.integrals.area.pair(p, q).sines_along_y());
            part(EnergyPart::Shear, slipped_x, s1);
            part(EnergyPart::Shear, slipped_y, s2);
        }
        part(EnergyPart::Supports, strips, section.surface_mass); // the tables are over surface mass already
        Energies { parts, lost, ideal }
    }

    /// θ of every wave along one axis.
    fn turn(&self, axis: usize) -> Array2<f64> {
        let waves = self.deflection.slice(s![self.block.rigid.len().., ..]).to_owned();
        let bent = self.times(&waves, axis);
        match &self.angles {
            Some(angles) => bent + &angles[axis],
            None => bent,
        }
    }

    /// Every wave's values times its wavenumber along one axis.
    fn times(&self, values: &Array2<f64>, axis: usize) -> Array2<f64> {
        let span = &self.integrals.plan.spans[axis];
        let wavenumbers: Array1<f64> =
            self.block.waves.iter().map(|numbers| span.wavenumber(numbers[axis])).collect();
        values * &wavenumbers.insert_axis(Along(1))
    }

    fn squares(
        &self,
        columns: &Array2<f64>,
        entry: impl Fn([usize; 2], [usize; 2]) -> f64 + Sync,
    ) -> Array1<f64> {
        let waves = &self.block.waves;
        quadratic_forms(columns, |i, j| entry(waves[i], waves[j]))
    }

    fn in_supports(&self, table: &Option<SupportTable>) -> Array1<f64> {
        let Some(table) = table else { return Array1::zeros(self.deflection.ncols()) };
        let spans = &self.integrals.plan.spans;
        let mut unknowns: Vec<Unknown> = deflections(self.block, spans);
        let mut columns = vec![self.deflection.view()];
        for (axis, angles) in self.angles.iter().flatten().enumerate() {
            unknowns.extend(shear_angles(self.block, spans, axis));
            columns.push(angles.view());
        }
        let columns = concatenate(Along(0), &columns).expect("as many modes of each");
        quadratic_forms(&columns, |i, j| table.between(&unknowns[i], &unknowns[j]))
    }
}

/// `cᵀ A c` of every column c (unknowns, modes), A built in stripes.
fn quadratic_forms(columns: &Array2<f64>, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array1<f64> {
    const STRIPE: usize = 64;
    let size = columns.nrows();
    let starts: Vec<usize> = (0..size).step_by(STRIPE).collect();
    let parts: Vec<Array1<f64>> = (starts.into_par_iter())
        .map(|start| {
            let end = (start + STRIPE).min(size);
            // Left of its diagonal block the stripe counts twice, for the part above the diagonal.
            let stripe = Array2::from_shape_fn((end - start, end), |(i, j)| {
                let twice = if j < start { 2.0 } else { 1.0 };
                twice * entry(start + i, j)
            });
            let image = stripe.dot(&columns.slice(s![..end, ..]));
            (&image * &columns.slice(s![start..end, ..])).sum_axis(Along(0))
        })
        .collect();
    parts.into_iter().fold(Array1::zeros(columns.ncols()), |sum, part| sum + part)
}
