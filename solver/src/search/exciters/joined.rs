//! The panel's modes with their air: those that the air joins, and those that carry their own.

use super::cells::Impedance;
use super::few;
use nalgebra::DMatrix;
use ndarray::{Array2, ArrayView2, Axis};
use num_complex::Complex64;

/// The panel's modes with the air at one frequency.
#[derive(Clone, Debug)]
pub(super) struct Joined {
    /// h of each mode.
    pub admittance: Vec<Complex64>,
    groups: Vec<Group>,
}

/// Modes that the air joins.
#[derive(Clone, Debug)]
pub(super) struct Group {
    /// Ascending.
    pub modes: Vec<usize>,
    /// What joining them adds to their h (modes, modes), symmetric: real and imaginary part.
    pub excess: [Array2<f32>; 2],
}

impl Group {
    /// Modes of which the air's impedance between them is known, as if there were no others: `(1 + hZ)⁻¹ h − h`.
    pub fn alone(h: &[Complex64], air: Impedance) -> Self {
        let order = air.from.len();
        let own = DMatrix::from_diagonal(&air.from.iter().map(|&n| h[n]).collect::<Vec<_>>().into());
        let impedance = DMatrix::from_fn(order, order, |m, n| air.at(m, n));
        let joined = (DMatrix::identity(order, order) + &own * impedance).lu().solve(&own);
        let excess = joined.map_or_else(|| DMatrix::zeros(order, order), |joined| joined - own);
        let part =
            |of: fn(Complex64) -> f64| Array2::from_shape_fn((order, order), |ij| of(excess[ij]) as f32);
        Self { modes: air.from, excess: [part(|z| z.re), part(|z| z.im)] }
    }

    fn at(&self, i: usize, j: usize) -> Complex64 {
        Complex64::new(self.excess[0][(i, j)].into(), self.excess[1][(i, j)].into())
    }
}

impl Joined {
    /// Modes whose answers without air are `h`; of the `felt` lowest those in no group feel the air that each has `carried`.
    pub fn new(h: &[Complex64], carried: &[Complex64], felt: usize, groups: Vec<Group>) -> Self {
        let mut single = vec![true; h.len()];
        groups.iter().flat_map(|group| &group.modes).for_each(|&n| single[n] = false);
        let with_air = |n: usize| if n < felt && single[n] { h[n] / (1.0 + h[n] * carried[n]) } else { h[n] };
        Self { admittance: (0..h.len()).map(with_air).collect(), groups }
    }

    /// Memory [bytes].
    pub fn bytes(&self) -> usize {
        16 * self.admittance.len() + 8 * self.groups.iter().map(|group| group.excess[0].len()).sum::<usize>()
    }

    /// Velocities of the modes for forces with `shapes` (forces, modes).
    ///
    /// With the air: resonances without it lie elsewhere, and what masses take away from there would be nonsense.
    pub fn reach(&self, shapes: &Array2<f64>) -> Array2<Complex64> {
        let mut reach = Array2::from_shape_fn(shapes.dim(), |(p, n)| shapes[(p, n)] * self.admittance[n]);
        for group in &self.groups {
            for (a, &to) in group.modes.iter().enumerate() {
                for (b, &from) in group.modes.iter().enumerate() {
                    let excess = group.at(a, b);
                    for (mut row, shape) in reach.outer_iter_mut().zip(shapes.outer_iter()) {
                        row[to] += excess * shape[from];
                    }
                }
            }
        }
        reach
    }

    /// `(1 + hZ)⁻¹ v` as near as the air between modes that are not joined may be left out; h are the answers of the modes without air.
    pub fn eased(&self, h: &[Complex64], v: &[Complex64]) -> Vec<Complex64> {
        let mut eased: Vec<Complex64> =
            v.iter().zip(self.admittance.iter().zip(h)).map(|(v, (with_air, h))| v * with_air / h).collect();
        for Group { modes, excess: [re, im] } in &self.groups {
            let pushed: Vec<Complex64> = modes.iter().map(|&n| v[n] / h[n]).collect();
            for (&n, (re, im)) in modes.iter().zip(re.rows().into_iter().zip(im.rows())) {
                let more = re.iter().zip(im).map(|(&re, &im)| Complex64::new(re.into(), im.into()));
                eased[n] += more.zip(&pushed).map(|(excess, pushed)| excess * pushed).sum::<Complex64>();
            }
        }
        eased
    }

    /// What joining adds to the sum over single modes, between every row of `one` (places, modes) and the same row of `other`: `φ̄ᵀ excess φ̄'`.
    pub fn excess(&self, one: ArrayView2<f32>, other: ArrayView2<f32>) -> Vec<Complex64> {
        let mut sums = vec![Complex64::ZERO; one.nrows()];
        for Group { modes, excess } in &self.groups {
            let [one, other] = [one, other].map(|shapes| shapes.select(Axis(1), modes));
            let by = |part: &Array2<f32>| {
                let pushed = few::times(part, one.view()).reversed_axes();
                other.outer_iter().zip(pushed.outer_iter()).map(|(a, b)| a.dot(&b)).collect::<Vec<f32>>()
            };
            let [re, im] = excess.each_ref().map(by);
            for (sum, (re, im)) in sums.iter_mut().zip(re.into_iter().zip(im)) {
                *sum += Complex64::new(re.into(), im.into());
            }
        }
        sums
    }
}

/// The `count` of the `felt` lowest modes on which the air that each has `carried` tells most, ascending.
pub(super) fn strongest(h: &[Complex64], carried: &[Complex64], felt: usize, count: usize) -> Vec<usize> {
    let told = |n: usize| h[n].norm_sqr() * carried[n].norm();
    let mut order: Vec<usize> = (0..felt).collect();
    order.sort_by(|&a, &b| told(b).total_cmp(&told(a)).then(a.cmp(&b)));
    order.truncate(count);
    order.sort_unstable();
    order
}
