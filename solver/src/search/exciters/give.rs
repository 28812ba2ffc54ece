//! The panel under a foot: how it gives way, the air and what is fixed to it included.

use super::few;
use crate::drive::{DriveAt, Passive, passive_parts};
use crate::plate::{Modes, SampledModes};
use crate::scene::Attachments;
use nalgebra::DMatrix;
use ndarray::{Array2, ArrayView2, Axis, Zip};
use num_complex::Complex64;

/// The panel under a foot at one frequency.
#[derive(Clone, Debug)]
pub(super) struct Give {
    panel: Joined,
    /// Local give per static flexibility [1/s].
    pub spring: Complex64,
    /// What masses and hangs take away.
    held: Held,
}

/// The panel's modes with the air.
#[derive(Clone, Debug)]
struct Joined {
    /// h of each mode.
    admittance: Vec<Complex64>,
    /// Modes that are joined, ascending.
    coupled: Vec<usize>,
    /// What joining them adds (coupled, coupled), symmetric: real and imaginary part.
    excess: [Array2<f32>; 2],
}

/// Masses and hangs under a foot at one frequency: `−(Uφ̄)ᵀ K (Uφ̄)`, `U = φ_p h`, `K = (1 + Z Y_pp)⁻¹ Z`.
#[derive(Clone, Debug)]
struct Held {
    /// U (parts, modes), real and imaginary part.
    reach: [Array2<f32>; 2],
    /// K (parts, parts).
    stiffening: Array2<Complex64>,
}

/// Masses and hangs on a panel.
pub(super) struct Parts {
    parts: Vec<Passive>,
    /// Shapes averaged over what each touches (parts, modes).
    shapes: Array2<f64>,
    /// Static flexibility of the modes left out (parts, parts) [m/N].
    residual: Array2<f64>,
}

impl Parts {
    pub fn of(attachments: &Attachments, modes: &Modes) -> Self {
        let (prints, parts) = passive_parts(attachments);
        Self { parts, shapes: modes.averaged(&prints), residual: modes.residual_flexibility(&prints) }
    }

    /// What they do to a `panel` whose modes the air joins.
    fn on(&self, omega: f64, panel: &Joined, spring: Complex64) -> Held {
        let count = self.parts.len();
        let reach = self.reach(panel);
        let mobility = |i: usize, j: usize| {
            let modal: Complex64 = reach.row(i).iter().zip(self.shapes.row(j)).map(|(u, phi)| u * phi).sum();
            modal + spring * self.residual[(i, j)]
        };
        let impedance = |i: usize| self.parts[i].impedance(omega);
        let system = DMatrix::from_fn(count, count, |i, j| {
            impedance(i) * mobility(i, j) + if i == j { 1.0 } else { 0.0 }
        });
        let own = DMatrix::from_fn(count, count, |i, j| if i == j { impedance(i) } else { Complex64::ZERO });
        let stiffening = system.lu().solve(&own).unwrap_or_else(|| DMatrix::zeros(count, count));
        Held {
            reach: [reach.mapv(|z| z.re as f32), reach.mapv(|z| z.im as f32)],
            stiffening: Array2::from_shape_fn((count, count), |(i, j)| stiffening[(i, j)]),
        }
    }

    /// Velocities of the modes for one newton at each part (parts, modes).
    ///
    /// With the air: resonances without it lie elsewhere, and what masses take away from there would be nonsense.
    fn reach(&self, panel: &Joined) -> Array2<Complex64> {
        let mut reach =
            Array2::from_shape_fn(self.shapes.dim(), |(p, n)| self.shapes[(p, n)] * panel.admittance[n]);
        for ((a, b), &re) in panel.excess[0].indexed_iter() {
            let excess = Complex64::new(re.into(), panel.excess[1][(a, b)].into());
            let (to, from) = (panel.coupled[a], panel.coupled[b]);
            for (mut row, shape) in reach.outer_iter_mut().zip(self.shapes.outer_iter()) {
                row[to] += excess * shape[from];
            }
        }
        reach
    }
}

impl Give {
    /// The panel under a foot, the air joining the `count` of the `felt` modes on which it tells most: `force` gives its forces on the nodes on which
    /// the modes are `sampled` from their velocities. `carried` is the impedance of the air that each of the other felt ones carries.
    pub fn new(
        drive: &DriveAt,
        (sampled, force): (&SampledModes, impl Fn(&Array2<Complex64>) -> Array2<Complex64>),
        (felt, count): (usize, usize),
        carried: &[Complex64],
        (parts, omega): (&Parts, f64),
    ) -> Self {
        let (mut admittance, spring) = drive.alone();
        let told = |n: usize| admittance[n].norm_sqr() * carried[n].norm();
        let coupled = largest((0..felt).map(told).collect(), count);
        let own: Vec<Complex64> = coupled.iter().map(|&n| admittance[n]).collect();
        let excess = joined(&own, &resistance(&sampled.fields(&coupled), sampled.shape(), force));
        for (n, (h, z)) in admittance.iter_mut().zip(carried).enumerate().take(felt) {
            if coupled.binary_search(&n).is_err() {
                *h /= 1.0 + *h * z;
            }
        }
        let panel = Joined { admittance, coupled, excess };
        let held = parts.on(omega, &panel, spring);
        Self { panel, spring, held }
    }

    /// Memory [bytes].
    pub fn bytes(&self) -> usize {
        16 * self.panel.admittance.len() + 8 * self.panel.excess[0].len() + 8 * self.held.reach[0].len()
    }

    /// h of each mode.
    pub fn admittance(&self) -> &[Complex64] {
        &self.panel.admittance
    }

    /// `(1 + hZ)⁻¹ v` as near as the air between modes that are not joined may be left out; h are the answers of the modes without air.
    pub fn eased(&self, h: &[Complex64], v: Vec<Complex64>) -> Vec<Complex64> {
        let Joined { admittance, coupled, excess } = &self.panel;
        let mut eased: Vec<Complex64> =
            v.iter().zip(admittance.iter().zip(h)).map(|(v, (with_air, h))| v * with_air / h).collect();
        let pushed: Vec<Complex64> = coupled.iter().map(|&n| v[n] / h[n]).collect();
        for (&n, (re, im)) in coupled.iter().zip(excess[0].rows().into_iter().zip(excess[1].rows())) {
            let more = re.iter().zip(im).map(|(&re, &im)| Complex64::new(re.into(), im.into()));
            eased[n] += more.zip(&pushed).map(|(excess, pushed)| excess * pushed).sum::<Complex64>();
        }
        eased
    }

    /// What is not in the sum over single modes, between every row of `one` (places, modes) and the same row of `other`.
    pub fn beyond(&self, one: ArrayView2<f32>, other: ArrayView2<f32>) -> Vec<Complex64> {
        let mut beyond = self.joined(one, other);
        if self.held.stiffening.is_empty() {
            return beyond;
        }
        let (at_one, at_other) = (self.held.at_parts(one), self.held.at_parts(other));
        for (value, (one, other)) in beyond.iter_mut().zip(at_one.outer_iter().zip(at_other.outer_iter())) {
            *value -= one.dot(&self.held.stiffening.dot(&other));
        }
        beyond
    }

    /// `φ̄_cᵀ excess φ̄_c'` of every two rows.
    fn joined(&self, one: ArrayView2<f32>, other: ArrayView2<f32>) -> Vec<Complex64> {
        let [one, other] = [one, other].map(|shapes| shapes.select(Axis(1), &self.panel.coupled));
        let by = |part: &Array2<f32>| {
            let pushed = few::times(part, one.view()).reversed_axes();
            other.outer_iter().zip(pushed.outer_iter()).map(|(a, b)| a.dot(&b)).collect::<Vec<f32>>()
        };
        let [re, im] = self.panel.excess.each_ref().map(by);
        re.into_iter().zip(im).map(|(re, im)| Complex64::new(re.into(), im.into())).collect()
    }
}

impl Held {
    /// Uφ̄ of every row of `shapes`: (places, parts).
    fn at_parts(&self, shapes: ArrayView2<f32>) -> Array2<Complex64> {
        let [re, im] = self.reach.each_ref().map(|part| shapes.dot(&part.t()));
        Zip::from(&re).and(&im).map_collect(|&re, &im| Complex64::new(re.into(), im.into()))
    }
}

/// The air's impedance on modes of which `fields` (modes, nodes) are the shapes on a lattice of a `shape`.
fn resistance(
    fields: &Array2<f64>,
    shape: (usize, usize),
    force: impl Fn(&Array2<Complex64>) -> Array2<Complex64>,
) -> DMatrix<Complex64> {
    let mut forces = [0, 1].map(|_| Array2::zeros(fields.dim()));
    for (n, field) in fields.rows().into_iter().enumerate() {
        let velocity =
            field.mapv(Complex64::from).into_shape_with_order(shape).expect("the lattice's own shape");
        for (part, of) in forces.iter_mut().zip([|z: &Complex64| z.re, |z: &Complex64| z.im]) {
            part.row_mut(n).iter_mut().zip(&force(&velocity)).for_each(|(value, z)| *value = of(z));
        }
    }
    let [re, im] = forces.map(|part| fields.dot(&part.t()));
    DMatrix::from_fn(fields.nrows(), fields.nrows(), |m, n| -Complex64::new(re[(m, n)], im[(m, n)]))
}

/// `(1 + hZ)⁻¹ h − h`.
fn joined(own: &[Complex64], resistance: &DMatrix<Complex64>) -> [Array2<f32>; 2] {
    let order = own.len();
    let own = DMatrix::from_diagonal(&own.to_vec().into());
    let joined = (DMatrix::identity(order, order) + &own * resistance).lu().solve(&own);
    let excess = joined.map_or_else(|| DMatrix::zeros(order, order), |joined| joined - own);
    let part = |of: fn(Complex64) -> f64| Array2::from_shape_fn((order, order), |ij| of(excess[ij]) as f32);
    [part(|z| z.re), part(|z| z.im)]
}

/// Indices of the `count` largest values, ascending.
fn largest(values: Vec<f64>, count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[b].total_cmp(&values[a]).then(a.cmp(&b)));
    order.truncate(count);
    order.sort_unstable();
    order
}
