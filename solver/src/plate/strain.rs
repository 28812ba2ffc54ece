//! The plate's energy as a list of products of strains, and matrices of it over products of line functions.
//!
//! Hierarchic form of shear-deformable theory: rotations of the normal are `θ = −∇w + γ` with the shear angles γ as unknowns
//! beside the deflection w. γ = 0 is the thin plate exactly, so nothing locks and nothing cancels however thin the plate
//! (R. Echter, B. Oesterle & M. Bischoff, Comput. Methods Appl. Mech. Eng. 254 (2013) 170–180, for shells; source named from memory).
//! A few functions of the deflection leave a clamped edge by shear alone: they bring γ = ∇w with them, so that θ stays zero there.

use super::EnergyPart;
use super::line_tables::Measure::{self, Along, End, Start};
use super::line_tables::{LineTables, Table};
use crate::scene::{EdgeCondition, LossCurve, Panel};
use Table::{Across, AcrossSlope, Shear, ShearSlope, Slip, Slope, Turn, TurnSlope, Value};
use ndarray::{Array2, Array3, Zip};

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

/// Everything that stores strain energy in `panel`, over its surface mass.
pub(super) fn strain_energy(panel: &Panel) -> Vec<Term> {
    use EnergyPart::{BendingX, BendingY, Twisting};
    use Strain::{CurveX, CurveY, SlipX, SlipY, Twist};
    let section = &panel.section;
    let inside = |strains: [Strain; 2], stiffness: f64, part: EnergyPart, loss: &LossCurve| Term {
        strains,
        coefficient: stiffness / section.surface_mass,
        over: [Along; 2],
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
    let over = [[Start, Along], [Along, Start], [End, Along], [Along, End]];
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
            over: [Along; 2],
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

/// A pair of integrals along x and y: what two products share is `x[i, k] y[j, l]`.
struct Pair {
    x: Array2<f64>,
    y: Array2<f64>,
}

/// The tables along both sides.
#[derive(Clone, Copy)]
pub(super) struct Frame<'a> {
    pub x: &'a LineTables,
    pub y: &'a LineTables,
}

impl Frame<'_> {
    /// Matrix (rows, columns) of all `terms`; of the lower triangle only if rows and columns are the same unknown.
    pub fn matrix(&self, terms: &[Term], rows: Products, columns: Products) -> Array2<f64> {
        let pairs: Vec<Pair> =
            terms.iter().flat_map(|term| self.pairs(term, rows.unknown, columns.unknown)).collect();
        let symmetric = rows.unknown == columns.unknown;
        let mut matrix = Array2::zeros((rows.cells.len(), columns.cells.len()));
        for (p, &(i, j)) in rows.cells.iter().enumerate() {
            let wanted = if symmetric { &columns.cells[..=p] } else { columns.cells };
            let mut row = matrix.row_mut(p);
            let row = row.as_slice_mut().expect("rows of a standard layout are contiguous");
            for pair in &pairs {
                let (x, y) = (pair.x.row(i), pair.y.row(j));
                for (value, &(k, l)) in row.iter_mut().zip(wanted) {
                    *value += x[k] * y[l];
                }
            }
        }
        matrix
    }

    /// The pairs of integrals of one term between two unknowns; those that vanish are left out.
    fn pairs(&self, term: &Term, row: Unknown, column: Unknown) -> Vec<Pair> {
        let (left, right) = (factors(term.strains[0], row), factors(term.strains[1], column));
        let mut pairs = vec![];
        for &(ax, ay, a) in left {
            for &(bx, by, b) in right {
                let x = self.x.pair(ax, bx, term.over[0]) * (a * b * term.coefficient);
                let y = self.y.pair(ay, by, term.over[1]);
                let vanishes = |table: &Array2<f64>| table.iter().all(|&value| value == 0.0);
                if !vanishes(&x) && !vanishes(&y) {
                    pairs.push(Pair { x, y });
                }
            }
        }
        pairs
    }

    /// Twice the energy of each mode in each term: (modes, terms), from the coefficients (modes, cells) of every unknown.
    pub fn energies(&self, terms: &[Term], parts: &[(Products, &Array2<f64>)]) -> Array2<f64> {
        let grids: Vec<Grids> = parts.iter().map(|&(products, c)| self.grids(products, c)).collect();
        let modes = parts.first().map_or(0, |(_, coefficients)| coefficients.nrows());
        let mut energies = Array2::zeros((modes, terms.len()));
        for (term, mut column) in terms.iter().zip(energies.columns_mut()) {
            for left in &grids {
                for right in &grids {
                    for pair in self.pairs(term, left.unknown, right.unknown) {
                        column += &left.shared(&pair, right);
                    }
                }
            }
        }
        energies
    }

    /// Coefficients laid out over all x functions by all y functions.
    fn grids(&self, products: Products, coefficients: &Array2<f64>) -> Grids {
        let (nx, ny) = match products.unknown {
            Unknown::Deflection => (self.x.functions(), self.y.functions()),
            Unknown::ShearX => (self.x.turning(), self.y.layers().end),
            Unknown::ShearY => (self.x.layers().end, self.y.turning()),
        };
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
    fn shared(&self, pair: &Pair, other: &Self) -> ndarray::Array1<f64> {
        let (nk, modes, nl) = other.by_x.dim();
        let (_, ni, nj) = self.by_mode.dim();
        let flat = |grid: &Array3<f64>, shape: (usize, usize)| {
            grid.to_shape(shape).expect("a standard layout can be flattened").into_owned()
        };
        let along_x = pair.x.dot(&flat(&other.by_x, (nk, modes * nl)));
        let along_y = flat(&self.by_mode, (modes * ni, nj)).dot(&pair.y);
        let along_x = along_x.into_shape_with_order((ni, modes, nl)).expect("as many values");
        let along_y = along_y.into_shape_with_order((modes, ni, nl)).expect("as many values");
        let mut sums = ndarray::Array1::zeros(modes);
        for (m, sum) in sums.iter_mut().enumerate() {
            Zip::from(along_x.index_axis(ndarray::Axis(1), m))
                .and(along_y.index_axis(ndarray::Axis(0), m))
                .for_each(|a, b| *sum += a * b);
        }
        sums
    }
}
