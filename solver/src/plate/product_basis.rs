//! Which products of line functions are needed, and the plate's stiffness matrix in them.

use super::Accuracy;
use super::line_basis::{LineBasis, LineClass, Side, line_classes};
use super::line_tables::LineTables;
use super::rigid::{Motion, loose_motions};
use super::strain::{Products, Unknown};
use crate::linalg::LapackFailure;
use crate::scene::{EdgeCondition, Panel, PlateSection};
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

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
    /// Rigid motions that strips leave unresisted.
    pub loose: Vec<Motion>,
}

/// Classes along both sides and the blocks made of them: everything but the integrals.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub x: Vec<LineClass>,
    pub y: Vec<LineClass>,
    pub blocks: Vec<BlockPlan>,
}

/// A direction's basis with its tables, one entry per class.
pub(super) type Line = (LineBasis, LineTables);

impl Plan {
    /// Plans the basis for all modes of `panel` up to the angular frequency `omega` [rad/s].
    ///
    /// A mode of frequency ω is a sum of waves on the plate's own [`WaveCurve`]. A product
    /// is kept when its own wavenumbers, less a margin of some half waves, lie inside that curve. The corners of the
    /// full tensor product would be dead weight.
    pub fn new(panel: &Panel, omega: f64, accuracy: Accuracy) -> Self {
        let (width, height) = panel.outline.bounding_box();
        let curve = WaveCurve::new(&panel.section, omega);
        let margin = accuracy.margin * PI;
        let [kx, ky] = curve.extent();
        let [along_x, along_y] = sides(panel);
        let x = line_classes(along_x, kx + margin / width, accuracy);
        let y = line_classes(along_y, ky + margin / height, accuracy);
        let inside = |kx: f64, ky: f64| curve.contains(kx - margin / width, ky - margin / height);
        let blocks = (0..x.len())
            .flat_map(|i| (0..y.len()).map(move |j| (i, j)))
            .map(|(i, j)| BlockPlan::new(&x, &y, (i, j), inside).supported(panel, &x[i], &y[j]))
            .flat_map(|block| {
                let (i, j) = (block.x_class, block.y_class);
                block.decoupled(&x[i], &y[j])
            })
            .collect();
        Self { x, y, blocks }
    }

    /// Unknowns of the largest block.
    pub fn largest_block(&self) -> usize {
        self.blocks.iter().map(|block| block.products.len()).max().unwrap_or(0)
    }

    /// Functions of the largest class along a side.
    pub fn longest_line(&self) -> usize {
        self.x.iter().chain(&self.y).map(|class| class.wavenumbers().len()).max().unwrap_or(0)
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

/// The panel's sides along x and y, with the length over which a free end's twist turns into shear.
fn sides(panel: &Panel) -> [Side; 2] {
    let (width, height) = panel.outline.bounding_box();
    let [left, bottom, right, top] =
        panel.edges.sides(width, height).unwrap_or([EdgeCondition::Free; 4]).map(without_void_strips);
    let section = &panel.section;
    // Along an edge at the end of x the shear angle is γy.
    let layer = |across: usize| section.shear.map(|shear| (section.d66 / shear[across]).sqrt());
    [
        Side { length: width, ends: [left, right], layer: layer(1) },
        Side { length: height, ends: [bottom, top], layer: layer(0) },
    ]
}

/// A strip without any stiffness is a free edge.
fn without_void_strips(side: EdgeCondition) -> EdgeCondition {
    match side {
        EdgeCondition::Strip(strip) if strip.stiffness == 0.0 && strip.rotational == 0.0 => {
            EdgeCondition::Free
        }
        side => side,
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
        Self { x_class, y_class, products, rigid, loose: vec![] }
    }

    /// Strips resist what would be rigid motions, or some of them.
    fn supported(mut self, panel: &Panel, x: &LineClass, y: &LineClass) -> Self {
        let (width, height) = panel.outline.bounding_box();
        let strip = |side: EdgeCondition| matches!(without_void_strips(side), EdgeCondition::Strip(_));
        if panel.edges.sides(width, height).is_some_and(|sides| sides.into_iter().any(strip)) {
            self.rigid = false;
            self.loose = loose_motions(panel, x, y);
        }
        self
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

    /// The deflection's products.
    pub fn deflection(&self) -> Products<'_> {
        Products { unknown: Unknown::Deflection, cells: &self.products }
    }

    /// Products of the shear angles γx and γy that go with the deflection's: each slope of theirs, and the layers at free ends.
    pub fn shear_cells(&self, x: &LineTables, y: &LineTables) -> [Vec<(usize, usize)>; 2] {
        let turned = |cells: Vec<(usize, usize)>| cells.into_iter().map(|(j, i)| (i, j)).collect();
        let mirrored: Vec<(usize, usize)> = self.products.iter().map(|&(i, j)| (j, i)).collect();
        [slopes(&self.products, x, y), turned(slopes(&mirrored, y, x))]
    }
}

/// Cells (slope along, function across) for products (along, across): one for each product, then those of the slopes and functions
/// that belong to no product.
fn slopes(products: &[(usize, usize)], along: &LineTables, across: &LineTables) -> Vec<(usize, usize)> {
    let regular: Vec<(usize, usize)> =
        products.iter().filter_map(|&(i, j)| along.shear_of(i).map(|k| (k, j))).collect();
    let distinct = |values: &mut dyn Iterator<Item = usize>| -> BTreeSet<usize> { values.collect() };
    let slopes = distinct(&mut regular.iter().map(|cell| cell.0).chain(along.means()));
    let functions = distinct(&mut products.iter().map(|product| product.1));
    let layered = slopes.into_iter().flat_map(|k| across.layers().map(move |layer| (k, layer)));
    let means = along.means().flat_map(|k| functions.iter().map(move |&j| (k, j)));
    regular.iter().copied().chain(means).chain(layered).collect()
}

/// The wavenumbers of free plane bending waves at one frequency.
pub(super) struct WaveCurve<'a> {
    section: &'a PlateSection,
    omega: f64,
}

impl<'a> WaveCurve<'a> {
    /// The curve of the model that `section` stands for: with shear if it knows its shear stiffness.
    pub fn new(section: &'a PlateSection, omega: f64) -> Self {
        Self { section, omega }
    }

    /// Wavenumber [rad/m] in the direction `angle`.
    fn at(&self, angle: f64) -> f64 {
        self.section.wavenumber(self.omega / TAU, angle)
    }

    /// Largest |kx| and |ky| on the curve [rad/m]: on the axes, unless it bulges beyond them.
    pub fn extent(&self) -> [f64; 2] {
        const STEPS: usize = 48;
        (0..=STEPS).map(|i| FRAC_PI_2 * i as f64 / STEPS as f64).fold(
            [0.0, 0.0],
            |[x, y]: [f64; 2], angle| {
                let k = self.at(angle);
                [x.max(k * angle.cos()), y.max(k * angle.sin())]
            },
        )
    }

    /// True inside the curve; negative wavenumbers count as zero.
    pub fn contains(&self, kx: f64, ky: f64) -> bool {
        self.section.dynamic_stiffness([kx.max(0.0), ky.max(0.0)], self.omega) <= 0.0
    }

    /// Area inside the curve [rad²/m²].
    pub fn area(&self) -> f64 {
        const STEPS: usize = 128;
        // k is even about both axes: the midpoint rule over a quarter turn converges exponentially.
        let step = FRAC_PI_2 / STEPS as f64;
        4.0 * 0.5 * step * (0..STEPS).map(|i| self.at((i as f64 + 0.5) * step).powi(2)).sum::<f64>()
    }
}
