//! Which products of line functions are needed, and the plate's stiffness matrix in them.

use super::Accuracy;
use super::line_basis::{LineBasis, LineClass, LineIntegrals, line_classes};
use crate::linalg::LapackFailure;
use crate::scene::{EdgeCondition, Panel, PlateSection};
use ndarray::Array2;
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

/// Products of one x class with one y class: the unknowns of one symmetry block.
#[derive(Clone, Debug)]
pub(super) struct BlockPlan {
    /// Index into the x classes.
    pub x_class: usize,
    /// Index into the y classes.
    pub y_class: usize,
    /// Functions (i along x, j along y), in storage order.
    pub products: Vec<(usize, usize)>,
    /// True when the first product moves the plate without bending it.
    pub rigid: bool,
}

/// Classes along both sides and the blocks made of them: everything but the integrals.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub x: Vec<LineClass>,
    pub y: Vec<LineClass>,
    pub blocks: Vec<BlockPlan>,
}

/// A direction's basis with its integrals, one entry per class.
pub(super) type Line = (LineBasis, LineIntegrals);

impl Plan {
    /// Plans the basis for all modes of `panel` up to the angular frequency `omega` [rad/s].
    ///
    /// A mode of frequency ω is a sum of waves on the curve `D11 kx⁴ + 2 (D12 + 2 D66) kx² ky² + D22 ky⁴ = m ω²`. A product
    /// is kept when its own wavenumbers, less a margin of some half waves, lie inside that curve. The corners of the
    /// full tensor product would be dead weight.
    pub fn new(panel: &Panel, omega: f64, accuracy: Accuracy) -> Self {
        let (width, height) = panel.outline.bounding_box();
        let curve = WaveCurve::new(&panel.section, omega);
        let [left, bottom, right, top] = panel.edges.sides(width, height).unwrap_or([EdgeCondition::Free; 4]);
        let margin = accuracy.margin * PI;
        let [kx, ky] = curve.extent();
        let x = line_classes(width, [left, right], kx + margin / width, accuracy);
        let y = line_classes(height, [bottom, top], ky + margin / height, accuracy);
        let inside = |kx: f64, ky: f64| curve.contains(kx - margin / width, ky - margin / height);
        let blocks = (0..x.len())
            .flat_map(|i| (0..y.len()).map(move |j| (i, j)))
            .flat_map(|(i, j)| BlockPlan::new(&x, &y, (i, j), inside).decoupled(&x[i], &y[j]))
            .collect();
        Self { x, y, blocks }
    }

    /// Unknowns of the largest block.
    pub fn largest_block(&self) -> usize {
        self.blocks.iter().map(|block| block.products.len()).max().unwrap_or(0)
    }

    /// Number of products that are waves along both sides.
    pub fn waves(&self) -> usize {
        let wave =
            |classes: &[LineClass]| -> Vec<Vec<f64>> { classes.iter().map(LineClass::wavenumbers).collect() };
        let (kx, ky) = (wave(&self.x), wave(&self.y));
        let count = |block: &BlockPlan| {
            let (kx, ky) = (&kx[block.x_class], &ky[block.y_class]);
            block.products.iter().filter(|&&(i, j)| kx[i] > 0.0 && ky[j] > 0.0).count()
        };
        self.blocks.iter().map(count).sum()
    }

    /// Integrates the classes of both directions.
    pub fn lines(&self) -> Result<(Vec<Line>, Vec<Line>), LapackFailure> {
        let build = |classes: &[LineClass]| -> Result<Vec<Line>, LapackFailure> {
            classes.iter().cloned().map(LineBasis::build).collect()
        };
        Ok((build(&self.x)?, build(&self.y)?))
    }
}

impl BlockPlan {
    fn new(
        x: &[LineClass],
        y: &[LineClass],
        (x_class, y_class): (usize, usize),
        inside: impl Fn(f64, f64) -> bool,
    ) -> Self {
        let (x, y) = (&x[x_class], &y[y_class]);
        let ky = y.wavenumbers();
        let products = (x.wavenumbers().iter().enumerate())
            .flat_map(|(i, &kx)| ky.iter().enumerate().map(move |(j, &ky)| (i, j, kx, ky)))
            .filter(|&(_, _, kx, ky)| inside(kx, ky))
            .map(|(i, j, _, _)| (i, j))
            .collect();
        let rigid = match (x.rigid_degree(), y.rigid_degree()) {
            (Some(a), Some(b)) => a + b <= 1, // ξη twists the plate
            _ => false,
        };
        Self { x_class, y_class, products, rigid }
    }

    /// Splits the block where the plate splits: along a side between two simple supports the sines do not couple (Lévy).
    fn decoupled(self, x: &LineClass, y: &LineClass) -> Vec<Self> {
        let by = |split: bool, function: usize| if split { function } else { 0 };
        let mut parts: BTreeMap<(usize, usize), Vec<(usize, usize)>> = BTreeMap::new();
        for &(i, j) in &self.products {
            parts.entry((by(x.decouples(), i), by(y.decouples(), j))).or_default().push((i, j));
        }
        parts.into_values().map(|products| Self { products, ..self.clone() }).collect()
    }

    /// Products that bend the plate; a rigid one comes first and is left out.
    pub fn bending(&self) -> &[(usize, usize)] {
        &self.products[usize::from(self.rigid)..]
    }

    /// Stiffness over surface mass [s⁻²] in the bending products; only the lower triangle is filled.
    ///
    /// `K = D11 A⊗M + D22 M⊗A + D12 (C⊗Cᵀ + Cᵀ⊗C) + 4 D66 B⊗B` with `M = 1` (the bending energy of [`PlateSection`]).
    pub fn stiffness(&self, x: &LineIntegrals, y: &LineIntegrals, section: &PlateSection) -> Array2<f64> {
        let products = self.bending();
        let [d11, d22, d12, d66] =
            [section.d11, section.d22, section.d12, 4.0 * section.d66].map(|d| d / section.surface_mass);
        let mut stiffness = Array2::zeros((products.len(), products.len()));
        for (p, &(i, j)) in products.iter().enumerate() {
            let mut row = stiffness.row_mut(p);
            for (value, &(k, l)) in row.iter_mut().zip(&products[..=p]) {
                *value = d12 * (x.mixed[(i, k)] * y.mixed[(l, j)] + x.mixed[(k, i)] * y.mixed[(j, l)])
                    + d66 * x.slope[(i, k)] * y.slope[(j, l)];
                if j == l {
                    *value += d11 * x.curvature[(i, k)];
                }
                if i == k {
                    *value += d22 * y.curvature[(j, l)];
                }
            }
        }
        stiffness
    }
}

/// The wavenumbers of free plane bending waves at one frequency.
pub(super) struct WaveCurve {
    d11: f64,
    twice_h: f64,
    d22: f64,
    inertia: f64,
}

impl WaveCurve {
    pub fn new(section: &PlateSection, omega: f64) -> Self {
        Self {
            d11: section.d11,
            twice_h: 2.0 * (section.d12 + 2.0 * section.d66),
            d22: section.d22,
            inertia: section.surface_mass * omega * omega,
        }
    }

    /// Largest |kx| and |ky| on the curve [rad/m].
    pub fn extent(&self) -> [f64; 2] {
        // With D12 + 2 D66 < 0 the curve bulges beyond its intercepts.
        let softening = 0.25 * self.twice_h.min(0.0).powi(2);
        [self.d11 - softening / self.d22, self.d22 - softening / self.d11]
            .map(|d| (self.inertia / d).powf(0.25))
    }

    /// True inside the curve; negative wavenumbers count as zero.
    pub fn contains(&self, kx: f64, ky: f64) -> bool {
        let (x2, y2) = (kx.max(0.0).powi(2), ky.max(0.0).powi(2));
        self.d11 * x2 * x2 + self.twice_h * x2 * y2 + self.d22 * y2 * y2 <= self.inertia
    }

    /// Mean over all directions of `1 / √(m D(angle))`, times `m`: it fixes both the modal density and the mobility.
    pub fn mean_inverse_root_stiffness(section: &PlateSection) -> f64 {
        const STEPS: usize = 256;
        let sum: f64 =
            (0..STEPS).map(|i| section.stiffness_at(TAU * i as f64 / STEPS as f64).sqrt().recip()).sum();
        sum / STEPS as f64
    }
}
