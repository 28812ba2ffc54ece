//! How the rotations of a shear-deformable block follow its deflection.
//!
//! With the whole rotation θ for an unknown, the shear angle is `γ = θ − A w` with A for the turn `−∇w`, and over the surface
//! mass the energies are `½ θᵀ B θ + ½ γᵀ S γ` (B bending, twisting and supports, S shear, both between orthonormal functions)
//! and `½ ω² (wᵀ w + ρ θᵀ θ)`. Deflection and rotations meet in the shear alone:
//!
//! ```text
//! θ = (B + S)⁻¹ S A w      K = Aᵀ S (A − X)      M = 1 + ρ Xᵀ X      X = (B + S)⁻¹ S A
//! ```
//!
//! which is [`reduced`](crate::plate::reduced) written in other unknowns, with fewer matrices: the same terms in λ follow. All is
//! scaled by √S, which makes S one.
//!
//! A holds what the pivoted factor of the rotations makes of the turns of the deflections. A turn that no rotation can follow
//! is at most [`new_rotation`](super::picked::new_rotation) of a cosine's own, but there are deflections of little else, which must not
//! come for nothing. Such rests are rotations of their own, held at zero by the shear stiffness, or by the bending stiffness of
//! the shortest wave where that is less, lest a plate stiff in shear locks.

use super::Integrals;
use super::picked::{Coordinates, Picked};
use super::plan::Rigid;
use super::reduction::turned_rows;
use super::unknowns::{Part, Unknown};
use crate::dense::{self, lower_product, stripe_ranges};
use crate::linalg::{LapackFailure, Precision, nearly, solve_lower_in, solve_lower_transposed_in};
use crate::plate::block_modes::{LAG_MARGIN, Solved, refined_pairs};
use crate::plate::reduced::{Series, square_sums};
use nalgebra::DMatrix;
use ndarray::{Array1, Array2, ArrayView1, ArrayView2, ArrayViewMut2, Axis as Along, Zip, s};
use rayon::prelude::*;
use std::ops::MulAssign;

/// Rotations of a block along x, then along y.
pub(super) struct Rotating<'a> {
    pub integrals: &'a Integrals<'a>,
    pub deflection: &'a Picked,
    pub along: &'a [Picked; 2],
    /// Rigid motions, which are first in the list of deflections.
    pub rigid: &'a [Rigid],
    /// Turn of the orthonormal rigid motions.
    pub turn: &'a DMatrix<f64>,
    /// Shear stiffness over surface mass [m²/s²].
    pub shear: [f64; 2],
}

/// Rotations that follow the deflection at rest, and what they carry.
#[derive(Debug)]
pub(super) struct Rotations {
    /// M over surface mass; lower triangle.
    pub mass: Array2<f64>,
    /// Lower Cholesky factor of `S^-½ B S^-½ + 1`.
    factor: Array2<f32>,
    /// `√S X`, transposed: (functions, rotations).
    follow: Array2<f64>,
    /// Takes what is scaled to the rotations: `S^-½` [s/m] of each.
    scale: Array1<f64>,
    /// Rotary inertia over surface mass [m²].
    own: f64,
}

impl Rotating<'_> {
    /// The rotations, and the stiffness K of bending and shear between the deflections (lower triangle). The first `loose` of them
    /// store no energy.
    pub fn condensed(&self, loose: usize) -> Result<(Array2<f64>, Rotations), LapackFailure> {
        let factor = || nearly(|share| self.stiffness(share), dense::cholesky);
        let (factor, (mut turns, rest)) = rayon::join(factor, || self.turns());
        let factor = factor?;
        let scale = self.by_axis(|axis| self.shear[axis].sqrt().recip());
        columns_times(&mut turns, &scale.recip());
        let mut follow = Zip::from(&turns).par_map_collect(|&turn| turn);
        dense::solve_lower(factor.view(), &mut follow)?;
        dense::solve_lower_transposed(factor.view(), &mut follow)?;
        follow.slice_mut(s![..loose, ..]).assign(&turns.slice(s![..loose, ..]));
        let slip = Zip::from(&turns).and(&follow).par_map_collect(|turn, follow| turn - follow);
        let mut stiffness = lower_product(&turns, &slip);
        stiffness += &lower_product(&rest, &rest);
        let mut rotation = dense::single(&follow);
        columns_times(&mut rotation, &scale.mapv(|value| value as f32));
        let section = self.integrals.region.section;
        let own = section.rotary_inertia / section.surface_mass;
        let mut mass = lower_product(&rotation, &rotation).mapv(|value| own * f64::from(value));
        mass.diag_mut().map_inplace(|value| *value += 1.0);
        Ok((stiffness, Rotations { mass, factor: dense::single(&factor), follow, scale, own }))
    }

    /// A value of every rotation.
    fn by_axis(&self, value: impl Fn(usize) -> f64) -> Array1<f64> {
        let [x, y] = self.along.each_ref().map(Picked::len);
        Array1::from_shape_fn(x + y, |i| value(usize::from(i >= x)))
    }

    /// `S^-½ B S^-½ + 1`, with this share of its mean diagonal added; lower triangle.
    fn stiffness(&self, share: f64) -> Result<Array2<f64>, LapackFailure> {
        let ([x, y], [sx, sy]) = (self.along, self.shear);
        let between = |scale: f64| move |a: &Unknown, b: &Unknown| self.integrals.stiffness(a, b) / scale;
        let cut = x.len();
        let mut whole = Array2::zeros((cut + y.len(), cut + y.len()));
        whole.slice_mut(s![..cut, ..cut]).assign(&x.matrix(between(sx))?);
        whole.slice_mut(s![cut.., ..cut]).assign(&y.coupling(x, between((sx * sy).sqrt()))?);
        whole.slice_mut(s![cut.., cut..]).assign(&y.matrix(between(sy))?);
        let added = 1.0 + share * (1.0 + whole.diag().mean().unwrap_or(0.0));
        whole.diag_mut().map_inplace(|value| *value += added);
        Ok(whole)
    }

    /// `Aᵀ`: turns of the deflections in the rotations (deflections, rotations), and in the rests that none can follow times
    /// the root of what resists them.
    fn turns(&self) -> (Array2<f64>, Array2<f64>) {
        let size = |count: fn(&Picked) -> usize| self.along.each_ref().map(count);
        let zeros = |[x, y]: [usize; 2]| Array2::zeros((self.deflection.len(), x + y));
        let (sizes, rests) = (size(Picked::len), size(Picked::left_over));
        let (mut turns, mut rest) = (zeros(sizes), zeros(rests));
        let (turns_x, turns_y) = turns.view_mut().split_at(Along(1), sizes[0]);
        let (rest_x, rest_y) = rest.view_mut().split_at(Along(1), rests[0]);
        self.turn_along(0, turns_x, rest_x);
        self.turn_along(1, turns_y, rest_y);
        for matrix in [&mut turns, &mut rest] {
            dense::solve_lower_columns(self.deflection.factor(), matrix);
            turned_rows(self.turn, matrix);
        }
        (turns, rest)
    }

    /// Turns of the picked deflections along one axis, into zeros.
    fn turn_along(&self, axis: usize, mut turns: ArrayViewMut2<f64>, mut rests: ArrayViewMut2<f64>) {
        let (rotations, resisted) =
            (self.along[axis].coordinates(), (self.integrals.softness(axis) * self.shear[axis]).sqrt());
        let rows = turns.axis_iter_mut(Along(0)).into_par_iter().zip(rests.axis_iter_mut(Along(0)));
        // Rigid motions come first in the list of deflections, the turn of the tilt in that of rotations.
        let shift = self.rigid.len() - usize::from(self.rigid.contains(&Rigid::Tilt(axis)));
        rows.zip(self.deflection.picked()).for_each(|((mut row, mut rests), (place, unknown, scale))| {
            let (turn, place) = match unknown.part() {
                Part::Rigid(motion) if motion == Rigid::Tilt(axis) => (1.0, 0),
                Part::Rigid(_) => return,
                Part::Wave(wave) if wave.turns[axis] == 0.0 => return, // and there is no such rotation
                Part::Wave(wave) => (wave.turns[axis], place - shift),
            };
            let Coordinates { of_picked, rest, scale: own } = &rotations[place];
            row.slice_mut(s![..of_picked.len()]).scaled_add(scale * turn / own, of_picked);
            if let Some(rest) = rest {
                rests.scaled_add(resisted * scale * turn / own, rest);
            }
        });
    }
}

impl Integrals<'_> {
    /// Bending stiffness of the shortest wave over the shear stiffness along an axis; one at most.
    pub fn softness(&self, axis: usize) -> f64 {
        let (section, reach) = (self.region.section, self.plan.reach);
        let bent = section.d11.max(section.d22) * reach[0].max(reach[1]).powi(2);
        section.shear.map_or(1.0, |shear| (bent / shear[axis]).min(1.0))
    }
}

impl Rotations {
    /// Modes of a block with eigenvalues up to somewhat more than `limit`, from its whole stiffness. The rotations are the
    /// modes' `angles`.
    pub fn modes(
        &self,
        stiffness: ArrayView2<f64>,
        loose: usize,
        limit: f64,
    ) -> Result<Solved, LapackFailure> {
        let mut factor = self.mass.clone();
        dense::cholesky(&mut factor)?;
        let mut elastic = dense::symmetric(&stiffness.slice(s![loose.., loose..]));
        dense::congruent(factor.slice(s![loose.., loose..]), &mut elastic)?;
        let pairs = refined_pairs(elastic, LAG_MARGIN * limit)?;
        let mut modes = Array2::zeros((loose + pairs.values.len(), factor.nrows()));
        modes.slice_mut(s![loose.., loose..]).assign(&pairs.vectors);
        modes.slice_mut(s![..loose, ..loose]).diag_mut().fill(1.0);
        dense::solve_lower_transposed(factor.view(), &mut modes)?;
        let values = std::iter::repeat_n(0.0, loose).chain(pairs.values).collect();
        self.with_lag(&values, modes, limit)
    }

    /// Modes that are normal in M with the terms beyond it; those that these cannot bring down to the limit are dropped.
    fn with_lag(
        &self,
        values: &Array1<f64>,
        modes: Array2<f64>,
        limit: f64,
    ) -> Result<Solved, LapackFailure> {
        let found = (stripe_ranges(modes.nrows()).into_par_iter())
            .map(|own| self.lagging(values.slice(s![own.clone()]), modes.slice(s![own, ..]), limit))
            .collect::<Result<Vec<Solved>, LapackFailure>>()?;
        Ok(Solved::gathered(&found))
    }

    /// The same of a few modes. The lag is a part of their rotations that single precision is enough for.
    fn lagging(
        &self,
        values: ArrayView1<f64>,
        modes: ArrayView2<f64>,
        limit: f64,
    ) -> Result<Solved, LapackFailure> {
        let rotation = modes.dot(&self.follow);
        let kept = self.within(limit, values, &rotation);
        let mut modes = modes.select(Along(0), &kept);
        let mut rotation = rotation.select(Along(0), &kept);
        let square = &self.scale * &self.scale * self.own;
        let mut late = dense::single(&(&rotation * &square));
        solve_lower_in(self.factor.view(), late.view_mut())?;
        let q = square_sums(&late);
        solve_lower_transposed_in(self.factor.view(), late.view_mut())?;
        let late = late.mapv(f64::from);
        let s = (&late * &late).dot(&square);
        let Series { values, kinetic, grown } = Series::new(&values.select(Along(0), &kept), &q, &s);
        rotation += &(late * &grown.insert_axis(Along(1)));
        let norm = kinetic.mapv(|kinetic| kinetic.sqrt().recip()).insert_axis(Along(1));
        rotation *= &self.scale;
        rotation *= &norm;
        modes *= &norm;
        Ok(Solved { values, coefficients: modes, angles: Some(rotation) })
    }

    /// Modes whose eigenvalues may lie below the limit once the lag has lowered them, from their scaled rotations at rest. The lag of
    /// each is at most that of rotations that only shear resists.
    fn within(&self, limit: f64, values: ArrayView1<f64>, rotation: &Array2<f64>) -> Vec<usize> {
        let square = &self.scale * &self.scale;
        let softest = self.own * square.iter().copied().fold(0.0, f64::max);
        let q = (rotation * rotation).dot(&square) * (self.own * softest);
        let lowest = Series::new(&values.to_owned(), &q, &(&q * softest)).values;
        (0..values.len()).filter(|&n| lowest[n] <= limit).collect()
    }
}

/// Multiplies every column by its factor.
fn columns_times<T: Precision + MulAssign>(matrix: &mut Array2<T>, factors: &Array1<T>) {
    matrix.axis_iter_mut(Along(0)).into_par_iter().for_each(|mut row| row *= factors);
}
