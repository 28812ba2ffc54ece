//! Several exciters as one network: each feels the others' motion through panel, air and wiring.
//!
//! Exact for exciters alike, but that the modes left out reach from no foot to another: those that a foot's own static give stands for fade within a fraction
//! of their short wavelength.

use super::feet::Feet;
use super::reach::Reach;
use super::source::Source;
use nalgebra::DMatrix;
use ndarray::{Array2, Array3};
use num_complex::{Complex32, Complex64};

impl Reach {
    /// Pressure [Pa RMS] at the seats (frequencies, seats, sets), each of the `sets` of feet driven together: `drive` has one source per frequency, for
    /// as many exciters as a set has.
    pub fn together(&self, feet: &Feet, sets: &[Vec<usize>], drive: &[Source]) -> Array3<Complex32> {
        let (few, sets) = used(feet, sets);
        let heard = self.per_force(&few, 0..few.len());
        let own = self.mobility(&few, 0..few.len());
        let pairs: Vec<[usize; 2]> = sets.iter().flat_map(|set| pairs(set)).collect();
        let between = self.between(&few, &pairs);
        let mut pressure = Array3::zeros((self.frequencies.len(), self.seats, sets.len()));
        for (index, source) in drive.iter().enumerate() {
            let mut others = between.row(index).into_iter();
            for (place, set) in sets.iter().enumerate() {
                let mut mobility = DMatrix::from_diagonal_element(set.len(), set.len(), Complex64::ZERO);
                for (i, &foot) in set.iter().enumerate() {
                    mobility[(i, i)] = own[(index, foot)];
                    for (j, &y) in (i + 1..set.len()).zip(&mut others) {
                        [mobility[(i, j)], mobility[(j, i)]] = [y; 2];
                    }
                }
                for (&foot, force) in set.iter().zip(source.forces(&mobility)) {
                    let force = Complex32::new(force.re as f32, force.im as f32);
                    for seat in 0..self.seats {
                        pressure[(index, seat, place)] += heard[(index, seat, foot)] * force;
                    }
                }
            }
        }
        pressure
    }

    /// Mobility [m/(N·s)] from one foot of each of `pairs` to the other (frequencies, pairs).
    pub(crate) fn between(&self, feet: &Feet, pairs: &[[usize; 2]]) -> Array2<Complex64> {
        let of = |which: usize| -> Vec<usize> { pairs.iter().map(|pair| pair[which]).collect() };
        let [one, other] = [0, 1].map(|which| feet.select(&of(which)).shapes.mapv(|phi| phi as f32));
        let modal = self.modal(&(&one * &other));
        let mut mobility = Array2::zeros((self.frequencies.len(), pairs.len()));
        for (index, give) in self.give.iter().enumerate() {
            let beyond = give.beyond(one.view(), other.view());
            for (pair, value) in mobility.row_mut(index).iter_mut().enumerate() {
                *value = modal[(index, pair)] + beyond[pair];
            }
        }
        mobility
    }
}

/// The feet that occur in `sets`, and the sets as indices of those.
fn used(feet: &Feet, sets: &[Vec<usize>]) -> (Feet, Vec<Vec<usize>>) {
    let mut used = sets.concat();
    used.sort_unstable();
    used.dedup();
    let at = |foot: &usize| used.partition_point(|other| other < foot);
    let sets = sets.iter().map(|set| set.iter().map(at).collect()).collect();
    (feet.select(&used), sets)
}

/// Every two of a set, in the order of a matrix above its diagonal.
fn pairs(set: &[usize]) -> Vec<[usize; 2]> {
    set.iter().enumerate().flat_map(|(i, &a)| set[i + 1..].iter().map(move |&b| [a, b])).collect()
}
