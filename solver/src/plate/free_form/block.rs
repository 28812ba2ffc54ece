//! Modes of one symmetry block, and where they store their energy.

use super::Integrals;
use super::area::Quartet;
use super::plan::{BlockPlan, Rigid};
use super::reduction::{Held, Reduction};
use super::supports::SupportTable;
use super::unknowns::{deflections, rotations};
use crate::dense::{stripe_ranges, transposed};
use crate::linalg::LapackFailure;
use crate::plate::EnergyPart;
use ndarray::{Array1, Array2, ArrayView1, Axis as Along, Zip, concatenate, s, stack};
use rayon::prelude::*;
use std::ops::Range;

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
    /// Factorised stiffness, where the statics are to come from it.
    pub held: Option<Held>,
}

impl BlockModes {
    /// Modes of `block` with eigenvalues up to `limit`, rigid ones first.
    pub fn solve(
        integrals: &Integrals,
        block: &BlockPlan,
        limit: f64,
        with_statics: bool,
    ) -> Result<Self, LapackFailure> {
        let reduction = Reduction::new(integrals, block)?;
        let (held, solved) = rayon::join(
            || with_statics.then(|| reduction.held(integrals.plan.omega)).transpose(),
            || reduction.modes(limit),
        );
        let functions = &reduction.functions;
        let loose = functions.loose;
        let (held, solved) = (held?, solved?.up_to(limit, loose));
        let coefficients = functions.spread(solved.coefficients)?;
        let rotations =
            solved.angles.map(|angles| functions.spread_rotations(&angles)).transpose()?.flatten();
        let fields = Fields {
            integrals,
            block,
            deflection: columns(&coefficients, loose),
            rotations: rotations.map(|along| along.map(|along| columns(&along, loose))),
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
        Ok(Self { values, coefficients, energy, support_loss, held })
    }
}

/// Elastic modes as columns: (functions, modes).
fn columns(coefficients: &Array2<f64>, loose: usize) -> Array2<f64> {
    transposed(&coefficients.slice(s![loose.., ..]))
}

/// Elastic modes of a block in its unknowns: (unknowns, modes).
struct Fields<'a> {
    integrals: &'a Integrals<'a>,
    block: &'a BlockPlan,
    deflection: Array2<f64>,
    /// Rotations along x and y of a shear-deformable plate.
    rotations: Option<[Array2<f64>; 2]>,
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
        let mut part = |part: EnergyPart, energy: ArrayView1<f64>, factor: f64| {
            parts.column_mut(part.column()).scaled_add(factor / section.surface_mass, &energy);
        };
        let (straight, (twisted, slipped)) =
            rayon::join(|| self.straight(), || rayon::join(|| self.twisted(), || self.slipped()));
        part(EnergyPart::BendingX, straight.row(0), section.d11);
        part(EnergyPart::BendingX, straight.row(2), section.d12);
        part(EnergyPart::BendingY, straight.row(1), section.d22);
        part(EnergyPart::BendingY, straight.row(2), section.d12);
        part(EnergyPart::Twisting, twisted.view(), section.d66);
        for (slipped, stiffness) in slipped.iter().zip(section.shear.into_iter().flatten()) {
            part(EnergyPart::Shear, slipped.view(), stiffness);
        }
        part(EnergyPart::Supports, strips.view(), section.surface_mass); // the tables are over surface mass already
        Energies { parts, lost, ideal }
    }

    /// Integrals of the products of two waves of the block.
    fn pair(&self, i: usize, j: usize) -> Quartet {
        self.integrals.area.pair(self.block.waves[i], self.block.waves[j])
    }

    /// Squares of the curvatures along x and y, and their product.
    fn straight(&self) -> Array2<f64> {
        let (x, y) = rayon::join(|| self.times(&self.turn(0), 0), || self.times(&self.turn(1), 1));
        quadratic_forms([&x, &y], |i, j| self.pair(i, j).cosines())
    }

    /// Square of the twist.
    fn twisted(&self) -> Array1<f64> {
        let (mut twist, other) =
            rayon::join(|| self.times(&self.turn(0), 1), || self.times(&self.turn(1), 0));
        twist += &other;
        quadratic_form(&twist, |i, j| self.pair(i, j).sines())
    }

    /// Squares of the shear angles along x and y of a shear-deformable plate.
    fn slipped(&self) -> Vec<Array1<f64>> {
        let along = self.rotations.iter().flatten().enumerate().collect::<Vec<_>>();
        along.into_par_iter().map(|(axis, rotation)| self.slipped_along(axis, rotation)).collect()
    }

    /// θ of every wave along one axis.
    fn turn(&self, axis: usize) -> Array2<f64> {
        match &self.rotations {
            Some(along) => self.of_waves(&along[axis]),
            None => self.bent(axis),
        }
    }

    /// `−∇w` of every wave along one axis.
    fn bent(&self, axis: usize) -> Array2<f64> {
        self.times(&self.of_waves(&self.deflection), axis)
    }

    /// What follows after the rigid motions.
    fn of_waves(&self, values: &Array2<f64>) -> Array2<f64> {
        values.slice(s![values.nrows() - self.block.waves.len().., ..]).to_owned()
    }

    /// Square of the shear angle `θ + ∇w` along one axis.
    fn slipped_along(&self, axis: usize, rotation: &Array2<f64>) -> Array1<f64> {
        let unknowns = rotations(self.block, &self.integrals.plan.spans, axis);
        let mut slip = rotation.clone();
        let mut waves = slip.slice_mut(s![unknowns.len() - self.block.waves.len().., ..]);
        waves -= &self.bent(axis);
        if let Some(place) = self.block.rigid.iter().position(|&rigid| rigid == Rigid::Tilt(axis)) {
            let mut tilt = slip.row_mut(0);
            tilt -= &self.deflection.row(place);
        }
        quadratic_form(&slip, |i, j| self.integrals.turned(&unknowns[i], &unknowns[j]))
    }

    /// Every wave's values times its wavenumber along one axis.
    fn times(&self, values: &Array2<f64>, axis: usize) -> Array2<f64> {
        let span = &self.integrals.plan.spans[axis];
        let wavenumbers: Array1<f64> =
            self.block.waves.iter().map(|numbers| span.wavenumber(numbers[axis])).collect();
        let mut times = values.clone();
        Zip::from(times.rows_mut()).and(&wavenumbers).par_for_each(|mut row, &wavenumber| row *= wavenumber);
        times
    }

    fn in_supports(&self, table: &Option<SupportTable>) -> Array1<f64> {
        let Some(table) = table else { return Array1::zeros(self.deflection.ncols()) };
        let spans = &self.integrals.plan.spans;
        let unknowns = deflections(self.block, spans);
        let Some([x, y]) = &self.rotations else {
            return quadratic_form(&self.deflection, |i, j| table.between(&unknowns[i], &unknowns[j]));
        };
        let held =
            quadratic_form(&self.deflection, |i, j| table.between_deflections(&unknowns[i], &unknowns[j]));
        let unknowns = [0, 1].map(|axis| rotations(self.block, spans, axis)).concat();
        let columns = concatenate(Along(0), &[x.view(), y.view()]).expect("as many modes of each");
        held + quadratic_form(&columns, |i, j| table.between(&unknowns[i], &unknowns[j]))
    }
}

/// `cᵀ A c` of every column c (unknowns, modes).
fn quadratic_form(columns: &Array2<f64>, entry: impl Fn(usize, usize) -> f64 + Sync) -> Array1<f64> {
    let sums = in_stripes(columns.nrows(), entry, |own, stripe| {
        let image = stripe.dot(&columns.slice(s![..own.end, ..]));
        along(&image, columns, &own).insert_axis(Along(0))
    });
    sums.row(0).to_owned()
}

/// `cᵀ A c`, `dᵀ A d` and `cᵀ A d` of every pair of columns c, d: (3, modes).
fn quadratic_forms([c, d]: [&Array2<f64>; 2], entry: impl Fn(usize, usize) -> f64 + Sync) -> Array2<f64> {
    in_stripes(c.nrows(), entry, |own, stripe| {
        let [of_c, of_d] = [c, d].map(|columns| stripe.dot(&columns.slice(s![..own.end, ..])));
        let mixed = (along(&of_c, d, &own) + along(&of_d, c, &own)) * 0.5;
        let forms = [along(&of_c, c, &own), along(&of_d, d, &own), mixed];
        stack(Along(0), &forms.each_ref().map(|form| form.view())).expect("one value per mode of each")
    })
}

/// Products of an image's columns with what belongs to it.
fn along(image: &Array2<f64>, columns: &Array2<f64>, own: &Range<usize>) -> Array1<f64> {
    (image * &columns.slice(s![own.clone(), ..])).sum_axis(Along(0))
}

/// Sum over the horizontal stripes of a symmetric matrix, each as far as its diagonal block. Left of that block it counts
/// twice, for the part above the diagonal.
fn in_stripes(
    size: usize,
    entry: impl Fn(usize, usize) -> f64 + Sync,
    part: impl Fn(Range<usize>, Array2<f64>) -> Array2<f64> + Sync,
) -> Array2<f64> {
    let parts: Vec<Array2<f64>> = (stripe_ranges(size).into_par_iter())
        .map(|own| {
            let start = own.start;
            let stripe = Array2::from_shape_fn((own.len(), own.end), |(i, j)| {
                let twice = if j < start { 2.0 } else { 1.0 };
                twice * entry(start + i, j)
            });
            part(own, stripe)
        })
        .collect();
    parts.into_iter().reduce(|sum, part| sum + part).expect("at least one stripe")
}
