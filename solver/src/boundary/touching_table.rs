//! Moments of touching elements as products of matrices: geometry at the points of a rule, kernels, products of the shape functions.

use super::blocks::{Blocks, Square};
use super::element::{Element, shape_slopes, shape_values};
use super::moments::{Moments, static_scalars};
use super::touching_rule::TouchingRule;
use multiversion::multiversion;
use ndarray::{Array2, ArrayView2, s};

const LANES: usize = 8;

/// A touching rule with tables at its points, whose number is a multiple of [`LANES`] (the last ones may have no weight).
pub(super) struct TouchingTable {
    weights: Vec<f64>,
    /// For both elements (6, 3 points): shape functions at all points, then their derivatives by u, then those by v.
    shapes: [Array2<f64>; 2],
    /// (points, 36): `φ_i ψ_j`.
    values: Array2<f64>,
    /// (4 points, 36): `φ_i,a ψ_j,b` for the derivatives a, b = uu, uv, vu, vv, one after the other.
    slopes: Array2<f64>,
}

impl TouchingTable {
    pub fn new(rule: &TouchingRule) -> Self {
        let (mut places, mut weights) = (rule.places.clone(), rule.weights.clone());
        let count = places.len().next_multiple_of(LANES);
        places.resize(count, rule.places[0]);
        weights.resize(count, 0.0);
        let shapes = [0, 1].map(|own| {
            let mut shapes = Array2::zeros((6, 3 * count));
            for (l, pair) in places.iter().enumerate() {
                let [by_u, by_v] = shape_slopes(pair[own]);
                for (part, functions) in [shape_values(pair[own]), by_u, by_v].iter().enumerate() {
                    (0..6).for_each(|i| shapes[(i, part * count + l)] = functions[i]);
                }
            }
            shapes
        });
        // Entry (l, 6i + j): function i of the first element and j of the second, from the given thirds of their tables.
        let products = |first: usize, second: usize| {
            Array2::from_shape_fn((count, 36), |(l, ij)| {
                shapes[0][(ij / 6, first * count + l)] * shapes[1][(ij % 6, second * count + l)]
            })
        };
        let mut slopes = Array2::zeros((4 * count, 36));
        for (part, (a, b)) in [(1, 1), (1, 2), (2, 1), (2, 2)].into_iter().enumerate() {
            slopes.slice_mut(s![part * count..(part + 1) * count, ..]).assign(&products(a, b));
        }
        Self { values: products(0, 0), slopes, weights, shapes }
    }

    /// Moments of several pairs: products of few rows alone would run at a third of the speed.
    pub fn integrate(&self, pairs: &[[Element; 2]]) -> Vec<Moments> {
        let count = self.weights.len();
        let mut scalars = Array2::<f64>::zeros((8 * pairs.len(), count));
        let mut vectors = Array2::<f64>::zeros((2 * pairs.len(), 4 * count));
        let rows = [&mut scalars, &mut vectors]
            .map(|rows| rows.as_slice_mut().unwrap_or_default().chunks_mut(8 * count));
        let [scalar_rows, vector_rows] = rows;
        for ((pair, scalars), vectors) in pairs.iter().zip(scalar_rows).zip(vector_rows) {
            let [x, y] = [0, 1].map(|own| self.geometry(&pair[own], own));
            fill_kernels(&x, &y, &self.weights, scalars, vectors);
        }
        let (scalars, vectors) = (scalars.dot(&self.values), vectors.dot(&self.slopes));
        let blocks = |pair: usize, power: usize| Blocks {
            layer: square(scalars.view(), 8 * pair + 4 * power),
            normals: square(scalars.view(), 8 * pair + 4 * power + 1),
            source_slope: square(scalars.view(), 8 * pair + 4 * power + 2),
            tested_slope: square(scalars.view(), 8 * pair + 4 * power + 3),
            curls: square(vectors.view(), 2 * pair + power),
        };
        (0..pairs.len()).map(|pair| [blocks(pair, 0), blocks(pair, 1)]).collect()
    }

    fn geometry(&self, element: &Element, own: usize) -> Geometry {
        let nodes = Array2::from_shape_fn((3, 6), |(c, i)| element.nodes[i][c]);
        Geometry { rows: nodes.dot(&self.shapes[own]), count: self.weights.len(), sense: element.sense }
    }
}

fn square(rows: ArrayView2<f64>, row: usize) -> Square<f64> {
    let row = rows.slice(s![row, ..]);
    std::array::from_fn(|i| std::array::from_fn(|j| row[6 * i + j]))
}

/// An element at all points of a rule: (3 coordinates, positions then tangents along u then along v).
struct Geometry {
    rows: Array2<f64>,
    count: usize,
    sense: f64,
}

impl Geometry {
    /// Position or tangent at the points from `start` on.
    #[inline(always)]
    fn lanes(&self, part: usize, start: usize) -> [&[f64]; 3] {
        let rows = self.rows.as_slice().unwrap_or(&[]);
        let at = |c: usize| &rows[c * 3 * self.count + part * self.count + start..][..LANES];
        [at(0), at(1), at(2)]
    }
}

/// Kernels `1/r` and `r`: four scalars each for layer, normals, slope at the source and at the tested element; four of the curls.
#[multiversion(targets = "simd")]
fn fill_kernels(x: &Geometry, y: &Geometry, weights: &[f64], scalars: &mut [f64], vectors: &mut [f64]) {
    let count = weights.len();
    for start in (0..count).step_by(LANES) {
        let [px, ux, vx] = [x.lanes(0, start), x.lanes(1, start), x.lanes(2, start)];
        let [py, uy, vy] = [y.lanes(0, start), y.lanes(1, start), y.lanes(2, start)];
        for lane in 0..LANES {
            let of = |vectors: &[&[f64]; 3]| [vectors[0][lane], vectors[1][lane], vectors[2][lane]];
            let weight = weights[start + lane];
            let [ux, vx, uy, vy] = [of(&ux), of(&vx), of(&uy), of(&vy)];
            let (nx, ny) = (cross(ux, vx, x.sense), cross(uy, vy, y.sense));
            let [px, py] = [of(&px), of(&py)];
            let apart = [px[0] - py[0], px[1] - py[1], px[2] - py[2]];
            let r = dot(apart, apart).sqrt();
            let inverse = 1.0 / r;
            let (jx, jy) = (dot(nx, nx).sqrt(), dot(ny, ny).sqrt());
            let both = weight * jx * jy;
            let normals = weight * dot(nx, ny);
            let (towards_x, towards_y) = (weight * jy * dot(apart, nx), weight * jx * dot(apart, ny));
            let values = static_scalars(r, both, normals, [towards_x, towards_y]);
            (0..8).for_each(|k| scalars[k * count + start + lane] = values[k]);
            // curl φ = φ_u x_v − φ_v x_u.
            let turned = weight * x.sense * y.sense;
            let dots = [dot(vx, vy), -dot(vx, uy), -dot(ux, vy), dot(ux, uy)];
            for (power, factor) in [turned * inverse, turned * r].into_iter().enumerate() {
                (0..4).for_each(|k| vectors[(4 * power + k) * count + start + lane] = factor * dots[k]);
            }
        }
    }
}

#[inline(always)]
fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[inline(always)]
fn cross(a: [f64; 3], b: [f64; 3], sense: f64) -> [f64; 3] {
    [
        sense * (a[1] * b[2] - a[2] * b[1]),
        sense * (a[2] * b[0] - a[0] * b[2]),
        sense * (a[0] * b[1] - a[1] * b[0]),
    ]
}
