//! What the functions along one side offer the plate: tables at quadrature nodes, and integrals of products of them.

use crate::linalg::{LapackFailure, gram_factor, solve_lower};
use ndarray::{Array1, Array2, ArrayView2, Axis as Along, concatenate, s};
use std::sync::OnceLock;

/// Functions along one side that a strain of the plate can be made of. f are the functions of the deflection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Table {
    /// f.
    Value,
    /// f′.
    Slope,
    /// The part of f′ that turns the cross-section: all but what f has of the functions that leave a clamped end by shear alone.
    Turn,
    /// Its derivative.
    TurnSlope,
    /// The part of f′ that shears the cross-section: what is left.
    Slip,
    /// Orthonormal functions u that span every `Turn`: for shear angles along this side.
    Shear,
    /// u′.
    ShearSlope,
    /// Orthonormal functions v that span every f, and the layers at free ends: for shear angles across this side.
    Across,
    /// v′.
    AcrossSlope,
}

/// What an integral runs over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Measure {
    /// The whole side.
    Whole,
    /// Its start only.
    Start,
    /// Its end only.
    End,
}

/// What shear adds at the ends of a side.
pub(super) struct Rims {
    /// Number of raw functions that leave a clamped end by shear alone.
    pub slips: usize,
    /// Slope and curvature (points, functions) of what the functions have of those.
    pub slip: [Array2<f64>; 2],
    /// Slope and curvature (points, functions) of the others before they were made orthonormal.
    pub turn: [Array2<f64>; 2],
    /// Value and slope (points, functions) of a shear angle with a mean, where the slopes of functions that are held at both ends
    /// have none; without columns elsewhere.
    pub mean: [Array2<f64>; 2],
    /// Value and slope (points, layers) of the layers.
    pub layers: [Array2<f64>; 2],
}

/// Where the tables are taken.
#[derive(Clone, Debug)]
pub(super) struct Nodes {
    /// Quadrature weights [m].
    pub weights: Array1<f64>,
    /// Distances from the middle of the side [m]: of the quadrature nodes, then of start and end of the side.
    pub offsets: Array1<f64>,
}

/// Tables (points, functions) of a class: quadrature nodes, then start and end of the side.
#[derive(Clone, Debug)]
pub(super) struct LineTables {
    nodes: Nodes,
    tables: [Array2<f64>; TABLES],
    /// Functions without a `Shear` function of their own, which come first: a constant, or those that slip.
    without_shear: usize,
    /// `Shear` functions that belong to none, which come first.
    means: usize,
    /// True when no function leaves a clamped end by shear alone.
    without_slips: bool,
    /// Integrals taken so far, by their two tables and measure: blocks of few products ask for the same ones a thousand times.
    integrals: Vec<OnceLock<Array2<f64>>>,
}

/// Number of [`Table`]s and of [`Measure`]s.
const TABLES: usize = 9;
const MEASURES: usize = 3;

impl LineTables {
    /// From the jets (value, slope, curvature) of the deflection's functions at the nodes and both ends, of which the
    /// first is a constant if `level`.
    pub fn new(nodes: Nodes, jets: [Array2<f64>; 3], rims: Rims, level: bool) -> Result<Self, LapackFailure> {
        let [value, slope, curvature] = jets;
        let root_weights = nodes.weights.mapv(f64::sqrt);
        let level = usize::from(level);
        let [slip, slip_slope] = rims.slip;
        let (turn, turn_slope) = (&slope - &slip, &curvature - &slip_slope);
        // The mean comes first, as the smooth function that it is: rows of products are cut off at the rough end.
        let with_mean = |mean: &Array2<f64>, table: &Array2<f64>| {
            let joined = concatenate(Along(1), &[mean.view(), table.slice(s![.., level..])]);
            joined.expect("one value per row").as_standard_layout().into_owned()
        };
        let means = rims.mean[0].ncols();
        let [shear, shear_slope] = orthonormal(
            [with_mean(&rims.mean[0], &rims.turn[0]), with_mean(&rims.mean[1], &rims.turn[1])],
            &root_weights,
        )?;
        let [across, across_slope] = with_layers([&value, &slope], rims.layers, &root_weights)?;
        let tables = [value, slope, turn, turn_slope, slip, shear, shear_slope, across, across_slope];
        let (without_shear, without_slips) = (level.max(rims.slips), rims.slips == 0);
        let integrals = vec![OnceLock::new(); TABLES * TABLES * MEASURES];
        Ok(Self { nodes, tables, without_shear, means, without_slips, integrals })
    }

    /// Number of functions of the deflection.
    pub fn functions(&self) -> usize {
        self.tables[0].ncols()
    }

    /// The `Shear` function that belongs to a function of the deflection.
    pub fn shear_of(&self, function: usize) -> Option<usize> {
        function.checked_sub(self.without_shear).map(|k| k + self.means)
    }

    /// `Shear` functions that belong to none.
    pub fn means(&self) -> std::ops::Range<usize> {
        0..self.means
    }

    /// Number of `Shear` functions.
    pub fn turning(&self) -> usize {
        self.table(Table::Shear).ncols()
    }

    /// `Across` functions beyond those of the deflection.
    pub fn layers(&self) -> std::ops::Range<usize> {
        self.functions()..self.table(Table::Across).ncols()
    }

    /// Coefficients of the constant 1 and of the distance from the middle in the deflection's functions.
    pub fn linear(&self) -> [Array1<f64>; 2] {
        let count = self.nodes.weights.len();
        let values = self.table(Table::Value).slice(s![..count, ..]).reversed_axes();
        let first = &self.nodes.weights * &self.nodes.offsets.slice(s![..count]);
        [values.dot(&self.nodes.weights), values.dot(&first)]
    }

    fn table(&self, table: Table) -> &Array2<f64> {
        &self.tables[table as usize]
    }

    /// The same functions by their simplest name: without any that slip, the whole slope turns the cross-section.
    pub fn plain(&self, table: Table) -> Table {
        if table == Table::Turn && self.without_slips { Table::Slope } else { table }
    }

    /// True when `∫ leftᵢ rightⱼ` is δᵢⱼ (but for rounding, which it is better without).
    pub fn is_unit(&self, left: Table, right: Table, measure: Measure) -> bool {
        let orthonormal = matches!(left, Table::Value | Table::Shear | Table::Across);
        orthonormal && left == right && measure == Measure::Whole
    }

    /// `∫ leftᵢ rightⱼ`, or the product at one end.
    pub fn pair(&self, left: Table, right: Table, measure: Measure) -> &Array2<f64> {
        let place = (left as usize * TABLES + right as usize) * MEASURES + measure as usize;
        self.integrals[place].get_or_init(|| self.integral(left, right, measure))
    }

    fn integral(&self, left: Table, right: Table, measure: Measure) -> Array2<f64> {
        let (left, right) = (self.table(left), self.table(right));
        let nodes = self.nodes.weights.len();
        let at = |row: usize| {
            let (a, b) = (left.slice(s![row..=row, ..]), right.slice(s![row..=row, ..]));
            a.t().dot(&b)
        };
        let product = match measure {
            Measure::Whole => weighted_product(
                left.slice(s![..nodes, ..]),
                &self.nodes.weights,
                right.slice(s![..nodes, ..]),
            ),
            Measure::Start => at(nodes),
            Measure::End => at(nodes + 1),
        };
        product.as_standard_layout().into_owned()
    }
}

/// `leftᵀ diag(weights) right`.
pub(super) fn weighted_product(
    left: ArrayView2<f64>,
    weights: &Array1<f64>,
    right: ArrayView2<f64>,
) -> Array2<f64> {
    let weighted = &right * &weights.slice(s![.., ndarray::NewAxis]);
    left.t().dot(&weighted)
}

/// Replaces combinations (raw functions, functions) by orthonormal ones, and does the same to a `part` of them; `raw` holds the values of the raw functions, whose first
/// rows are the nodes.
pub(super) fn orthonormalise(
    combination: &mut Array2<f64>,
    part: &mut Array2<f64>,
    raw: &Array2<f64>,
    root_weights: &Array1<f64>,
) -> Result<(), LapackFailure> {
    let raw = raw.slice(s![..root_weights.len(), ..]);
    for _ in 0..2 {
        let factor = factor_of(raw.dot(combination), root_weights)?;
        solve_lower(&factor, combination)?;
        solve_lower(&factor, part)?;
    }
    Ok(())
}

/// Lower factor of the Gram matrix of functions given by their `values` (nodes, functions).
pub(super) fn factor_of(
    values: Array2<f64>,
    root_weights: &Array1<f64>,
) -> Result<Array2<f64>, LapackFailure> {
    gram_factor((values * root_weights.view().insert_axis(Along(1))).as_standard_layout().into_owned())
}

/// A table and its derivative, recombined to be orthonormal.
fn orthonormal(
    [mut values, mut slopes]: [Array2<f64>; 2],
    root_weights: &Array1<f64>,
) -> Result<[Array2<f64>; 2], LapackFailure> {
    if values.ncols() == 0 {
        return Ok([values, slopes]);
    }
    for _ in 0..2 {
        let factor = factor_of(values.slice(s![..root_weights.len(), ..]).to_owned(), root_weights)?;
        solve_lower(&factor, &mut values)?;
        solve_lower(&factor, &mut slopes)?;
    }
    Ok([values, slopes])
}

/// The orthonormal functions followed by those layers that differ from them.
fn with_layers(
    [values, slopes]: [&Array2<f64>; 2],
    [layers, layer_slopes]: [Array2<f64>; 2],
    root_weights: &Array1<f64>,
) -> Result<[Array2<f64>; 2], LapackFailure> {
    /// A wide layer is a smooth function that the others have already.
    const DISTINCT: f64 = 1e-5;
    let (nodes, count) = (root_weights.len(), values.ncols());
    let mut joined = [values.clone(), slopes.clone()];
    for (layer, slope) in layers.columns().into_iter().zip(layer_slopes.columns()) {
        let inside = layer.slice(s![..nodes]);
        let norm = inside.iter().zip(root_weights).map(|(v, w)| (v * w).powi(2)).sum::<f64>().sqrt();
        let candidate = [(&joined[0], layer), (&joined[1], slope)]
            .map(|(table, column)| append(table, &(&column / norm)));
        let factor = factor_of(candidate[0].slice(s![..nodes, ..]).to_owned(), root_weights)?;
        if factor[(factor.nrows() - 1, factor.nrows() - 1)].abs() > DISTINCT {
            joined = candidate;
        }
    }
    match joined[0].ncols() == count {
        true => Ok(joined),
        false => orthonormal(joined, root_weights),
    }
}

fn append(table: &Array2<f64>, column: &Array1<f64>) -> Array2<f64> {
    let column = column.view().insert_axis(Along(1));
    let joined = concatenate(Along(1), &[table.view(), column]).expect("one value per row");
    joined.as_standard_layout().into_owned()
}
