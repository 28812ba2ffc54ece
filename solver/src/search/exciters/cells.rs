//! Modes on the cells of a panel, and the air's impedance between them.
//!
//! A panel that is its own mirror image keeps modes of different symmetry apart, in the air as well. So what the air does to one of each is found at once,
//! and the shapes are held for one corner of the panel only: elsewhere they are the same or the negative.

use crate::plate::SampledModes;
use ndarray::{Array2, ArrayBase, ArrayViewMut1, Axis, Ix2, RawData, SliceInfo, SliceInfoElem, Zip, s};
use num_complex::Complex64;

/// Shapes of the lowest modes on a lattice that is its own mirror image.
pub(super) struct ModesOnCells {
    /// Shapes on the corner (modes, nodes) [kg^−½].
    shapes: Array2<f32>,
    /// Parity of each mode about the middle lines, 0 without.
    parities: Vec<[i8; 2]>,
    /// Nodes along x and y.
    whole: [usize; 2],
    corner: [usize; 2],
}

/// The air's impedance [kg⁻¹ N·s/m] on some modes of one symmetry.
pub(super) struct Impedance {
    /// The modes that move, ascending.
    pub from: Vec<usize>,
    /// The modes that are pushed, ascending.
    pub onto: Vec<usize>,
    /// Real and imaginary part: (pushed, moving).
    pub parts: [Array2<f32>; 2],
}

impl Impedance {
    /// What mode `from[n]` meets on `onto[m]`.
    pub fn at(&self, m: usize, n: usize) -> Complex64 {
        Complex64::new(self.parts[0][(m, n)].into(), self.parts[1][(m, n)].into())
    }
}

impl ModesOnCells {
    /// The `count` lowest modes.
    pub fn new(sampled: &SampledModes, count: usize) -> Self {
        let parities = sampled.parities();
        let (nx, ny) = sampled.shape();
        let folded = |axis: usize, nodes: usize| match parities.first() {
            Some(first) if first[axis] != 0 => nodes.div_ceil(2),
            _ => nodes,
        };
        let corner = [folded(0, nx), folded(1, ny)];
        let shapes = sampled.fields(count, (corner[0], corner[1]));
        Self { shapes, parities, whole: [nx, ny], corner }
    }

    /// The impedance of `from` on `onto`, both ascending, by symmetry; `force` gives the air's forces [N] on the cells from the cells' velocities [m/s].
    pub fn impedance(
        &self,
        from: &[usize],
        onto: &[usize],
        force: impl Fn(&Array2<Complex64>) -> Array2<Complex64>,
    ) -> Vec<Impedance> {
        let groups = self.by_symmetry(from);
        let nodes = self.corner[0] * self.corner[1];
        let mut forces: Vec<[Array2<f32>; 2]> =
            groups.iter().map(|(_, modes)| [0, 1].map(|_| Array2::zeros((modes.len(), nodes)))).collect();
        for round in 0..groups.iter().map(|(_, modes)| modes.len()).max().unwrap_or(0) {
            let found =
                force(&self.velocity(groups.iter().filter_map(|(_, modes)| modes.get(round).copied())));
            for ((parity, modes), [re, im]) in groups.iter().zip(&mut forces) {
                if round < modes.len() {
                    self.fold(&found, *parity, [re, im].map(|part| part.row_mut(round)));
                }
            }
        }
        let mut impedance = vec![];
        for ((parity, from), forces) in groups.into_iter().zip(forces) {
            let onto: Vec<usize> = onto.iter().copied().filter(|&n| self.parities[n] == parity).collect();
            let shapes = self.shapes.select(Axis(0), &onto);
            // The force is that on the panel, the impedance what the panel has to overcome.
            impedance.push(Impedance { parts: forces.map(|part| -shapes.dot(&part.t())), from, onto });
        }
        impedance
    }

    /// Some modes by their parities.
    fn by_symmetry(&self, some: &[usize]) -> Vec<([i8; 2], Vec<usize>)> {
        let mut groups: Vec<([i8; 2], Vec<usize>)> = vec![];
        for &n in some {
            match groups.iter_mut().find(|(parity, _)| *parity == self.parities[n]) {
                Some((_, modes)) => modes.push(n),
                None => groups.push((self.parities[n], vec![n])),
            }
        }
        groups
    }

    /// The panel moving in some modes at once, each at 1 m/s kg^½.
    fn velocity(&self, modes: impl Iterator<Item = usize>) -> Array2<Complex64> {
        let mut velocity = Array2::<f64>::zeros(self.whole);
        for n in modes {
            let shape = self.shapes.row(n).into_shape_with_order(self.corner).expect("a value for each node");
            for (mirrored, sign) in images(self.parities[n]) {
                let to = self.image(velocity.view_mut(), mirrored);
                let from = shape.slice_move(self.imaged(mirrored));
                Zip::from(to).and(from).for_each(|to, &from| *to += f64::from(sign) * f64::from(from));
            }
        }
        velocity.mapv(Complex64::from)
    }

    /// The part of a `field` that is of a symmetry, brought together on the corner: the sum over its images.
    fn fold(&self, field: &Array2<Complex64>, parity: [i8; 2], into: [ArrayViewMut1<f32>; 2]) {
        let mut sum = Array2::<Complex64>::zeros(self.corner);
        for (mirrored, sign) in images(parity) {
            let from = self.image(field.view(), mirrored);
            let to = sum.slice_mut(self.imaged(mirrored));
            Zip::from(to).and(from).for_each(|to, from| *to += Complex64::from(f64::from(sign)) * from);
        }
        let [mut re, mut im] = into;
        for ((re, im), value) in re.iter_mut().zip(&mut im).zip(&sum) {
            [*re, *im] = [value.re as f32, value.im as f32];
        }
    }

    /// The image of the corner in a field, mirrored in the middle lines of x and y or not; nodes on those lines are no images.
    fn image<D: RawData>(&self, mut field: ArrayBase<D, Ix2>, mirrored: [bool; 2]) -> ArrayBase<D, Ix2> {
        for (axis, mirrored) in mirrored.into_iter().enumerate() {
            let (first, second) = (0..self.corner[axis], self.corner[axis]..self.whole[axis]);
            field.slice_axis_inplace(Axis(axis), if mirrored { second } else { first }.into());
            if mirrored {
                field.invert_axis(Axis(axis));
            }
        }
        field
    }

    /// The nodes of the corner that have such an image.
    fn imaged(&self, mirrored: [bool; 2]) -> SliceInfo<[SliceInfoElem; 2], Ix2, Ix2> {
        let [x, y] =
            [0, 1].map(
                |axis| if mirrored[axis] { self.whole[axis] - self.corner[axis] } else { self.corner[axis] },
            );
        s![..x, ..y]
    }
}

/// Mirrored in the middle lines of x and y or not, and the sign that goes with it.
fn images([x, y]: [i8; 2]) -> impl Iterator<Item = ([bool; 2], i8)> {
    let all = [([false, false], 1), ([true, false], x), ([false, true], y), ([true, true], x * y)];
    all.into_iter().filter(|&(_, sign)| sign != 0)
}

/// Most modes of one symmetry among the `count` lowest.
pub(super) fn most_alike(sampled: &SampledModes, count: usize) -> usize {
    let parities = sampled.parities();
    let alike = |parity: &[i8; 2]| parities[..count].iter().filter(|other| *other == parity).count();
    let mut kinds = parities.clone();
    kinds.sort_unstable();
    kinds.dedup();
    kinds.iter().map(alike).max().unwrap_or(0)
}
