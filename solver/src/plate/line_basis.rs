//! Functions along one side of a rectangle, orthonormal and fitted to the conditions at both ends.
//!
//! A bending wave field along one side is a cosine-like series plus whatever the ends make of it. Each family here
//! is a short list of Legendre polynomials followed by cosines or sines in rising wavenumber. The trigonometric
//! part has the resolution of one function per half wave; the polynomials take up the jumps that the periodic
//! continuation of the series would have at the ends, so that its coefficients fall off quickly (W. L. Li,
//! Vibration analysis of rectangular plates with general elastic boundary supports, J. Sound Vib. 273 (2004) 619–635;
//! source named from memory, the gain is measured in this crate's tests).
//! Plain polynomials would need π/2 functions per half wave in each direction.
//!
//! Essential conditions hold exactly: the lowest polynomials are spent on them. Free ends need nothing. At a simply
//! supported end a plate mode continues as an odd function, so such an end only selects the odd functions about it;
//! between two of them the sines alone are exact (Navier, Lévy).

use super::Accuracy;
use crate::linalg::{LapackFailure, gram_factor, solve_lower};
use crate::scene::EdgeCondition;
use nalgebra::{DMatrix, DVector};
use ndarray::{Array1, Array2, Axis as Along, s};
use panelwright_mesh::Axis;
use std::f64::consts::PI;
use std::num::NonZeroUsize;

/// One raw function of the local coordinate ζ.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Atom {
    /// Legendre polynomial of this degree.
    Legendre(usize),
    /// `cos κζ`.
    Cosine(f64),
    /// `sin κζ`.
    Sine(f64),
}

impl Atom {
    /// Value, first and second derivative at ζ.
    fn jet(self, zeta: f64) -> [f64; 3] {
        match self {
            Self::Legendre(degree) => legendre_jet(degree, zeta),
            Self::Cosine(kappa) => {
                let (sin, cos) = (kappa * zeta).sin_cos();
                [cos, -kappa * sin, -kappa * kappa * cos]
            }
            Self::Sine(kappa) => {
                let (sin, cos) = (kappa * zeta).sin_cos();
                [sin, kappa * cos, -kappa * kappa * sin]
            }
        }
    }

    fn wavenumber(self) -> f64 {
        match self {
            Self::Legendre(_) => 0.0,
            Self::Cosine(kappa) | Self::Sine(kappa) => kappa,
        }
    }
}

/// Legendre polynomial and two derivatives by `(n+1) P_{n+1} = (2n+1) ζ P_n − n P_{n−1}` and
/// `P'_{n+1} = P'_{n−1} + (2n+1) P_n` (Abramowitz & Stegun, Handbook of Mathematical Functions, 1964, ch. 8).
fn legendre_jet(degree: usize, zeta: f64) -> [f64; 3] {
    let (mut before, mut now) = ([0.0; 3], [1.0, 0.0, 0.0]);
    for n in 0..degree {
        let m = n as f64;
        let next = [
            ((2.0 * m + 1.0) * zeta * now[0] - m * before[0]) / (m + 1.0),
            before[1] + (2.0 * m + 1.0) * now[0],
            before[2] + (2.0 * m + 1.0) * now[1],
        ];
        (before, now) = (now, next);
    }
    now
}

/// One symmetry class of functions along a side: which raw functions, and what holds at the ends.
#[derive(Clone, Debug)]
pub(super) struct LineClass {
    /// ζ = (x − origin) / scale.
    origin: f64,
    scale: f64,
    /// Lower end of the range of ζ; the upper one is 1.
    lower: f64,
    atoms: Vec<Atom>,
    /// Essential conditions: derivative of this order vanishes at this ζ.
    conditions: Vec<(f64, usize)>,
}

/// Functions of one class, orthonormal over the side: `∫ fᵢ fⱼ dx = δᵢⱼ`.
#[derive(Clone, Debug)]
pub(super) struct LineBasis {
    class: LineClass,
    /// (raw functions, functions).
    combination: Array2<f64>,
}

/// Integrals over the side of products of functions and their derivatives.
#[derive(Clone, Debug)]
pub(super) struct LineIntegrals {
    /// `∫ fᵢ″ fⱼ″ dx` [m⁻⁴].
    pub curvature: Array2<f64>,
    /// `∫ fᵢ′ fⱼ′ dx` [m⁻²].
    pub slope: Array2<f64>,
    /// `∫ fᵢ″ fⱼ dx` [m⁻²].
    pub mixed: Array2<f64>,
}

/// The symmetry classes of a side of `length` [m] with conditions `ends`, resolving wavenumbers up to `wavenumber` [rad/m].
pub(super) fn line_classes(
    length: f64,
    ends: [EdgeCondition; 2],
    wavenumber: f64,
    accuracy: Accuracy,
) -> Vec<LineClass> {
    use EdgeCondition::{Clamped, Free, SimplySupported};
    // A strip adds stiffness, not a condition.
    let ends = ends.map(|end| if matches!(end, EdgeCondition::Strip(_)) { Free } else { end });
    let half_waves = (wavenumber * length / PI).ceil() as usize;
    match ends {
        [SimplySupported, SimplySupported] => {
            [1, 0].map(|odd| supported_class(length, half_waves, odd)).to_vec()
        }
        [SimplySupported, far] => vec![LineClass::odd_about_end(0.0, length, far, half_waves, accuracy)],
        [far, SimplySupported] => vec![LineClass::odd_about_end(length, -length, far, half_waves, accuracy)],
        [Free, Free] | [Clamped, Clamped] => {
            [0, 1].map(|odd| symmetric_class(length, ends[0], half_waves, odd, accuracy)).to_vec()
        }
        [Free, Clamped] | [Clamped, Free] => {
            vec![LineClass::without_symmetry(length, ends, half_waves, accuracy)]
        }
        [EdgeCondition::Strip(_), _] | [_, EdgeCondition::Strip(_)] => unreachable!("replaced above"),
    }
}

/// Sines between two simply supported ends, about the middle: odd numbers of half waves are even functions.
fn supported_class(length: f64, half_waves: usize, first: usize) -> LineClass {
    let wave = |n: usize| 0.5 * n as f64 * PI;
    let atoms = (1..=half_waves.max(2))
        .filter(|n| n % 2 == first)
        .map(|n| if n % 2 == 1 { Atom::Cosine(wave(n)) } else { Atom::Sine(wave(n)) })
        .collect();
    LineClass { origin: 0.5 * length, scale: 0.5 * length, lower: -1.0, atoms, conditions: vec![] }
}

/// Even (`parity` 0) or odd (1) functions about the middle between two equal ends.
fn symmetric_class(
    length: f64,
    end: EdgeCondition,
    half_waves: usize,
    parity: usize,
    accuracy: Accuracy,
) -> LineClass {
    let atoms = (0..polynomials(end, half_waves / 2, accuracy))
        .map(|n| Atom::Legendre(2 * n + parity))
        .chain((1..=half_waves).filter(|n| n % 2 == parity).map(half_wave_atom))
        .collect();
    let conditions = conditions_at(1.0, end);
    LineClass { origin: 0.5 * length, scale: 0.5 * length, lower: -1.0, atoms, conditions }
}

/// Polynomials of one parity for an end beside `waves` trigonometric functions.
///
/// Each takes one more jump off the continued function, at a clamped end as at a free one (there two combinations are then
/// fixed). The more waves, the less the n-th polynomial differs from its own cosine series: by about
/// `waves^(½ − 2n)`, which must stay well above rounding.
fn polynomials(end: EdgeCondition, waves: usize, accuracy: Accuracy) -> usize {
    const DISTINCT: f64 = 1e-10;
    let most = 0.5 * (0.5 - DISTINCT.ln() / (waves.max(2) as f64).ln());
    accuracy.supplements.min(most as usize).max(conditions_at(1.0, end).len()).max(1)
}

/// n half waves with zero slope at ζ = ±1.
fn half_wave_atom(n: usize) -> Atom {
    let kappa = 0.5 * n as f64 * PI;
    if n.is_multiple_of(2) { Atom::Cosine(kappa) } else { Atom::Sine(kappa) }
}

fn conditions_at(zeta: f64, end: EdgeCondition) -> Vec<(f64, usize)> {
    match end {
        EdgeCondition::Free | EdgeCondition::Strip(_) => vec![],
        EdgeCondition::SimplySupported => vec![(zeta, 0)],
        EdgeCondition::Clamped => vec![(zeta, 0), (zeta, 1)],
    }
}

impl LineClass {
    /// Odd functions about a simply supported end at `origin`; the other end is at `origin + scale`.
    fn odd_about_end(
        origin: f64,
        scale: f64,
        far: EdgeCondition,
        half_waves: usize,
        accuracy: Accuracy,
    ) -> Self {
        let atoms = (0..polynomials(far, half_waves, accuracy))
            .map(|n| Atom::Legendre(2 * n + 1))
            .chain((0..half_waves).map(|n| Atom::Sine((n as f64 + 0.5) * PI)))
            .collect();
        Self { origin, scale, lower: 0.0, atoms, conditions: conditions_at(1.0, far) }
    }

    /// All functions between two unlike ends, none of them simply supported.
    fn without_symmetry(
        length: f64,
        ends: [EdgeCondition; 2],
        half_waves: usize,
        accuracy: Accuracy,
    ) -> Self {
        let mut conditions = conditions_at(-1.0, ends[0]);
        conditions.extend(conditions_at(1.0, ends[1]));
        let polynomials: usize = ends.iter().map(|&end| polynomials(end, half_waves / 2, accuracy)).sum();
        let atoms =
            (0..polynomials).map(Atom::Legendre).chain((1..=half_waves).map(half_wave_atom)).collect();
        Self { origin: 0.5 * length, scale: 0.5 * length, lower: -1.0, atoms, conditions }
    }

    /// Wavenumber [rad/m] of each function; 0 for polynomials.
    pub fn wavenumbers(&self) -> Vec<f64> {
        self.atoms[self.conditions.len()..].iter().map(|atom| atom.wavenumber() / self.scale.abs()).collect()
    }

    /// True for a series of sines alone: all its integrals are diagonal.
    pub fn decouples(&self) -> bool {
        !self.atoms.iter().any(|atom| matches!(atom, Atom::Legendre(_)))
    }

    /// Degree of the first function when it bends nothing: 0 for a shift, 1 for a tilt.
    pub fn rigid_degree(&self) -> Option<usize> {
        match self.atoms.first() {
            Some(&Atom::Legendre(degree)) if degree <= 1 && self.conditions.is_empty() => Some(degree),
            _ => None,
        }
    }

    /// Tables of all raw functions: (points, raw functions) for value, slope and curvature in ζ.
    fn jets(&self, zeta: &[f64]) -> [Array2<f64>; 3] {
        let shape = (zeta.len(), self.atoms.len());
        let mut tables = [Array2::zeros(shape), Array2::zeros(shape), Array2::zeros(shape)];
        for (p, &z) in zeta.iter().enumerate() {
            for (a, atom) in self.atoms.iter().enumerate() {
                for (table, value) in tables.iter_mut().zip(atom.jet(z)) {
                    table[(p, a)] = value;
                }
            }
        }
        tables
    }

    /// Combinations (raw functions, functions) that meet the essential conditions: each raw function after the first few
    /// minus the mix of those first few polynomials that has the same end values.
    fn admissible(&self) -> Array2<f64> {
        let held = self.conditions.len();
        let free = self.atoms.len() - held;
        let mut combination =
            Array2::from_shape_fn((self.atoms.len(), free), |(a, j)| f64::from(a == held + j));
        if held == 0 {
            return combination;
        }
        let ends = DMatrix::from_fn(held, self.atoms.len(), |c, a| {
            let (zeta, order) = self.conditions[c];
            self.atoms[a].jet(zeta)[order]
        });
        let factor = ends.columns(0, held).clone_owned().lu();
        for j in 0..free {
            let target = DVector::from_column_slice(ends.column(held + j).as_slice());
            let mix = factor.solve(&target).expect("Hermite interpolation at the ends has one solution");
            for i in 0..held {
                combination[(i, j)] = -mix[i];
            }
        }
        combination
    }

    /// Quadrature over the range of ζ, exact to rounding for products of two functions.
    fn quadrature(&self) -> Axis {
        let span = 1.0 - self.lower;
        let highest = self.atoms.iter().map(|atom| atom.wavenumber()).fold(0.0, f64::max);
        let count = NonZeroUsize::new((0.6 * highest * span) as usize + 40).expect("at least 40 nodes");
        let mut axis = Axis::gauss(span, count);
        axis.nodes += self.lower;
        axis
    }
}

impl LineBasis {
    /// Orthonormalises a class, lowest functions first, and integrates.
    ///
    /// By Householder reflections on the values at the quadrature nodes, because a polynomial and its cosine series differ
    /// by little; a second pass removes the rounding of the first.
    pub fn build(class: LineClass) -> Result<(Self, LineIntegrals), LapackFailure> {
        let axis = class.quadrature();
        let raw = class.jets(axis.nodes.as_slice().expect("nodes are contiguous"));
        let root_weights = axis.weights.mapv(f64::sqrt).insert_axis(Along(1));
        let mut combination = class.admissible();
        for _ in 0..2 {
            let values = raw[0].dot(&combination);
            let factor = gram_factor(values * &root_weights)?;
            solve_lower(&factor, &mut combination)?;
        }
        let [values, slopes, curvatures] = raw.map(|table| table.dot(&combination));
        let per_length = class.scale.powi(-2);
        let integrals = LineIntegrals {
            curvature: weighted_product(&curvatures, &axis.weights, &curvatures) * per_length.powi(2),
            slope: weighted_product(&slopes, &axis.weights, &slopes) * per_length,
            mixed: weighted_product(&curvatures, &axis.weights, &values) * per_length,
        };
        combination /= class.scale.abs().sqrt();
        Ok((Self { class, combination }, integrals))
    }

    /// The cosines `cos(n π (x − start) / length)` with the numbers `n` of `half_waves`, and after them the tilt
    /// `2 (x − start) / length − 1` if wanted. Not orthonormal over the panel, unlike all others.
    pub fn cosines(start: f64, length: f64, half_waves: &[usize], tilt: bool) -> Self {
        let wave = |&n: &usize| if n == 0 { Atom::Legendre(0) } else { half_wave_atom(n) };
        let tilt = tilt.then_some(Atom::Legendre(1));
        let atoms: Vec<Atom> = half_waves.iter().map(wave).chain(tilt).collect();
        // About the middle cos(nπ (ζ + 1) / 2) is + cos, − sin, − cos, + sin for n = 0, 1, 2, 3 and so on.
        let sign = |n: usize| if matches!(n % 4, 1 | 2) { -1.0 } else { 1.0 };
        let mut combination = Array2::eye(atoms.len());
        for (i, &n) in half_waves.iter().enumerate() {
            combination[(i, i)] = sign(n);
        }
        let scale = 0.5 * length;
        let class = LineClass { origin: start + scale, scale, lower: -1.0, atoms, conditions: vec![] };
        Self { class, combination }
    }

    /// Number of functions.
    pub fn len(&self) -> usize {
        self.combination.ncols()
    }

    /// Values (points, functions) [m^−½] at coordinates `x` [m].
    pub fn table(&self, x: &[f64]) -> Array2<f64> {
        let zeta: Vec<f64> = x.iter().map(|x| (x - self.class.origin) / self.class.scale).collect();
        let mut raw = Array2::zeros((x.len(), self.class.atoms.len()));
        for (mut row, &z) in raw.axis_iter_mut(Along(0)).zip(&zeta) {
            row.iter_mut().zip(&self.class.atoms).for_each(|(value, atom)| *value = atom.jet(z)[0]);
        }
        raw.dot(&self.combination)
    }
}

/// `leftᵀ diag(weights) right`.
fn weighted_product(left: &Array2<f64>, weights: &Array1<f64>, right: &Array2<f64>) -> Array2<f64> {
    let weighted = right * &weights.slice(s![.., ndarray::NewAxis]);
    left.t().dot(&weighted).as_standard_layout().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use EdgeCondition::{Clamped, Free, SimplySupported};

    #[test]
    fn derivatives_are_those_of_the_values() {
        let step = 1e-5;
        for atom in [Atom::Legendre(7), Atom::Cosine(3.1), Atom::Sine(4.7)] {
            let [before, here, after] = [-step, 0.0, step].map(|shift| atom.jet(0.37 + shift));
            for order in 0..2 {
                let slope = (after[order] - before[order]) / (2.0 * step);
                assert!(
                    (slope - here[order + 1]).abs() < 1e-7 * (1.0 + slope.abs()),
                    "{atom:?} order {order}"
                );
            }
        }
    }

    #[test]
    fn cosines_are_counted_from_the_start_of_their_box() {
        let waves: Vec<usize> = (0..9).collect();
        let (start, length) = (-0.2, 1.3);
        let table = LineBasis::cosines(start, length, &waves, true).table(&[0.37]);
        let share = (0.37 - start) / length;
        for n in waves {
            assert!((table[(0, n)] - (n as f64 * PI * share).cos()).abs() < 1e-12, "{n}");
        }
        assert!((table[(0, 9)] - (2.0 * share - 1.0)).abs() < 1e-12);
    }

    #[test]
    fn every_pair_of_ends_gets_an_orthonormal_family_that_is_held_where_it_must_be() {
        crate::linalg::single_threaded_blas();
        let side = Axis::gauss(0.7, NonZeroUsize::new(120).expect("positive"));
        for ends in
            [[Free; 2], [Clamped; 2], [SimplySupported, Free], [Clamped, SimplySupported], [Free, Clamped]]
        {
            for class in line_classes(0.7, ends, 90.0, Accuracy::PREDICTION) {
                let basis = LineBasis::build(class).expect("independent").0;
                let values = basis.table(&side.nodes.to_vec());
                let unit =
                    weighted_product(&values, &side.weights, &values) - Array2::<f64>::eye(basis.len());
                let worst = unit.iter().map(|error| error.abs()).fold(0.0, f64::max);
                // Rounding 2e-16 over DISTINCT 1e-10 is 2e-6, in the roughest function only; a few such terms add up.
                assert!(worst < 2e-5, "{ends:?}: {worst:e}");
                let rim = basis.table(&[0.0, 0.7]);
                for (row, end) in rim.rows().into_iter().zip(ends) {
                    let largest = row.iter().map(|value| value.abs()).fold(0.0, f64::max);
                    assert_eq!(largest < 1e-4, end != Free, "{ends:?}: {largest}");
                }
            }
        }
    }
}
