//! The part of the near field that does not depend on the frequency.
//!
//! The kernel is split as
//!
//! ```text
//! exp(−jkr)/(4πr) = 1/(4πr) − k² r/(8π) + R(r)
//! ```
//!
//! where R and its derivatives are so smooth (its first term that is not a polynomial of coordinates is k⁴r³) that the plain rule of the far
//! field integrates it even where elements touch. What is singular is integrated with `g = 1/r` and `g = r`, once per body: touching pairs by
//! the rules of [`touching_rule`](super::touching_rule), close ones by subdivision until every two parts are well apart.

use super::blocks::{Blocks, Point};
use super::element::{Element, Order, Place, WHOLE, share, within};
use super::neighbours::Relation;
use super::touching_rule::{Touch, TouchingRule};
use super::touching_table::TouchingTable;
use super::triangle_rule::TriangleRule;
use multiversion::multiversion;
use rayon::prelude::*;

/// Integrals with the kernels `1/r` and `r`.
pub(super) type Moments = [Blocks<f64>; 2];

/// Gauss points per dimension on touching elements, by the slenderness up to which they serve; an equilateral triangle has 1.15, half a
/// square 2. Relative error 3e-5 of a potential, 1e-3 at most.
const TOUCHING_ORDERS: [(f64, usize); 3] = [(3.5, 5), (8.0, 7), (f64::INFINITY, 9)];
/// Least [separation](super::element::Ball::separation) of parts for the rules of 6, 12 and 16 points; closer parts are divided.
const SEPARATIONS: [f64; 3] = [3.0, 1.7, 1.0];
/// Pairs that one product of matrices serves.
const BATCH: usize = 12;
/// Batches that are worked on before they are put in their places.
const AT_ONCE: usize = 256;
/// Divisions after which parts are taken as they are: only surfaces that overlap get there.
const DEEPEST: usize = 24;

/// Rules and tables for the moments, made once.
pub(super) struct MomentRules {
    touching: Vec<[TouchingTable; 3]>,
    graded: [(f64, TriangleRule); 3],
}

impl MomentRules {
    pub fn new() -> Self {
        Self::with(0, 1.0)
    }

    /// With higher orders, and all separations times a factor, for tests of convergence.
    pub fn with(higher: usize, stricter: f64) -> Self {
        let tables = |order: usize| {
            [Touch::Same, Touch::Side, Touch::Corner]
                .map(|touch| TouchingTable::new(&TouchingRule::new(touch, order + higher)))
        };
        let rules = [TriangleRule::six(), TriangleRule::twelve(), TriangleRule::sixteen()];
        let mut graded = SEPARATIONS.into_iter().zip(rules).map(|(least, rule)| (least * stricter, rule));
        Self {
            touching: TOUCHING_ORDERS.map(|(_, order)| tables(order)).into(),
            graded: std::array::from_fn(|_| graded.next().expect("three of each")),
        }
    }

    /// Moments of many pairs `[tested, source]`, in their order.
    pub fn all(&self, pairs: &[([Element; 2], Relation)]) -> Vec<Moments> {
        let table = |&pair: &usize| self.table(&pairs[pair]);
        let mut sorted: Vec<usize> = (0..pairs.len()).collect();
        sorted.sort_by_key(table);
        let batches: Vec<&[usize]> =
            sorted.chunk_by(|a, b| table(a) == table(b)).flat_map(|alike| alike.chunks(BATCH)).collect();
        let mut all = vec![Moments::default(); pairs.len()];
        // They take most of the memory of a body: never more than a few of them twice.
        for batches in batches.chunks(AT_ONCE) {
            let done: Vec<Vec<Moments>> = batches.par_iter().map(|batch| self.batch(batch, pairs)).collect();
            for (&pair, moments) in batches.iter().copied().flatten().zip(done.into_iter().flatten()) {
                all[pair] = moments;
            }
        }
        all
    }

    /// Moments of pairs with one table.
    fn batch(&self, batch: &[usize], pairs: &[([Element; 2], Relation)]) -> Vec<Moments> {
        let Some((grade, touch)) = batch.first().and_then(|&pair| self.table(&pairs[pair])) else {
            return batch.iter().map(|&pair| self.apart(&pairs[pair].0[0], &pairs[pair].0[1])).collect();
        };
        let orders = |pair: usize| match pairs[pair].1 {
            Relation::Touching(_, orders) => orders,
            Relation::Apart => [Order([0, 1, 2]); 2],
        };
        let reordered = |&pair: &usize| [0, 1].map(|own| pairs[pair].0[own].reordered(orders(pair)[own]));
        let elements: Vec<[Element; 2]> = batch.iter().map(reordered).collect();
        let moments = self.touching[grade][touch].integrate(&elements);
        let put_back = |(moments, &pair): (Moments, &usize)| {
            let [tested, source] = orders(pair);
            moments.map(|blocks| blocks.put_back(tested, source))
        };
        moments.into_iter().zip(batch).map(put_back).collect()
    }

    /// Which table a pair that touches takes.
    fn table(&self, (elements, relation): &([Element; 2], Relation)) -> Option<(usize, usize)> {
        let Relation::Touching(touch, _) = relation else {
            return None;
        };
        let slenderness = elements[0].slenderness().max(elements[1].slenderness());
        let grade = TOUCHING_ORDERS.iter().take_while(|(most, _)| slenderness > *most).count();
        Some((grade, *touch as usize))
    }

    /// Moments of two elements that do not touch.
    fn apart(&self, tested: &Element, source: &Element) -> Moments {
        let mut moments = Moments::default();
        self.add_parts([tested, source], [WHOLE; 2], 0, &mut moments);
        moments
    }

    fn add_parts(&self, elements: [&Element; 2], parts: [[Place; 3]; 2], depth: usize, sum: &mut Moments) {
        let balls = [0, 1].map(|i| elements[i].ball(&parts[i]));
        let separation = balls[0].separation(&balls[1]);
        let fit = self.graded.iter().find(|(least, _)| separation >= *least);
        let rule = if depth >= DEEPEST { Some(&self.graded[2]) } else { fit };
        if let Some((_, rule)) = rule {
            let [tested, source] = [0, 1].map(|i| points_in(elements[i], &parts[i], rule));
            return add_products(&tested, &source, sum);
        }
        let larger = usize::from(balls[1].reach > balls[0].reach);
        for half in elements[larger].halves(&parts[larger]) {
            let mut parts = parts;
            parts[larger] = half;
            self.add_parts(elements, parts, depth + 1, sum);
        }
    }
}

/// Quadrature points in a part of an element.
fn points_in(element: &Element, part: &[Place; 3], rule: &TriangleRule) -> Vec<Point> {
    let share = share(part);
    rule.iter().map(|(place, weight)| Point::new(element, within(part, place), share * weight)).collect()
}

/// Adds the products of all points of one part with all of the other.
#[multiversion(targets = "simd")]
fn add_products(tested: &[Point], source: &[Point], sum: &mut Moments) {
    for y in source {
        let mut scalars = [[0.0; 8]; 6];
        let mut vectors = [[[0.0; 4]; 2]; 6];
        for x in tested {
            let kernels = StaticKernels::new(x, y);
            for i in 0..6 {
                (0..8).for_each(|k| scalars[i][k] += kernels.scalars[k] * x.values[i]);
                for (power, factor) in kernels.powers.iter().enumerate() {
                    (0..3).for_each(|along| vectors[i][power][along] += factor * x.curls[i][along]);
                }
            }
        }
        for (i, j) in (0..6).flat_map(|i| (0..6).map(move |j| (i, j))) {
            for (power, blocks) in sum.iter_mut().enumerate() {
                let value = y.values[j];
                blocks.layer[i][j] += value * scalars[i][4 * power];
                blocks.normals[i][j] += value * scalars[i][4 * power + 1];
                blocks.source_slope[i][j] += value * scalars[i][4 * power + 2];
                blocks.tested_slope[i][j] += value * scalars[i][4 * power + 3];
                let [x, y, z] = [0, 1, 2].map(|along| vectors[i][power][along] * y.curls[j][along]);
                blocks.curls[i][j] += x + y + z;
            }
        }
    }
}

/// The kernels of one pair of points, weights included.
struct StaticKernels {
    /// `1/r` and `r`.
    powers: [f64; 2],
    /// For each power: layer, normals, slope at the source, slope at the tested element.
    scalars: [f64; 8],
}

/// For `1/r` and then r: layer, normals, slope at the source, slope at the tested element. `both`, `normals` and the components of the distance
/// towards the normals of both points carry the weights.
#[inline(always)]
pub(super) fn static_scalars(r: f64, both: f64, normals: f64, [towards_x, towards_y]: [f64; 2]) -> [f64; 8] {
    let inverse = 1.0 / r;
    let cube = inverse * inverse * inverse;
    [
        both * inverse,
        normals * inverse,
        towards_y * cube,
        -towards_x * cube,
        both * r,
        normals * r,
        -towards_y * inverse,
        towards_x * inverse,
    ]
}

impl StaticKernels {
    #[inline(always)]
    fn new(x: &Point, y: &Point) -> Self {
        let apart = x.position - y.position;
        let r = apart.norm();
        let both = x.weight * y.weight;
        let normals = x.area.dot(&y.area);
        let (towards_x, towards_y) = (apart.dot(&x.area) * y.weight, apart.dot(&y.area) * x.weight);
        Self { powers: [1.0 / r, r], scalars: static_scalars(r, both, normals, [towards_x, towards_y]) }
    }
}
