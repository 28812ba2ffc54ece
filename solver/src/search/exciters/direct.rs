//! All modes with all of the air between them, solved directly: what many seats share.
//!
//! With R the air's impedance of the modes that feel it on all modes, forces T move the modes by
//!
//! ```text
//! a_m = h_m (T_m − Σ_n R_mn a_n),    n the modes that feel the air
//! ```
//!
//! one system of those for each symmetry of the panel, and the others follow.

use super::cells::Impedance;
use super::joined::Group;
use crate::linalg::ComplexFactors;
use ndarray::{Array2, Axis, Zip, s};
use num_complex::{Complex32, Complex64};

/// The panel's modes with their air at one frequency.
pub(super) struct Direct<'a> {
    h: &'a [Complex64],
    groups: Vec<(Impedance, ComplexFactors)>,
}

impl<'a> Direct<'a> {
    /// From the answers h of the modes without air, and the air's impedance of those that feel it on all of them. Nothing where the system is singular.
    pub fn new(h: &'a [Complex64], air: Vec<Impedance>) -> Option<Self> {
        let factors = |air: Impedance| {
            let felt = air.from.len();
            let mut system = Array2::from_shape_fn((felt, felt), |(m, n)| single(air.at(m, n)));
            for (value, &n) in system.diag_mut().iter_mut().zip(&air.from) {
                *value += single(h[n].inv());
            }
            ComplexFactors::new(system).ok().map(|factors| (air, factors))
        };
        air.into_iter().map(factors).collect::<Option<_>>().map(|groups| Self { h, groups })
    }

    /// Velocities of the modes (rows, modes) under forces on them (rows, modes).
    pub fn moved(&self, forces: &Array2<Complex64>) -> Array2<Complex64> {
        let mut moved = Zip::from(forces).and_broadcast(&ndarray::aview1(self.h)).map_collect(|f, h| f * h);
        for (air, factors) in &self.groups {
            let on_felt = |(row, i)| single(forces[(row, air.from[i])]);
            let mut felt = Array2::from_shape_fn((forces.nrows(), air.from.len()), on_felt);
            factors.solve(felt.as_slice_mut().expect("made in one piece"));
            let rest = s![air.from.len().., ..];
            let [re, im] = air.parts.each_ref().map(|part| part.slice(rest));
            let impedance = Zip::from(&re).and(&im).map_collect(|&re, &im| Complex32::new(re, im));
            let resisted = felt.dot(&impedance.t());
            for (mut row, (felt, resisted)) in
                moved.rows_mut().into_iter().zip(felt.rows().into_iter().zip(resisted.rows()))
            {
                air.from.iter().zip(felt).for_each(|(&n, &value)| row[n] = double(value));
                let others = air.onto[air.from.len()..].iter().zip(resisted);
                others.for_each(|(&n, &force)| row[n] -= self.h[n] * double(force));
            }
        }
        moved
    }

    /// What the air adds between some modes, ascending, among all others.
    pub fn joined(&self, some: &[usize]) -> Vec<Group> {
        self.groups.iter().map(|(air, factors)| self.group(air, factors, some)).collect()
    }

    fn group(&self, air: &Impedance, factors: &ComplexFactors, some: &[usize]) -> Group {
        let own: Vec<usize> =
            (0..air.from.len()).filter(|&i| some.binary_search(&air.from[i]).is_ok()).collect();
        let mut pushed = Array2::zeros((own.len(), air.from.len()));
        own.iter().enumerate().for_each(|(row, &i)| pushed[(row, i)] = Complex32::ONE);
        factors.solve(pushed.as_slice_mut().expect("made in one piece"));
        let mut excess = pushed.select(Axis(1), &own);
        for (value, &i) in excess.diag_mut().iter_mut().zip(&own) {
            *value = single(double(*value) - self.h[air.from[i]]);
        }
        Group {
            modes: own.iter().map(|&i| air.from[i]).collect(),
            excess: [excess.mapv(|z| z.re), excess.mapv(|z| z.im)],
        }
    }
}

fn single(z: Complex64) -> Complex32 {
    Complex32::new(z.re as f32, z.im as f32)
}

fn double(z: Complex32) -> Complex64 {
    Complex64::new(z.re.into(), z.im.into())
}
