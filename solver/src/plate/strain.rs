//! The plate's energy as a list of products of strains, and matrices of it over products of line functions.
//!
//! Hierarchic form of shear-deformable theory: rotations of the normal are `θ = −∇w + γ` with the shear angles γ as unknowns
//! beside the deflection w. γ = 0 is the thin plate exactly, so nothing locks and nothing cancels however thin the plate
//! (R. Echter, B. Oesterle & M. Bischoff, Comput. Methods Appl. Mech. Eng. 254 (2013) 170–180, for shells; source named from memory).
//! A few functions of the deflection leave a clamped edge by shear alone: they bring γ = ∇w with them, so that θ stays zero there.

use super::EnergyPart;
use super::line_tables::Measure::{self, End, Start, Whole};
use super::line_tables::{LineTables, Table};
use crate::scene::{EdgeCondition, LossCurve, Panel};
use Table::{Across, AcrossSlope, Shear, ShearSlope, Slip, Slope, Turn, TurnSlope, Value};
use ndarray::{Array1, Array2, Array3, ArrayViewMut2, Axis as Along, CowArray, Ix3, Zip};

/// What products of line functions stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unknown {
    /// The deflection w.
    Deflection,
    /// The shear angle γx.
    ShearX,
    /// The shear angle γy.
    ShearY,
}

/// What stores energy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Strain {
    /// w.
    Deflection,
    /// θx.
    TurnX,
    /// θy.
    TurnY,
    /// κx = ∂θx/∂x.
    CurveX,
    /// κy = ∂θy/∂y.
    CurveY,
    /// κxy = ∂θx/∂y + ∂θy/∂x.
    Twist,
    /// γx.
    SlipX,
    /// γy.
    SlipY,
}

/// A product of a table along x and one along y, with its sign.
type Factor = (Table, Table, f64);

/// What a product of each unknown contributes to a strain.
fn factors(strain: Strain, unknown: Unknown) -> &'static [Factor] {
    match (unknown, strain) {
        (Unknown::Deflection, Strain::Deflection) => &[(Value, Value, 1.0)],
        (Unknown::Deflection, Strain::TurnX) => &[(Turn, Value, -1.0)],
        (Unknown::Deflection, Strain::TurnY) => &[(Value, Turn, -1.0)],
        (Unknown::Deflection, Strain::CurveX) => &[(TurnSlope, Value, -1.0)],
        (Unknown::Deflection, Strain::CurveY) => &[(Value, TurnSlope, -1.0)],
        (Unknown::Deflection, Strain::Twist) => &[(Turn, Slope, -1.0), (Slope, Turn, -1.0)],
        (Unknown::Deflection, Strain::SlipX) => &[(Slip, Value, 1.0)],
        (Unknown::Deflection, Strain::SlipY) => &[(Value, Slip, 1.0)],
        (Unknown::ShearX, Strain::TurnX | Strain::SlipX) => &[(Shear, Across, 1.0)],
        (Unknown::ShearX, Strain::CurveX) => &[(ShearSlope, Across, 1.0)],
        (Unknown::ShearX, Strain::Twist) => &[(Shear, AcrossSlope, 1.0)],
        (Unknown::ShearY, Strain::TurnY | Strain::SlipY) => &[(Across, Shear, 1.0)],
        (Unknown::ShearY, Strain::CurveY) => &[(Across, ShearSlope, 1.0)],
        (Unknown::ShearY, Strain::Twist) => &[(AcrossSlope, Shear, 1.0)],
        _ => &[],
    }
}

/// `coefficient × ∫∫ strain₀ strain₁`, twice an energy.
#[derive(Clone, Debug)]
pub(super) struct Term {
    strains: [Strain; 2],
    coefficient: f64,
    over: [Measure; 2],
    /// The part of the strain energy it belongs to.
    pub part: EnergyPart,
    /// Loss factor of that part.
    pub loss: LossCurve,
}

impl Term {
    /// True when `other` is the same product of strains in the other order.
    fn mirrors(&self, other: &Self) -> bool {
        let [first, second] = other.strains;
        self.strains == [second, first] && self.coefficient == other.coefficient && self.over == other.over
    }
}

/// Everything that stores strain energy in `panel`, over its surface mass.
pub(super) fn strain_energy(panel: &Panel) -> Vec<Term> {
    use EnergyPart::{BendingX, BendingY, Twisting};
    use Strain::{CurveX, CurveY, SlipX, SlipY, Twist};
    let section = &panel.section;
    let inside = |strains: [Strain; 2], stiffness: f64, part: EnergyPart, loss: &LossCurve| Term {
        strains,
        coefficient: stiffness / section.surface_mass,
        over: [Whole; 2],
        part,
        loss: loss.clone(),
    };
    let bending = |strains, stiffness, part| inside(strains, stiffness, part, &section.bending_loss);
    let mut terms = vec![
        bending([CurveX, CurveX], section.d11, BendingX),
        bending([CurveY, CurveY], section.d22, BendingY),
        bending([CurveX, CurveY], section.d12, BendingX),
        bending([CurveY, CurveX], section.d12, BendingY),
        bending([Twist, Twist], section.d66, Twisting),
    ];
    if let Some([s1, s2]) = section.shear {
        terms.push(inside([SlipX, SlipX], s1, EnergyPart::Shear, &section.shear_loss));
        terms.push(inside([SlipY, SlipY], s2, EnergyPart::Shear, &section.shear_loss));
    }
    terms.extend(supports(panel));
    terms
}

/// The strips along the sides, over the plate's surface mass.
fn supports(panel: &Panel) -> impl Iterator<Item = Term> + '_ {
    let (width, height) = panel.outline.bounding_box();
    let sides = panel.edges.sides(width, height).unwrap_or([EdgeCondition::Free; 4]);
    let over = [[Start, Whole], [Whole, Start], [End, Whole], [Whole, End]];
    let turns = [Strain::TurnX, Strain::TurnY, Strain::TurnX, Strain::TurnY];
    sides.into_iter().zip(over).zip(turns).flat_map(move |((side, over), turn)| {
        let strip = match side {
            EdgeCondition::Strip(strip) => Some(strip),
            _ => None,
        };
        strip.into_iter().flat_map(move |strip| {
            [(Strain::Deflection, strip.stiffness), (turn, strip.rotational)].map(|(strain, stiffness)| {
                Term {
                    strains: [strain; 2],
                    coefficient: stiffness / panel.section.surface_mass,
                    over,
                    part: EnergyPart::Supports,
                    loss: LossCurve::constant(strip.loss_factor),
                }
            })
        })
    })
}

/// Twice the kinetic energy of the rotations over surface mass and ω².
pub(super) fn rotary_energy(panel: &Panel) -> Vec<Term> {
    let section = &panel.section;
    [Strain::TurnX, Strain::TurnY]
        .map(|strain| Term {
            strains: [strain; 2],
            coefficient: section.rotary_inertia / section.surface_mass,
            over: [Whole; 2],
            part: EnergyPart::Shear,
            loss: LossCurve::constant(0.0),
        })
        .to_vec()
}

/// Products of line functions (x function, y function) that stand for one unknown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Products<'a> {
    pub unknown: Unknown,
    pub cells: &'a [(usize, usize)],
}

/// A pair of integrals along x and y: what two products share is `scale × x[i, k] y[j, l]`.
struct Pair<'a> {
    x: Integral<'a>,
    y: Integral<'a>,
    scale: f64,
}

/// Integrals between the functions along one side.
enum Integral<'a> {
    /// `∫ fᵢ fⱼ = δᵢⱼ`.
    Unit,
    Table(&'a Array2<f64>),
}

impl<'a> Integral<'a> {
    fn of(line: &'a LineTables, tables: [Table; 2], over: Measure) -> Self {
        let [left, right] = tables;
        if line.is_unit(left, right, over) { Self::Unit } else { Self::Table(line.pair(left, right, over)) }
    }

    fn vanishes(&self) -> bool {
        matches!(self, Self::Table(table) if table.iter().all(|&value| value == 0.0))
    }
}

/// The tables along both sides.
#[derive(Clone, Copy)]
pub(super) struct Frame<'a> {
    pub x: &'a LineTables,
    pub y: &'a LineTables,
}

impl<'a> Frame<'a> {
    /// Matrix (rows, columns) of all `terms`; of the lower triangle only if rows and columns are the same unknown.
    pub fn matrix(&self, terms: &[Term], rows: Products, columns: Products) -> Array2<f64> {
        let mut matrix = Array2::zeros((rows.cells.len(), columns.cells.len()));
        self.add(terms, rows, columns, matrix.view_mut());
        matrix
    }

    /// [`matrix`](Self::matrix), added to a part of another.
    pub fn add(&self, terms: &[Term], rows: Products, columns: Products, mut matrix: ArrayViewMut2<f64>) {
        let pairs: Vec<[Array2<f64>; 2]> = (terms.iter())
            .flat_map(|term| self.pairs(term, rows.unknown, columns.unknown))
            .map(|pair| self.tables(pair, rows.unknown))
            .collect();
        let symmetric = rows.unknown == columns.unknown;
        for (p, &(i, j)) in rows.cells.iter().enumerate() {
            let wanted = if symmetric { &columns.cells[..=p] } else { columns.cells };
            let mut row = matrix.row_mut(p);
            let row = row.as_slice_mut().expect("rows of a standard layout are contiguous");
            for [x, y] in &pairs {
                let (x, y) = (x.row(i), y.row(j));
                for (value, &(k, l)) in row.iter_mut().zip(wanted) {
                    *value += x[k] * y[l];
                }
            }
        }
    }

    /// Both integrals of a pair as tables, the scale in that along x.
    fn tables(&self, pair: Pair, unknown: Unknown) -> [Array2<f64>; 2] {
        let (nx, ny) = self.functions(unknown);
        let table = |integral: Integral, count: usize| match integral {
            Integral::Unit => Array2::eye(count),
            Integral::Table(table) => table.clone(),
        };
        [table(pair.x, nx) * pair.scale, table(pair.y, ny)]
    }

    /// Functions along x and y of an unknown.
    fn functions(&self, unknown: Unknown) -> (usize, usize) {
        match unknown {
            Unknown::Deflection => (self.x.functions(), self.y.functions()),
            Unknown::ShearX => (self.x.turning(), self.y.layers().end),
            Unknown::ShearY => (self.x.layers().end, self.y.turning()),
        }
    }

    /// The pairs of integrals of one term between two unknowns, equal ones taken together; those that vanish are left out.
    fn pairs(&self, term: &Term, row: Unknown, column: Unknown) -> Vec<Pair<'a>> {
        let mut scales: Vec<([Table; 4], f64)> = vec![];
        for &(ax, ay, a) in factors(term.strains[0], row) {
            for &(bx, by, b) in factors(term.strains[1], column) {
                let tables = [self.x.plain(ax), self.x.plain(bx), self.y.plain(ay), self.y.plain(by)];
                let scale = a * b * term.coefficient;
                match scales.iter_mut().find(|(known, _)| *known == tables) {
                    Some((_, sum)) => *sum += scale,
                    None => scales.push((tables, scale)),
                }
            }
        }
        let pair = |([ax, bx, ay, by], scale): ([Table; 4], f64)| Pair {
            x: Integral::of(self.x, [ax, bx], term.over[0]),
            y: Integral::of(self.y, [ay, by], term.over[1]),
            scale,
        };
        let present = |pair: &Pair| pair.scale != 0.0 && !pair.x.vanishes() && !pair.y.vanishes();
        scales.into_iter().map(pair).filter(present).collect()
    }

    /// Twice the energy of each mode in each term: (modes, terms), from the coefficients (modes, cells) of every unknown.
    pub fn energies(&self, terms: &[Term], parts: &[(Products, &Array2<f64>)]) -> Array2<f64> {
        let grids: Vec<Grids> = parts.iter().map(|&(products, c)| self.grids(products, c)).collect();
        let modes = parts.first().map_or(0, |(_, coefficients)| coefficients.nrows());
        let mut energies = Array2::zeros((modes, terms.len()));
        for (n, term) in terms.iter().enumerate() {
            let column = match terms[..n].iter().position(|other| term.mirrors(other)) {
                Some(other) => energies.column(other).to_owned(),
                None => self.energy(term, &grids, modes),
            };
            energies.column_mut(n).assign(&column);
        }
        energies
    }

    /// Twice the energy of each mode in one term.
    fn energy(&self, term: &Term, grids: &[Grids], modes: usize) -> Array1<f64> {
        let square = term.strains[0] == term.strains[1];
        let mut sum = Array1::zeros(modes);
        for (l, left) in grids.iter().enumerate() {
            // Of a square, what two unknowns share counts twice.
            for (r, right) in grids.iter().enumerate().skip(if square { l } else { 0 }) {
                let times = if square && r != l { 2.0 } else { 1.0 };
                for pair in self.pairs(term, left.unknown, right.unknown) {
                    sum.scaled_add(times * pair.scale, &left.shared(&pair, right));
                }
            }
        }
        sum
    }

    /// Coefficients laid out over all x functions by all y functions.
    fn grids(&self, products: Products, coefficients: &Array2<f64>) -> Grids {
        let (nx, ny) = self.functions(products.unknown);
        let modes = coefficients.nrows();
        let mut by_x = Array3::zeros((nx, modes, ny));
        let mut by_mode = Array3::zeros((modes, nx, ny));
        for (m, row) in coefficients.rows().into_iter().enumerate() {
            for (&value, &(i, j)) in row.iter().zip(products.cells) {
                by_x[(i, m, j)] = value;
                by_mode[(m, i, j)] = value;
            }
        }
        Grids { unknown: products.unknown, by_x, by_mode }
    }
}

/// Coefficients of one unknown in two layouts, so that both sides' integrals are one matrix product each.
struct Grids {
    unknown: Unknown,
    /// (x functions, modes, y functions).
    by_x: Array3<f64>,
    /// (modes, x functions, y functions).
    by_mode: Array3<f64>,
}

impl Grids {
    /// `Σ cᵢⱼ x[i, k] y[j, l] dₖₗ` of every mode: x works on d, y on c, and what is left is a sum of products.
    fn shared(&self, pair: &Pair, other: &Self) -> Array1<f64> {
        let along_x = other.times_x(&pair.x);
        let along_y = self.times_y(&pair.y);
        (along_x.axis_iter(Along(1)).zip(along_y.axis_iter(Along(0))))
            .map(|(x, y)| Zip::from(x).and(y).fold(0.0, |sum, a, b| sum + a * b))
            .collect()
    }

    /// `Σₖ x[i, k] cₖₗ`: (i, modes, l).
    fn times_x(&self, x: &Integral) -> CowArray<'_, f64, Ix3> {
        let Integral::Table(x) = x else { return CowArray::from(self.by_x.view()) };
        let (nk, modes, nl) = self.by_x.dim();
        let flat = self.by_x.view().into_shape_with_order((nk, modes * nl)).expect("a standard layout");
        let product = x.dot(&flat).into_shape_with_order((x.nrows(), modes, nl));
        CowArray::from(product.expect("as many values"))
    }

    /// `Σⱼ cᵢⱼ y[j, l]`: (modes, i, l).
    fn times_y(&self, y: &Integral) -> CowArray<'_, f64, Ix3> {
        let Integral::Table(y) = y else { return CowArray::from(self.by_mode.view()) };
        let (modes, ni, nj) = self.by_mode.dim();
        let flat = self.by_mode.view().into_shape_with_order((modes * ni, nj)).expect("a standard layout");
        let product = flat.dot(*y).into_shape_with_order((modes, ni, y.ncols()));
        CowArray::from(product.expect("as many values"))
    }
}
