//! Places on the board where few dipoles sound to the body as all of the grid's nodes do, and where its field is read for all of them.
//!
//! Seen from a part of the body, in a ball of radius a about c, the field of a dipole at y on the board is `exp(−jkR) g(y)`, R = |y − c|, and g turns only by
//! `k a/R` per length. On a block of nodes of size w with `w k a/R ≤ 4` that is no closer to the ball than w, g is a polynomial of seventh degree
//! in x and in y to within 1e-4. With its values at eight Chebyshev points per direction
//!
//! ```text
//! f(y) = exp(−jkR_y) Σ_s I_s(y) exp(jkR_s) f(s),    d_s = exp(jkR_s) Σ_y I_s(y) exp(−jkR_y) d_y
//! ```
//!
//! serve the nodes for reading a field of the body's, and for sounding like them. Blocks are halved until they are such, or have no more nodes than
//! points. (The same idea, with more stages: M. Messner, M. Schanz, E. Darve, J. Comput. Phys. 231, 2012.)
//!
//! Nodes closer to the body than their distance from each other are the opposite case: the jump is laid between them by polynomials of fifth degree,
//! and the field is averaged under the same polynomials. Both directions are each other's transpose, so reciprocity holds.

use super::board::{Board, Close, REACH};
use crate::boundary::Part;
use nalgebra::Vector3;
use ndarray::{Array2, ArrayView2, s};
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::PI;
use std::ops::Range;

/// Points per direction of a block.
const POINTS: usize = 8;
/// Phase [rad] that g turns by over a block.
const TURN: f64 = 4.0;

type Nodes = [Range<usize>; 2];

/// All nodes of a board in blocks, as one part of a body sees them.
pub(in crate::coupling) struct Patches {
    shape: (usize, usize),
    blocks: Vec<Block>,
    /// Where the dipoles are that stand for the nodes [m].
    pub places: Vec<Vector3<f64>>,
}

/// Nodes and the places that serve them.
struct Block {
    nodes: Nodes,
    /// The first of its places, which are in the order of an array (x, y).
    first: usize,
    /// What a place has of a node: (nodes, places) along x and y.
    shares: [Array2<Complex64>; 2],
    /// `exp(−jkR)` at nodes and at places; none where the body is too close for it.
    waves: Option<[Array2<Complex64>; 2]>,
}

impl Patches {
    /// For waves of wavenumber `k` [rad/m] between `board` and a part of a body, of which `close` is what lies close to it.
    pub fn new(board: &Board, part: &Part, close: Option<&Close>, k: f64) -> Self {
        let close = close.filter(|close| part.middle.z.abs() - part.reach < close.away);
        Self::between(&board.nodes(), part, close, k)
    }

    /// The same for nodes [m] along x and along y that need not be a board's.
    pub fn between(nodes: &[Vec<f64>; 2], part: &Part, close: Option<&Close>, k: f64) -> Self {
        let seen = Seen { nodes, centre: part.middle, radius: part.reach, k };
        let whole = [0..nodes[0].len(), 0..nodes[1].len()];
        let mut far = vec![];
        for rectangle in around(whole, close.map(|close| &close.nodes)) {
            seen.divide(rectangle, &mut far);
        }
        let mut patches = Self { shape: (nodes[0].len(), nodes[1].len()), blocks: vec![], places: vec![] };
        far.into_iter().for_each(|block| patches.add_far(block, &seen));
        if let Some(close) = close {
            patches.add_close(close, nodes);
        }
        patches
    }

    /// Strengths at the places for strengths at the nodes.
    pub fn gathered(&self, strengths: &Array2<Complex64>) -> Vec<Complex64> {
        let of = |block: &Block| block.gathered(strengths);
        self.blocks.par_iter().map(of).collect::<Vec<_>>().concat()
    }

    /// A field at the nodes for its values at the places.
    pub fn spread(&self, values: &[Complex64]) -> Array2<Complex64> {
        let mut field = Array2::zeros(self.shape);
        for block in &self.blocks {
            let [x, y] = block.nodes.clone();
            field.slice_mut(s![x, y]).assign(&block.spread(values));
        }
        field
    }

    fn add_far(&mut self, nodes: Nodes, seen: &Seen) {
        let own = [0, 1].map(|along| &seen.nodes[along][nodes[along].clone()]);
        let points = own.map(|own| if own.len() > POINTS { chebyshev(own) } else { own.to_vec() });
        let shares = [0, 1].map(|along| {
            let of: Vec<Vec<f64>> = own[along].iter().map(|&x| lagrange(&points[along], x)).collect();
            Array2::from_shape_fn((of.len(), points[along].len()), |(node, place)| of[node][place].into())
        });
        let waves = [seen.wave(own), seen.wave([&points[0], &points[1]])];
        self.add(nodes, shares, &points, Some(waves));
    }

    fn add_close(&mut self, close: &Close, nodes: &[Vec<f64>; 2]) {
        let [x, y] =
            [0, 1].map(|along| Between::new(&nodes[along], close.nodes[along].clone(), close.divisions));
        self.add(close.nodes.clone(), [x.shares, y.shares], &[x.places, y.places], None);
    }

    fn add(
        &mut self,
        nodes: Nodes,
        shares: [Array2<Complex64>; 2],
        [x, y]: &[Vec<f64>; 2],
        waves: Option<[Array2<Complex64>; 2]>,
    ) {
        self.blocks.push(Block { nodes, first: self.places.len(), shares, waves });
        self.places.extend(x.iter().flat_map(|&x| y.iter().map(move |&y| Vector3::new(x, y, 0.0))));
    }
}

impl Block {
    fn gathered(&self, strengths: &Array2<Complex64>) -> Vec<Complex64> {
        let ([x, y], [of_x, of_y]) = (self.nodes.clone(), &self.shares);
        let mut own = strengths.slice(s![x, y]).to_owned();
        if let Some([at_nodes, _]) = &self.waves {
            own *= at_nodes;
        }
        let mut gathered = of_x.t().dot(&own).dot(of_y);
        if let Some([_, at_places]) = &self.waves {
            gathered.zip_mut_with(at_places, |strength, wave| *strength *= wave.conj());
        }
        gathered.iter().copied().collect()
    }

    fn spread(&self, values: &[Complex64]) -> Array2<Complex64> {
        let [of_x, of_y] = &self.shares;
        let shape = (of_x.ncols(), of_y.ncols());
        let own = &values[self.first..self.first + shape.0 * shape.1];
        let mut own = ArrayView2::from_shape(shape, own).expect("one value per place").to_owned();
        if let Some([_, at_places]) = &self.waves {
            own.zip_mut_with(at_places, |value, wave| *value *= wave.conj());
        }
        let mut spread = of_x.dot(&own).dot(&of_y.t());
        if let Some([at_nodes, _]) = &self.waves {
            spread *= at_nodes;
        }
        spread
    }
}

/// The board as seen from the ball around a part of a body.
struct Seen<'a> {
    nodes: &'a [Vec<f64>; 2],
    centre: Vector3<f64>,
    radius: f64,
    k: f64,
}

impl Seen<'_> {
    /// Halves a block until eight points per direction serve it.
    fn divide(&self, nodes: Nodes, blocks: &mut Vec<Nodes>) {
        let widths =
            [0, 1].map(|along| if nodes[along].len() > POINTS { self.width(&nodes, along) } else { 0.0 });
        if nodes.iter().any(Range::is_empty) {
            return;
        }
        if self.is_smooth(&nodes, widths[0].max(widths[1])) {
            blocks.push(nodes);
            return;
        }
        let along = usize::from(widths[1] > widths[0]);
        let middle = nodes[along].start.midpoint(nodes[along].end);
        for part in [nodes[along].start..middle, middle..nodes[along].end] {
            let mut half = nodes.clone();
            half[along] = part;
            self.divide(half, blocks);
        }
    }

    fn width(&self, nodes: &Nodes, along: usize) -> f64 {
        self.nodes[along][nodes[along].end - 1] - self.nodes[along][nodes[along].start]
    }

    fn is_smooth(&self, nodes: &Nodes, width: f64) -> bool {
        let beyond = |along: usize| {
            let (least, most) =
                (self.nodes[along][nodes[along].start], self.nodes[along][nodes[along].end - 1]);
            self.centre[along] - self.centre[along].clamp(least, most)
        };
        let distance = beyond(0).hypot(beyond(1)).hypot(self.centre.z);
        width == 0.0 || (width <= distance - self.radius && width * self.k * self.radius <= TURN * distance)
    }

    /// `exp(−jkR)` on an array of places.
    fn wave(&self, [x, y]: [&[f64]; 2]) -> Array2<Complex64> {
        Array2::from_shape_fn((x.len(), y.len()), |(i, j)| {
            Complex64::cis(-self.k * (Vector3::new(x[i], y[j], 0.0) - self.centre).norm())
        })
    }
}

/// A rectangle of nodes, or the four that are left of it when one is taken out.
fn around([x, y]: Nodes, hole: Option<&Nodes>) -> Vec<Nodes> {
    match hole {
        None => vec![[x, y]],
        Some([a, b]) => vec![
            [x.start..a.start, y.clone()],
            [a.end..x.end, y.clone()],
            [a.clone(), y.start..b.start],
            [a.clone(), b.end..y.end],
        ],
    }
}

/// Chebyshev points between the first and the last of some nodes.
fn chebyshev(nodes: &[f64]) -> Vec<f64> {
    let (first, last) = (nodes[0], nodes[nodes.len() - 1]);
    let angle = |i: usize| PI * (i as f64 + 0.5) / POINTS as f64;
    (0..POINTS).map(|i| 0.5 * (first + last) - 0.5 * (last - first) * angle(i).cos()).collect()
}

/// Weights of values at the points of a polynomial that goes through them, at x.
fn lagrange(points: &[f64], x: f64) -> Vec<f64> {
    let factor = |i: usize, j: usize| (x - points[j]) / (points[i] - points[j]);
    let weight = |i: usize| (0..points.len()).filter(|&j| j != i).map(|j| factor(i, j)).product();
    (0..points.len()).map(weight).collect()
}

/// Places between nodes of one direction, and what they have of the nodes in a range.
struct Between {
    places: Vec<f64>,
    shares: Array2<Complex64>,
}

impl Between {
    /// Every cell is divided into `divisions`; a node reaches three cells to either side.
    fn new(nodes: &[f64], range: Range<usize>, divisions: usize) -> Self {
        let (start, step) = (range.start - REACH, nodes[1] - nodes[0]);
        let count = (range.len() + 2 * REACH - 1) * divisions;
        let mut shares = Array2::zeros((range.len(), count));
        for place in 0..count {
            // Polynomials go through the three nodes on either side.
            let (cell, part) = (place / divisions, (place % divisions) as f64 / divisions as f64);
            let neighbours: Vec<f64> = (0..2 * REACH).map(|i| i as f64 - (REACH as f64 - 1.0)).collect();
            for (i, weight) in lagrange(&neighbours, part).into_iter().enumerate() {
                let node = (start + cell + i + 1).wrapping_sub(REACH + range.start);
                if node < range.len() {
                    shares[[node, place]] = (weight / divisions as f64).into();
                }
            }
        }
        let places = (0..count).map(|i| nodes[start] + step * i as f64 / divisions as f64).collect();
        Self { places, shares }
    }
}
