//! What the grid leaves: the local part of the kernel between elements near each other, as a sparse matrix.
//!
//! Of neighbours, whose singular part is integrated once per body, the plain rule takes the local part less the singular one; whatever waves there
//! are cancels, for the grid brings them by the plain rule as well.
//!
//! The second derivative is integrated by parts for the local part and taken directly for the smooth one. On a closed surface
//! `∫∫ φψ ∂²g/∂n∂n′ = −∫∫ (φψ n·n′ ∇²g + g curl φ · curl ψ)` for any smooth g, so what multiplies n·n′ is `−∇²` of each part, not k² times it.

use super::smeared::{POWERS, Smeared, TERMS};
use crate::boundary::bisection::bisected;
use crate::boundary::blocks::Point;
use crate::boundary::body::{Body, POINTS};
use crate::boundary::element::{Ball, WHOLE};
use crate::boundary::far::{
    Blocks, Column, FarField, KernelLanes, LANES, LaneKernel, Lanes, Tested, reciprocal_root,
};
use crate::boundary::mirrors::Image;
use crate::boundary::pair::PairOperators;
use crate::boundary::wave::Wave;
use nalgebra::Vector3;
use num_complex::{Complex32, Complex64};
use rayon::prelude::*;
use std::f64::consts::PI;

/// Elements whose rows are made at the same time.
const BATCH: usize = 512;

/// L times 4π, its slope and `−∇²L = k²L − s/ŝ`.
#[derive(Clone, Copy)]
struct LocalKernel {
    inverse_radius: f32,
    square_radius: f32,
    square_k: f32,
    /// Coefficients of E and of `(cos kr − 1) R²/r²`.
    local: [f32; TERMS],
    cosine: [f32; TERMS],
    density: [f32; POWERS],
}

/// Least distance over R, so that a point and itself have a finite one.
const COINCIDENT: f32 = 1e-6;

/// The same less `1/r − k²r/2`, its slope and k² times it, on those lanes whose elements are neighbours (1, else 0).
struct NeighbourKernel<'a> {
    local: &'a LocalKernel,
    neighbours: Lanes,
}

impl LocalKernel {
    fn new(split: &Smeared) -> Self {
        Self {
            inverse_radius: split.radius.recip() as f32,
            square_radius: split.radius.powi(2) as f32,
            square_k: split.k.powi(2) as f32,
            local: split.local.map(|term| term as f32),
            cosine: split.cosine.map(|term| term as f32),
            density: split.density.map(|term| (4.0 * PI * term) as f32),
        }
    }
}

impl LocalKernel {
    /// A Chebyshev sum in 2s − 1 and its derivative by s, at the `squares` s = r²/R² up to 1.
    #[inline(always)]
    fn chebyshev<const FMA: bool>(terms: &[f32; TERMS], squares: &Lanes) -> [Lanes; 2] {
        let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
        let x: Lanes = std::array::from_fn(|lane| fused(2.0, squares[lane], -1.0));
        // Clenshaw's recurrence of the sum and its derivative by x.
        let (mut b, mut last_b, mut d, mut last_d) = ([0.0; LANES], [0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for term in terms[1..].iter().rev() {
            for lane in 0..LANES {
                let slope = fused(2.0, fused(x[lane], d[lane], b[lane]), -last_d[lane]);
                let value = fused(2.0 * x[lane], b[lane], *term - last_b[lane]);
                (last_d[lane], d[lane]) = (d[lane], slope);
                (last_b[lane], b[lane]) = (b[lane], value);
            }
        }
        let mut sums = [[0.0; LANES]; 2];
        for lane in 0..LANES {
            sums[0][lane] = fused(x[lane], b[lane], terms[0] - last_b[lane]);
            sums[1][lane] = 2.0 * (fused(x[lane], d[lane], b[lane]) - last_d[lane]);
        }
        sums
    }

    /// `−s/ŝ` at r²/R² up to 1.
    #[inline(always)]
    fn density<const FMA: bool>(&self, squares: &Lanes) -> Lanes {
        let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
        let mut sums = [0.0; LANES];
        for term in self.density.iter().rev() {
            for lane in 0..LANES {
                sums[lane] = fused(sums[lane], 1.0 - squares[lane], *term);
            }
        }
        sums
    }
}

impl LaneKernel for LocalKernel {
    const REAL: bool = true;

    #[inline(always)]
    fn at<const FMA: bool>(&self, square: &Lanes) -> KernelLanes {
        NeighbourKernel { local: self, neighbours: [0.0; LANES] }.at::<FMA>(square)
    }
}

impl LaneKernel for NeighbourKernel<'_> {
    const REAL: bool = true;

    #[inline(always)]
    fn at<const FMA: bool>(&self, square: &Lanes) -> KernelLanes {
        let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
        let LocalKernel { inverse_radius, square_radius, square_k, .. } = *self.local;
        let (half_q, cube) = (0.5 * square_k * square_radius, inverse_radius.powi(3));
        let (mut inverse, mut squares, mut shares) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            let share = (square[lane] * (inverse_radius * inverse_radius)).max(COINCIDENT * COINCIDENT);
            inverse[lane] = reciprocal_root(share);
            shares[lane] = share * inverse[lane];
            squares[lane] = share.min(1.0);
        }
        let [even, even_slope] = LocalKernel::chebyshev::<FMA>(&self.local.local, &squares);
        let [odd, odd_slope] = LocalKernel::chebyshev::<FMA>(&self.local.cosine, &squares);
        let density = self.local.density::<FMA>(&squares);
        let mut lanes = KernelLanes::default();
        for lane in 0..LANES {
            // In units of R: inside L = 1/t + E(t²) + t P(t²); the singular part of neighbours is 1/t − q²t/2.
            let (t, inside) = (shares[lane], if squares[lane] < 1.0 { 1.0 } else { 0.0 });
            let neighbour = self.neighbours[lane];
            let (pole, line) = (inside - neighbour, fused(inside, odd[lane], neighbour * half_q));
            let bent = inside * fused(t, odd_slope[lane], even_slope[lane]);
            let value = fused(pole, inverse[lane], fused(t, line, inside * even[lane]));
            let falling = fused(pole * inverse[lane], inverse[lane] * inverse[lane], -line * inverse[lane]);
            lanes.value[0][lane] = value * inverse_radius;
            lanes.slope[0][lane] = fused(-2.0, bent, falling) * cube;
            lanes.bend[0][lane] = fused(square_k, lanes.value[0][lane], inside * density[lane]);
        }
        lanes
    }
}

/// A row of the matrix.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    /// Ascending.
    pub columns: Vec<u32>,
    pub values: Vec<Complex32>,
}

/// Contributions of one tested element to the rows of its six nodes, every column once.
type ElementRows = Vec<(u32, Column)>;

/// The local part of the pressure operator.
pub(super) struct LocalOperator {
    pub rows: Vec<Row>,
}

impl LocalOperator {
    /// `absorption` is jkβ of every element [1/m].
    pub fn new(body: &Body, wave: &Wave, split: &Smeared, absorption: &[Complex64]) -> Self {
        let surroundings = Surroundings::new(body, wave, split, absorption);
        let mut rows = vec![Row::default(); body.unknowns()];
        let slots = || vec![u32::MAX; body.unknowns()];
        for batch in surroundings.far.order.chunks(BATCH) {
            let made: Vec<ElementRows> = (batch.par_iter())
                .map_init(slots, |slots, &element| surroundings.rows(element, slots))
                .collect();
            let mut given = vec![vec![]; rows.len()];
            for (&element, made) in batch.iter().zip(&made) {
                for (i, &node) in body.nodes[element].iter().enumerate() {
                    given[node as usize].push((i, made));
                }
            }
            let touched = rows.par_iter_mut().zip(given).filter(|(_, given)| !given.is_empty());
            touched.for_each_init(slots, |slots, (row, given)| row.add(&given, slots));
        }
        Self { rows }
    }

    /// The operator on values at the nodes.
    pub fn apply(&self, values: &[Complex32]) -> Vec<Complex64> {
        let product = |row: &Row| -> Complex64 {
            let terms = row.columns.iter().zip(&row.values);
            let sum: Complex32 = terms.map(|(&column, value)| value * values[column as usize]).sum();
            Complex64::new(sum.re.into(), sum.im.into())
        };
        self.rows.par_iter().map(product).collect()
    }
}

impl Row {
    /// Adds single functions' parts of elements' contributions. `slots` is scratch, one per node, and left as it was.
    fn add(&mut self, given: &[(usize, &ElementRows)], slots: &mut [u32]) {
        let old = std::mem::take(self);
        let mut sums: Vec<(u32, Complex32)> = old.columns.into_iter().zip(old.values).collect();
        sums.iter().enumerate().for_each(|(slot, (column, _))| slots[*column as usize] = slot as u32);
        for (i, made) in given {
            for (column, parts) in *made {
                *slot(*column, slots, &mut sums) += Complex32::new(parts[*i], parts[6 + i]);
            }
        }
        sums.iter().for_each(|(column, _)| slots[*column as usize] = u32::MAX);
        sums.sort_unstable_by_key(|(column, _)| *column);
        (self.columns, self.values) = sums.into_iter().unzip();
    }

    /// The value in a column, zero where nothing is stored.
    pub fn value(&self, column: u32) -> Complex32 {
        self.columns.binary_search(&column).map_or(Complex32::ZERO, |place| self.values[place])
    }
}

/// Elements in an order that keeps neighbours together, and how far each reaches.
struct Surroundings<'a> {
    body: &'a Body,
    wave: &'a Wave,
    split: &'a Smeared,
    absorption: &'a [Complex64],
    kernel: LocalKernel,
    /// Place of every element in the order of `far`.
    ranks: Vec<usize>,
    far: FarField,
    balls: Vec<Ball>,
    /// One ball around the elements of every chunk.
    chunks: Vec<Ball>,
}

impl<'a> Surroundings<'a> {
    fn new(body: &'a Body, wave: &'a Wave, split: &'a Smeared, absorption: &'a [Complex64]) -> Self {
        let balls: Vec<Ball> = body.elements.iter().map(|element| element.ball(&WHOLE)).collect();
        let middles: Vec<Vector3<f64>> = balls.iter().map(|ball| ball.middle).collect();
        let order = bisected(&middles, LANES, LANES).concat(); // full chunks on the lower sides
        let mut ranks = vec![0; order.len()];
        order.iter().enumerate().for_each(|(rank, &element)| ranks[element] = rank);
        let around = |chunk: &[usize]| {
            let middle = chunk.iter().map(|&e| balls[e].middle).sum::<Vector3<f64>>() / chunk.len() as f64;
            let reach = |&e: &usize| (balls[e].middle - middle).norm() + balls[e].reach;
            Ball { middle, reach: chunk.iter().map(reach).fold(0.0, f64::max) }
        };
        Self {
            chunks: order.chunks(LANES).map(around).collect(),
            far: FarField::ordered(body, order),
            kernel: LocalKernel::new(split),
            body,
            wave,
            split,
            absorption,
            ranks,
            balls,
        }
    }

    /// Contributions to the rows of an element. `slots` is scratch, one per node, and left as it was.
    fn rows(&self, tested: usize, slots: &mut [u32]) -> ElementRows {
        let mut rows: ElementRows = vec![];
        for (index, image) in self.body.images.iter().enumerate() {
            self.add_plain(tested, index, *image, slots, &mut rows);
        }
        for partner in &self.body.partners[tested] {
            let absorbed = self.absorption[partner.element];
            let mut pair = PairOperators::default();
            pair.add_singular(self.body, tested, partner, self.wave);
            for (j, &node) in self.body.nodes[partner.element].iter().enumerate() {
                let column = slot(node, slots, &mut rows);
                for i in 0..6 {
                    let value = pair.pressure[i][j] + absorbed * pair.velocity[i][j];
                    column[i] += value.re as f32;
                    column[6 + i] += value.im as f32;
                }
            }
        }
        rows.iter().for_each(|(node, _)| slots[*node as usize] = u32::MAX);
        rows
    }

    /// The plain rule on all elements within the local part's radius, and on neighbours.
    fn add_plain(
        &self,
        tested: usize,
        index: usize,
        image: Image,
        slots: &mut [u32],
        rows: &mut ElementRows,
    ) {
        let ball = self.balls[tested];
        let middle = image.of(ball.middle);
        let radius = self.split.radius + ball.reach;
        let points: [Point; POINTS] = self.body.quadrature[tested].map(|point| image.of_point(&point));
        let points = Tested::new(&points);
        let neighbours = self.neighbours(tested, index);
        for (chunk, around) in self.chunks.iter().enumerate() {
            let beside = neighbours.iter().filter(|rank| **rank / LANES == chunk);
            let beside = beside.fold(0u32, |lanes, rank| lanes | 1 << (rank % LANES));
            let far = (around.middle - middle).norm() > radius + around.reach;
            if far && beside == 0 {
                continue;
            }
            let mut wanted = beside;
            for (lane, &element) in self.far.order[chunk * LANES..].iter().take(LANES).enumerate() {
                let other = self.balls[element];
                wanted |= u32::from((other.middle - middle).norm() < radius + other.reach) << lane;
            }
            if wanted != 0 {
                let blocks = self.blocks(chunk, &points, beside);
                self.add_lanes(chunk, wanted, &blocks, slots, rows);
            }
        }
    }

    /// Places in the order of `far` of the neighbours of an element at one image.
    fn neighbours(&self, tested: usize, image: usize) -> Vec<usize> {
        let partners = self.body.partners[tested].iter().filter(|partner| partner.image == image);
        partners.map(|partner| self.ranks[partner.element]).collect()
    }

    /// Blocks of one chunk, some lanes being neighbours.
    fn blocks(&self, chunk: usize, points: &Tested, neighbours: u32) -> Blocks {
        let absorbed = self.far.absorbed(chunk, self.absorption);
        let coupling = self.wave.coupling as f32;
        if neighbours == 0 {
            return self.far.blocks(chunk, points, &self.kernel, coupling, absorbed.as_ref());
        }
        let neighbours = std::array::from_fn(|lane| (neighbours >> lane & 1) as f32);
        let kernel = NeighbourKernel { local: &self.kernel, neighbours };
        self.far.blocks(chunk, points, &kernel, coupling, absorbed.as_ref())
    }

    fn add_lanes(
        &self,
        chunk: usize,
        wanted: u32,
        blocks: &Blocks,
        slots: &mut [u32],
        rows: &mut ElementRows,
    ) {
        let sources = &self.far.sources[chunk];
        for lane in (0..sources.count).filter(|lane| wanted >> lane & 1 == 1) {
            for (j, block) in blocks.iter().enumerate() {
                let column = slot(sources.nodes[lane][j], slots, rows);
                column.iter_mut().zip(block).for_each(|(sum, lanes)| *sum += lanes[lane]);
            }
        }
    }
}

/// The sum that belongs to a node, begun at zero when it is the first to be asked for.
fn slot<'r, T: Default>(node: u32, slots: &mut [u32], sums: &'r mut Vec<(u32, T)>) -> &'r mut T {
    let slot = &mut slots[node as usize];
    if *slot == u32::MAX {
        *slot = sums.len() as u32;
        sums.push((node, T::default()));
    }
    &mut sums[*slot as usize].1
}
