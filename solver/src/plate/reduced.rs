//! One symmetry block reduced to its deflection.
//!
//! For a motion of eigenvalue λ = ω² the shear angles follow the deflection φ by `(Kγγ − λ Mγγ) γ = −(Kγw − λ Mγw) φ`, so
//! the exact equation of φ is `D(λ) φ = 0` with, in powers of λ and G = Kγγ⁻¹,
//!
//! ```text
//! D(λ) = K − λ M − λ² Cᵀ G C − λ³ Cᵀ G Mγγ G C − …     T = −G Kγw     C = Mγw + Mγγ T
//! K = Kww + Kwγ T      M = Mww + Tᵀ Mγw + Mwγ T + Tᵀ Mγγ T
//! ```
//!
//! (static condensation: R. J. Guyan, AIAA J. 3 (1965) 380; the series: A. Y. T. Leung, Int. J. Numer. Methods Eng. 12 (1978)
//! 1705–1715, both from memory, derived again here). The first two terms are a symmetric eigenproblem of the size of the
//! deflection; the others shift each of its modes by itself, summed as a geometric series, see [`Lag`].

use super::line_tables::LineTables;
use super::product_basis::BlockPlan;
use super::strain::{Frame, Products, Term, Unknown};
use crate::dense;
use crate::linalg::{LapackFailure, nearly_cholesky};
use ndarray::{Array1, Array2, Axis, Zip, s};

/// What stores energy in a plate, over its surface mass.
pub(super) struct PlateEnergy {
    /// Strain energy.
    pub strain: Vec<Term>,
    /// Kinetic energy of the rotations; `None` for a thin plate.
    pub rotary: Option<Rotary>,
}

/// Rotary inertia.
pub(super) struct Rotary {
    /// The terms.
    pub terms: Vec<Term>,
    /// Rotary inertia over surface mass [m²]: what every shear angle carries.
    pub own: f64,
    /// Surface mass over the lesser shear stiffness [s²/m²]: no load moves the shear angles more.
    pub softest: f64,
}

/// Matrices of a block in the deflection's coefficients.
#[derive(Debug)]
pub(super) struct Reduced {
    /// K over surface mass [s⁻²]; lower triangle.
    pub stiffness: Array2<f64>,
    /// M over surface mass, and how the shear angles follow; `None` for a thin plate, whose M is one.
    pub shear: Option<Sheared>,
}

/// Matrices of a block before its shear angles are condensed, over surface mass. Deflections and shear angles are orthonormal.
pub(super) struct Uncondensed {
    /// Kww; lower triangle.
    pub stiffness: Array2<f64>,
    /// Kwγ: (deflections, shear angles).
    pub coupling: Array2<f64>,
    /// Kγγ; lower triangle.
    pub angles: Array2<f64>,
    /// What rotary inertia adds to Mww; lower triangle.
    pub mass: Array2<f64>,
    /// Mwγ: (deflections, shear angles).
    pub inertia: Array2<f64>,
    /// Rotary inertia over surface mass [m²]: what every shear angle carries.
    pub own: f64,
    /// No less than the largest eigenvalue of Kγγ⁻¹, see [`Rotary`].
    pub softest: f64,
}

/// How the shear angles of a block follow its deflection.
#[derive(Debug)]
pub(super) struct Sheared {
    /// M over surface mass; lower triangle.
    pub mass: Array2<f64>,
    /// Lower Cholesky factor of Kγγ.
    factor: Array2<f32>,
    /// Tᵀ: (products, shear angles).
    follow: Array2<f64>,
    /// Cᵀ: (products, shear angles).
    lag: Array2<f64>,
    /// Rotary inertia over surface mass [m²].
    rotary: f64,
    /// No less than the largest eigenvalue of Kγγ⁻¹.
    softest: f64,
}

/// A mode's frequency and shear angles with the terms beyond M.
pub(super) struct Lag {
    /// Eigenvalues [s⁻²].
    pub values: Array1<f64>,
    /// `−φᵀ D′(λ) φ` of modes that are normal in M: twice the kinetic energy per ω².
    pub kinetic: Array1<f64>,
    /// The modes that are left.
    pub modes: Array2<f64>,
    /// Their shear angles: (modes, shear angles).
    pub angles: Array2<f64>,
}

impl Reduced {
    pub fn new(
        block: &BlockPlan,
        (x, y): (&LineTables, &LineTables),
        energy: &PlateEnergy,
    ) -> Result<Self, LapackFailure> {
        let frame = Frame { x, y };
        let stiffness = frame.matrix(&energy.strain, block.deflection(), block.deflection());
        match &energy.rotary {
            None => Ok(Self { stiffness, shear: None }),
            Some(rotary) => {
                Self::condensed(Uncondensed::of(block, frame, (&energy.strain, rotary), stiffness))
            }
        }
    }

    /// Lets the shear angles follow the deflection.
    pub fn condensed(whole: Uncondensed) -> Result<Self, LapackFailure> {
        let Uncondensed { mut stiffness, coupling: mut follow, angles, mut mass, inertia, own, softest } =
            whole;
        let unit = angles.diag().mean().unwrap_or(0.0);
        let factor = nearly_cholesky(&angles, unit, dense::cholesky)?;
        dense::solve_lower(factor.view(), &mut follow)?;
        stiffness -= &dense::lower_product(&follow, &follow);
        dense::solve_lower_transposed(factor.view(), &mut follow)?;
        follow *= -1.0;
        mass.diag_mut().map_inplace(|value| *value += 1.0);
        let lag = &inertia + &(&follow * own);
        let both = &inertia + &lag;
        mass += &((dense::lower_product(&follow, &both) + dense::lower_product(&both, &follow)) * 0.5);
        let shear = Sheared { mass, factor: dense::single(&factor), follow, lag, rotary: own, softest };
        Ok(Self { stiffness, shear: Some(shear) })
    }
}

impl Uncondensed {
    fn of(
        block: &BlockPlan,
        frame: Frame,
        (strain, rotary): (&[Term], &Rotary),
        stiffness: Array2<f64>,
    ) -> Self {
        let cells = block.shear_cells(frame.x, frame.y);
        let angles = angles_of(&cells);
        let cut = cells[0].len();
        let count = cut + cells[1].len();
        let coupling = |terms: &[Term]| {
            let mut whole = Array2::zeros((block.products.len(), count));
            frame.add(terms, block.deflection(), angles[0], whole.slice_mut(s![.., ..cut]));
            frame.add(terms, block.deflection(), angles[1], whole.slice_mut(s![.., cut..]));
            whole
        };
        let mut own = Array2::zeros((count, count));
        frame.add(strain, angles[0], angles[0], own.slice_mut(s![..cut, ..cut]));
        frame.add(strain, angles[1], angles[0], own.slice_mut(s![cut.., ..cut]));
        frame.add(strain, angles[1], angles[1], own.slice_mut(s![cut.., cut..]));
        Self {
            stiffness,
            coupling: coupling(strain),
            angles: own,
            mass: frame.matrix(&rotary.terms, block.deflection(), block.deflection()),
            inertia: coupling(&rotary.terms),
            own: rotary.own,
            softest: rotary.softest,
        }
    }
}

/// The two shear angles as products of line functions.
pub(super) fn angles_of(cells: &[Vec<(usize, usize)>; 2]) -> [Products<'_>; 2] {
    let [x, y] = cells;
    [Products { unknown: Unknown::ShearX, cells: x }, Products { unknown: Unknown::ShearY, cells: y }]
}

impl Sheared {
    /// Modes (rows: coefficients φ, normal in M, of eigenvalues Λ) with the terms of D(λ) beyond M.
    ///
    /// For one mode `φᵀ D φ = Λ − λ − λ² q − λ³ s − …` with `q = |C φ|²` in the metric of G and s the next term. A single
    /// shear angle would make the series geometric; summed so, `Λ = λ + λ² q / (1 − λ s/q)`.
    ///
    /// Modes that these terms cannot bring down to `limit` are dropped.
    pub fn lag(&self, values: &Array1<f64>, modes: Array2<f64>, limit: f64) -> Result<Lag, LapackFailure> {
        let late = dense::product(&modes, &self.lag);
        let kept = self.within(limit, values, &late);
        let [modes, late] = [modes, late].map(|rows| rows.select(Axis(0), &kept));
        // The lag is a part of the shear angles that single precision is enough for.
        let mut late = dense::single(&late);
        dense::solve_lower(self.factor.view(), &mut late)?;
        let q = square_sums(&late);
        dense::solve_lower_transposed(self.factor.view(), &mut late)?;
        let s = square_sums(&late) * self.rotary;
        let Series { values, kinetic, grown } = Series::new(&values.select(Axis(0), &kept), &q, &s);
        let mut angles = dense::product(&modes, &self.follow);
        Zip::from(angles.rows_mut()).and(late.rows()).and(&grown).par_for_each(|mut angles, late, &grown| {
            Zip::from(&mut angles).and(late).for_each(|angle, &late| *angle += grown * f64::from(late));
        });
        Ok(Lag { values, kinetic, modes, angles })
    }

    /// Modes whose eigenvalues may lie up to the limit; `late` is C φ.
    fn within(&self, limit: f64, values: &Array1<f64>, late: &Array2<f64>) -> Vec<usize> {
        let q = square_sums(late) * self.softest;
        let lowest = Series::new(values, &q, &(&q * (self.rotary * self.softest))).values;
        (0..values.len()).filter(|&n| lowest[n] <= limit).collect()
    }
}

/// The terms of modes beyond M, summed.
pub(super) struct Series {
    /// Eigenvalues λ [s⁻²].
    pub values: Array1<f64>,
    /// Twice the kinetic energy per ω².
    pub kinetic: Array1<f64>,
    /// What the first term of the shear angles, `G C φ`, is multiplied by.
    pub grown: Array1<f64>,
}

impl Series {
    /// From the eigenvalues Λ and the two first terms of each mode.
    pub fn new(values: &Array1<f64>, q: &Array1<f64>, s: &Array1<f64>) -> Self {
        let ratio = Zip::from(s).and(q).map_collect(|&s, &q| if q > 0.0 { s / q } else { 0.0 });
        let shifted = Zip::from(values).and(q).and(&ratio).map_collect(|&l, &q, &r| shifted(l, q, r));
        let grown = Zip::from(&shifted).and(&ratio).map_collect(|&l, &r| l / (1.0 - l * r));
        let kinetic =
            Zip::from(&grown).and(q).and(&ratio).map_collect(|&g, &q, &r| 1.0 + 2.0 * g * q + g * g * q * r);
        Self { values: shifted, kinetic, grown }
    }
}

/// Sum of the squares of every row, in double precision.
pub(super) fn square_sums<T: Copy + Into<f64>>(rows: &Array2<T>) -> Array1<f64> {
    rows.rows().into_iter().map(|row| row.iter().map(|&value| value.into().powi(2)).sum()).collect()
}

/// The root λ of `Λ = λ + λ² q / (1 − λ r)` below Λ and 1/r: the smaller root of `(q − r) λ² + (1 + Λ r) λ − Λ = 0`.
fn shifted(value: f64, q: f64, r: f64) -> f64 {
    let linear = 1.0 + value * r;
    let root = (linear * linear + 4.0 * (q - r) * value).max(0.0).sqrt();
    2.0 * value / (linear + root)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_shift_solves_its_equation() {
        for (value, q, r) in [(1.0, 0.1, 0.05), (3.0, 0.2, 0.3), (2.0, 0.0, 0.0), (5.0, 0.3, 0.3)] {
            let l = shifted(value, q, r);
            assert_relative_eq!(l + l * l * q / (1.0 - l * r), value, max_relative = 1e-13);
            assert!(l > 0.0 && l <= value && l * r < 1.0);
        }
    }
}
