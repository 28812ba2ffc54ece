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
use super::atom::Atom;
use super::line_tables::{LineTables, Nodes, Rims, factor_of, orthonormalise};
use crate::linalg::{LapackFailure, solve_lower};
use crate::scene::EdgeCondition;
use nalgebra::{DMatrix, DVector};
use ndarray::{Array1, Array2, Axis as Along, s};
use panelwright_mesh::Axis;
use std::f64::consts::PI;
use std::num::NonZeroUsize;

/// One side of a rectangle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Side {
    /// Its length [m].
    pub length: f64,
    /// How its two ends are held.
    pub ends: [EdgeCondition; 2],
    /// Decay length [m] of the twist that shear lets through to a free end; `None` for a thin plate.
    pub layer: Option<f64>,
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
    /// True when shear lets the deflection leave a clamped end at an angle: one more function per clamped end, held but not
    /// level there.
    slips: bool,
    /// Functions for the shear angle along an edge across this side's free ends.
    layers: Vec<Atom>,
}

/// Functions of one class, orthonormal over the side: `∫ fᵢ fⱼ dx = δᵢⱼ`.
#[derive(Clone, Debug)]
pub(super) struct LineBasis {
    class: LineClass,
    /// (raw functions, functions).
    combination: Array2<f64>,
}

/// The symmetry classes of `side`, resolving wavenumbers up to `wavenumber` [rad/m].
pub(super) fn line_classes(side: Side, wavenumber: f64, accuracy: Accuracy) -> Vec<LineClass> {
    let half_waves = (wavenumber * side.length / PI).ceil() as usize;
    let classes = families(side, half_waves, accuracy);
    classes.into_iter().map(|class| class.with_shear(side)).collect()
}

fn families(side: Side, half_waves: usize, accuracy: Accuracy) -> Vec<LineClass> {
    use EdgeCondition::SimplySupported;
    let Side { length, ends, .. } = side;
    match ends {
        [SimplySupported, SimplySupported] => {
            [1, 0].map(|odd| supported_class(length, half_waves, odd)).to_vec()
        }
        [SimplySupported, far] => vec![LineClass::odd_about_end(0.0, length, far, half_waves, accuracy)],
        [far, SimplySupported] => vec![LineClass::odd_about_end(length, -length, far, half_waves, accuracy)],
        [near, far] if near == far => {
            [0, 1].map(|odd| symmetric_class(length, near, half_waves, odd, accuracy)).to_vec()
        }
        ends => vec![LineClass::without_symmetry(length, ends, half_waves, accuracy)],
    }
}

/// Sines between two simply supported ends, about the middle: odd numbers of half waves are even functions.
fn supported_class(length: f64, half_waves: usize, first: usize) -> LineClass {
    let wave = |n: usize| 0.5 * n as f64 * PI;
    let atoms = (1..=half_waves.max(2))
        .filter(|n| n % 2 == first)
        .map(|n| if n % 2 == 1 { Atom::Cosine(wave(n)) } else { Atom::Sine(wave(n)) })
        .collect();
    LineClass::new(atoms, vec![]).over(0.5 * length, 0.5 * length, -1.0)
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
    LineClass::new(atoms, conditions).over(0.5 * length, 0.5 * length, -1.0)
}

/// Polynomials of one parity for an end beside `waves` trigonometric functions.
///
/// Each takes one more jump off the continued function, at a clamped end as at a free one (there two combinations are then
/// fixed). The more waves, the less the n-th polynomial differs from its own cosine series: by about
/// `waves^(½ − 2n)`, which must stay well above rounding. A free end, which spends none, does without the last one sooner: beside so many waves
/// it moves the natural frequencies by 1e-5 in the median and 3e-4 at the very top (plywood, 76 half waves along).
fn polynomials(end: EdgeCondition, waves: usize, accuracy: Accuracy) -> usize {
    const DISTINCT: f64 = 1e-10;
    const DISTINCT_FREE: f64 = 1e-8;
    let held = conditions_at(1.0, end).len();
    let distinct = if held == 0 { DISTINCT_FREE } else { DISTINCT };
    let most = 0.5 * (0.5 - distinct.ln() / (waves.max(2) as f64).ln());
    accuracy.supplements.min(most as usize).max(held).max(1)
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
    fn new(atoms: Vec<Atom>, conditions: Vec<(f64, usize)>) -> Self {
        Self { origin: 0.0, scale: 1.0, lower: -1.0, atoms, conditions, slips: false, layers: vec![] }
    }

    /// The same functions of `ζ = (x − origin) / scale`, `lower` ≤ ζ ≤ 1.
    fn over(self, origin: f64, scale: f64, lower: f64) -> Self {
        Self { origin, scale, lower, ..self }
    }

    /// Adds what a plate that yields in shear needs at the ends.
    ///
    /// A free end leaves the twist `κxy` nowhere to go but into shear along the edge, `S γ = D66 γ″`, within `√(D66/S)`: about a
    /// third of the thickness of a homogeneous plate (E. Reissner, J. Appl. Mech. 12 (1945) A69–A77). Its energy is of first
    /// order in that length and no wave of the basis resolves it, so the end gets this exponential itself.
    fn with_shear(mut self, side: Side) -> Self {
        let Some(layer) = side.layer.filter(|&layer| layer > 0.0) else { return self };
        self.slips = true;
        let sigma = self.scale.abs() / layer;
        let free = side.ends.map(|end| matches!(end, EdgeCondition::Free | EdgeCondition::Strip(_)));
        let parity = self.parity();
        self.layers = match (parity, free) {
            (Some(image), _) if free.contains(&true) => vec![Atom::Layer { sigma, upper: 1.0, lower: image }],
            (None, free) => [(0.0, 1.0), (1.0, 0.0)]
                .into_iter()
                .zip(free)
                .filter(|&(_, free)| free)
                .map(|((upper, lower), _)| Atom::Layer { sigma, upper, lower })
                .collect(),
            _ => vec![],
        };
        self
    }

    /// +1 for even functions of ζ, −1 for odd ones, `None` for a mixture.
    fn parity(&self) -> Option<f64> {
        let of = |atom: &Atom| match *atom {
            Atom::Legendre(degree) => 1.0 - 2.0 * (degree % 2) as f64,
            Atom::Cosine(_) => 1.0,
            Atom::Sine(_) => -1.0,
            Atom::Layer { lower, .. } => lower,
        };
        let first = self.atoms.first().map(of)?;
        self.atoms.iter().all(|atom| of(atom) == first).then_some(first)
    }

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
        Self::new(atoms, conditions_at(1.0, far)).over(origin, scale, 0.0)
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
        Self::new(atoms, conditions).over(0.5 * length, 0.5 * length, -1.0)
    }

    /// Wavenumber [rad/m] of each function; 0 for polynomials.
    pub fn wavenumbers(&self) -> Vec<f64> {
        let regular = self.atoms[self.conditions.len()..].iter();
        let slips = (0..self.slip_ends().len()).map(|_| 0.0);
        slips.chain(regular.map(|atom| atom.wavenumber() / self.scale.abs())).collect()
    }

    /// Conditions (their indices) that the additional functions break: level at a clamped end.
    fn slip_ends(&self) -> Vec<usize> {
        let clamped = |&(_, &(_, order)): &(usize, &(f64, usize))| self.slips && order == 1;
        self.conditions.iter().enumerate().filter(clamped).map(|(c, _)| c).collect()
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

    /// Polynomials `a + b (x − centre)` of this class that bend nothing, as [a, b].
    pub fn motions(&self) -> Vec<[f64; 2]> {
        if !self.conditions.is_empty() || self.decouples() {
            return vec![];
        }
        match (self.parity(), self.lower < 0.0) {
            (None, _) => vec![[1.0, 0.0], [0.0, 1.0]],
            (Some(even), true) if even > 0.0 => vec![[1.0, 0.0]],
            (Some(_), true) => vec![[0.0, 1.0]],
            (Some(_), false) => vec![[0.5 * self.scale, 1.0]], // zero at the supported end
        }
    }

    /// Middle of the side [m].
    fn centre(&self) -> f64 {
        self.origin + 0.5 * (1.0 + self.lower) * self.scale
    }

    /// True when the first function is a constant.
    fn starts_level(&self) -> bool {
        self.rigid_degree() == Some(0)
    }

    /// Value and slope per metre (points, functions) of `1 − ζ²`. Functions that are held at both ends have slopes without a mean;
    /// between clamped ends the shear angle is free to have one. Even functions have odd slopes, which need none.
    fn mean_tables(&self, zeta: &[f64]) -> [Array2<f64>; 2] {
        let count = usize::from(self.parity() == Some(-1.0) && !self.slip_ends().is_empty());
        let table =
            |value: fn(f64) -> f64| Array2::from_shape_fn((zeta.len(), count), |(p, _)| value(zeta[p]));
        [table(|z| 1.0 - z * z), table(|z| -2.0 * z) / self.scale]
    }

    /// Value and slope per metre (points, layers) of the layers at `zeta`.
    fn layer_tables(&self, zeta: &[f64]) -> [Array2<f64>; 2] {
        let order = |order: usize| {
            Array2::from_shape_fn((zeta.len(), self.layers.len()), |(p, l)| {
                self.layers[l].jet(zeta[p])[order] / self.scale.powi(order as i32)
            })
        };
        [order(0), order(1)]
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
    /// minus the mix of those first few polynomials that has the same end values; before them, with shear, the mixes that
    /// break one condition of a level end each.
    fn admissible(&self) -> Array2<f64> {
        let held = self.conditions.len();
        let (free, slips) = (self.atoms.len() - held, self.slip_ends());
        let mut combination = Array2::from_shape_fn((self.atoms.len(), free + slips.len()), |(a, j)| {
            f64::from(j >= slips.len() && a == held + j - slips.len())
        });
        if held == 0 {
            return combination;
        }
        let ends = DMatrix::from_fn(held, self.atoms.len(), |c, a| {
            let (zeta, order) = self.conditions[c];
            self.atoms[a].jet(zeta)[order]
        });
        let factor = ends.columns(0, held).clone_owned().lu();
        let regular = (0..free).map(|j| -ends.column(held + j));
        let broken = slips.iter().map(|&c| DVector::from_fn(held, |i, _| f64::from(i == c)));
        for (j, target) in broken.chain(regular).enumerate() {
            let mix = factor.solve(&target).expect("Hermite interpolation at the ends has one solution");
            for i in 0..held {
                combination[(i, j)] = mix[i];
            }
        }
        combination
    }

    /// Nodes ζ and weights over the range of ζ, exact to rounding for products of two functions. Layers get nodes of their own.
    fn quadrature(&self) -> (Vec<f64>, Vec<f64>) {
        const LAYER_REACH: f64 = 36.0; // e^−36 is rounding
        const LAYER_NODES: usize = 40;
        let sigma = self.layers.iter().fold(0.0, |sigma: f64, layer| match *layer {
            Atom::Layer { sigma: own, .. } => sigma.max(own),
            _ => sigma,
        });
        let span = 1.0 - self.lower;
        let rim = LAYER_REACH / sigma.max(f64::MIN_POSITIVE);
        let cuts = match rim < 0.25 * span {
            true if self.lower < 0.0 => vec![self.lower, self.lower + rim, 1.0 - rim, 1.0],
            true => vec![self.lower, 1.0 - rim, 1.0],
            false => vec![self.lower, 1.0],
        };
        let highest = self.atoms.iter().map(|atom| atom.wavenumber()).fold(0.0, f64::max);
        let (mut nodes, mut weights) = (vec![], vec![]);
        for piece in cuts.windows(2) {
            let length = piece[1] - piece[0];
            let most = LAYER_REACH.min(sigma * length) as usize;
            let count = (0.6 * highest * length) as usize + LAYER_NODES + most;
            let axis = Axis::gauss(length, NonZeroUsize::new(count).expect("at least 40 nodes"));
            nodes.extend(axis.nodes.iter().map(|node| piece[0] + node));
            weights.extend(axis.weights);
        }
        (nodes, weights)
    }
}

impl LineBasis {
    /// Orthonormalises a class, lowest functions first, and tabulates.
    ///
    /// By Householder reflections on the values at the quadrature nodes, because a polynomial and its cosine series differ
    /// by little; a second pass removes the rounding of the first.
    pub fn build(class: LineClass) -> Result<(Self, LineTables), LapackFailure> {
        let (mut zeta, weights) = class.quadrature();
        zeta.extend([class.lower, 1.0]);
        if class.scale < 0.0 {
            let count = zeta.len();
            zeta.swap(count - 2, count - 1); // the side starts where ζ is 1
        }
        let raw = class.jets(&zeta);
        let root_weights: Array1<f64> = weights.iter().map(|w| w.sqrt()).collect();
        let mut combination = class.admissible();
        let slips = class.slip_ends().len();
        let mut slipping = combination.clone();
        slipping.slice_mut(s![.., slips..]).fill(0.0);
        let regular = combination.slice(s![.., slips..]).to_owned();
        orthonormalise(&mut combination, &mut slipping, &raw[0], &root_weights)?;
        let per_length = class.scale.recip();
        let root_length = per_length.abs().sqrt();
        combination *= root_length;
        slipping *= root_length;
        let slope = |order: usize, combination: &Array2<f64>| {
            raw[order].dot(combination) * per_length.powi(order as i32)
        };
        let mut jets = [0, 1, 2].map(|order| slope(order, &combination));
        let mut slip = [slope(1, &slipping), slope(2, &slipping)];
        let turn = [slope(1, &regular), slope(2, &regular)];
        let weights: Array1<f64> = weights.iter().map(|w| w * class.scale.abs()).collect();
        if class.slips {
            // Evaluating a combination of nearly dependent functions rounds more than its coefficients do, and what shear takes back of
            // the rotary inertia is a small difference: there the tables, which are what is integrated, are made orthonormal themselves.
            let inside = jets[0].slice(s![..weights.len(), ..]).to_owned();
            let factor = factor_of(inside, &weights.mapv(f64::sqrt))?;
            for table in jets.iter_mut().chain(&mut slip).chain([&mut combination]) {
                solve_lower(&factor, table)?;
            }
        }
        let (mean, layers) = (class.mean_tables(&zeta), class.layer_tables(&zeta));
        let rims = Rims { slips, slip, turn, mean, layers };
        let offsets = zeta.iter().map(|z| class.origin + class.scale * z - class.centre()).collect();
        let nodes = Nodes { weights, offsets };
        let tables = LineTables::new(nodes, jets, rims, class.starts_level())?;
        Ok((Self { class, combination }, tables))
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
        let class = LineClass {
            origin: start + scale,
            scale,
            lower: -1.0,
            atoms,
            conditions: vec![],
            slips: false,
            layers: vec![],
        };
        Self { class, combination }
    }

    /// Number of functions.
    pub fn len(&self) -> usize {
        self.combination.ncols()
    }

    /// Derivatives of `order` 0, 1 or 2 (points, functions) [m^(−½ − order)] at coordinates `x` [m].
    pub fn table(&self, x: &[f64], order: usize) -> Array2<f64> {
        let zeta: Vec<f64> = x.iter().map(|x| (x - self.class.origin) / self.class.scale).collect();
        let mut raw = Array2::zeros((x.len(), self.class.atoms.len()));
        for (mut row, &z) in raw.axis_iter_mut(Along(0)).zip(&zeta) {
            row.iter_mut().zip(&self.class.atoms).for_each(|(value, atom)| *value = atom.jet(z)[order]);
        }
        raw.dot(&self.combination) * self.class.scale.powi(-(order as i32))
    }
}

#[cfg(test)]
mod tests {
    use super::super::line_tables::{Measure, Table, weighted_product};
    use super::*;
    use EdgeCondition::{Clamped, Free, SimplySupported};

    #[test]
    fn cosines_are_counted_from_the_start_of_their_box() {
        let waves: Vec<usize> = (0..9).collect();
        let (start, length) = (-0.2, 1.3);
        let table = LineBasis::cosines(start, length, &waves, true).table(&[0.37], 0);
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
            let side_with = |layer| Side { length: 0.7, ends, layer };
            for class in line_classes(side_with(Some(1e-3)), 90.0, Accuracy::PREDICTION) {
                let (basis, tables) = LineBasis::build(class).expect("independent");
                let integrated =
                    tables.pair(Table::Value, Table::Value, Measure::Whole) - Array2::<f64>::eye(basis.len());
                assert!(integrated.iter().all(|error| error.abs() < 1e-13), "{ends:?}");
                let values = basis.table(&side.nodes.to_vec(), 0);
                let unit = weighted_product(values.view(), &side.weights, values.view())
                    - Array2::<f64>::eye(basis.len());
                let worst = unit.iter().map(|error| error.abs()).fold(0.0, f64::max);
                // Rounding over the distance of the roughest function from the others, 1e-5 found; the tables above do not have it.
                assert!(worst < 2e-5, "{ends:?}: {worst:e}");
                let rim = basis.table(&[0.0, 0.7], 0);
                for (row, end) in rim.rows().into_iter().zip(ends) {
                    let largest = row.iter().map(|value| value.abs()).fold(0.0, f64::max);
                    assert_eq!(largest < 1e-4, end != Free, "{ends:?}: {largest}");
                }
            }
        }
    }
}
