//! What the grid leaves: the local part of the kernel between elements near each other, as a sparse matrix.
//!
//! The second derivative is integrated by parts for the local part and taken directly for the smooth one. On a closed surface
//! `∫∫ φψ ∂²g/∂n∂n′ = −∫∫ (φψ n·n′ ∇²g + g curl φ · curl ψ)` for any smooth g, so what multiplies n·n′ is `−∇²` of each part, not k² times it.

use super::smeared::{POWERS, Smeared, TERMS};
use crate::boundary::bisection::bisected;
use crate::boundary::blocks::{Point, Square};
use crate::boundary::body::{Body, POINTS, Partner};
use crate::boundary::element::{Ball, WHOLE};
use crate::boundary::far::{
    Column, FarField, KernelLanes, LANES, LaneKernel, Lanes, Tested, reciprocal_root,
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
struct LocalKernel {
    inverse_radius: f32,
    square_radius: f32,
    square_k: f32,
    local: [f32; TERMS],
    density: [f32; POWERS],
}

impl LocalKernel {
    fn new(split: &Smeared) -> Self {
        Self {
            inverse_radius: split.radius.recip() as f32,
            square_radius: split.radius.powi(2) as f32,
            square_k: split.k.powi(2) as f32,
            local: split.local.map(|term| term as f32),
            density: split.density.map(|term| (4.0 * PI * term) as f32),
        }
    }
}

impl LaneKernel for LocalKernel {
    #[inline(always)]
    fn at<const FMA: bool>(&self, square: &Lanes) -> KernelLanes {
        let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
        let mut lanes = KernelLanes::default();
        let (mut inverse, mut x, mut y) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            inverse[lane] = reciprocal_root(square[lane]);
            let share = (square[lane] * inverse[lane] * self.inverse_radius).min(1.0);
            x[lane] = fused(2.0, share, -1.0);
            y[lane] = fused(-share, share, 1.0);
        }
        // Clenshaw's recurrence of f and its derivative; powers of y.
        let (mut b, mut last_b, mut d, mut last_d) = ([0.0; LANES], [0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for term in self.local[1..].iter().rev() {
            for lane in 0..LANES {
                let slope = fused(2.0, fused(x[lane], d[lane], b[lane]), -last_d[lane]);
                let value = fused(2.0 * x[lane], b[lane], *term - last_b[lane]);
                (last_d[lane], d[lane]) = (d[lane], slope);
                (last_b[lane], b[lane]) = (b[lane], value);
            }
        }
        let mut density = [0.0; LANES];
        for term in self.density.iter().rev() {
            for lane in 0..LANES {
                density[lane] = fused(density[lane], y[lane], *term);
            }
        }
        for lane in 0..LANES {
            let inside = if square[lane] < self.square_radius { 1.0 } else { 0.0 };
            let f = fused(x[lane], b[lane], self.local[0] - last_b[lane]);
            let falling = 2.0 * self.inverse_radius * (fused(x[lane], d[lane], b[lane]) - last_d[lane]);
            let value = inside * f * inverse[lane];
            lanes.value[0][lane] = value;
            lanes.slope[0][lane] = inside * fused(-falling, 1.0, value) * inverse[lane] * inverse[lane];
            lanes.bend[0][lane] = fused(self.square_k, value, inside * density[lane]);
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

/// Contributions of one tested element to the rows of its six nodes, by ascending column.
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
        let elements: Vec<usize> = surroundings.far.order.clone();
        for batch in elements.chunks(BATCH) {
            let made: Vec<ElementRows> = (batch.par_iter())
                .map_init(
                    || vec![u32::MAX; body.unknowns()],
                    |slots, &element| surroundings.rows(element, slots),
                )
                .collect();
            let mut given = vec![vec![]; rows.len()];
            for (&element, made) in batch.iter().zip(&made) {
                body.nodes[element]
                    .iter()
                    .enumerate()
                    .for_each(|(i, &node)| given[node as usize].push((i, made)));
            }
            rows.par_iter_mut().zip(given).for_each(|(row, given)| {
                given.into_iter().for_each(|(i, made)| row.add(i, made));
            });
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
    /// Merges one function's part of an element's contributions.
    fn add(&mut self, i: usize, made: &ElementRows) {
        let old = std::mem::take(self);
        let room = old.columns.len().max(made.len()) + made.len() / 4;
        self.columns.reserve(room);
        self.values.reserve(room);
        let mut others = old.columns.into_iter().zip(old.values).peekable();
        for (column, parts) in made {
            while let Some((before, value)) = others.next_if(|(other, _)| other < column) {
                self.push(before, value);
            }
            let own = Complex32::new(parts[i], parts[6 + i]);
            let both = others.next_if(|(other, _)| other == column).map_or(own, |(_, value)| value + own);
            self.push(*column, both);
        }
        others.for_each(|(column, value)| self.push(column, value));
    }

    fn push(&mut self, column: u32, value: Complex32) {
        self.columns.push(column);
        self.values.push(value);
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
            let block = self.near(tested, partner);
            for (j, &node) in self.body.nodes[partner.element].iter().enumerate() {
                let column = slot(node, slots, &mut rows);
                for i in 0..6 {
                    column[i] += block[i][j].re as f32;
                    column[6 + i] += block[i][j].im as f32;
                }
            }
        }
        rows.iter().for_each(|(node, _)| slots[*node as usize] = u32::MAX);
        rows.sort_unstable_by_key(|(node, _)| *node);
        rows
    }

    /// The plain rule on all elements within the local part's radius that are no partners.
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
        let partners = &self.body.partners[tested];
        for (chunk, around) in self.chunks.iter().enumerate() {
            if (around.middle - middle).norm() > radius + around.reach {
                continue;
            }
            let mut wanted: u32 = 0;
            for (lane, &element) in self.far.order[chunk * LANES..].iter().take(LANES).enumerate() {
                let other = self.balls[element];
                wanted |= u32::from((other.middle - middle).norm() < radius + other.reach) << lane;
            }
            for partner in
                partners.iter().filter(|p| p.image == index && self.ranks[p.element] / LANES == chunk)
            {
                wanted &= !(1 << (self.ranks[partner.element] % LANES));
            }
            if wanted == 0 {
                continue;
            }
            let absorbed = self.far.absorbed(chunk, self.absorption);
            let blocks =
                self.far.blocks(chunk, &points, &self.kernel, self.wave.coupling as f32, absorbed.as_ref());
            let sources = &self.far.sources[chunk];
            for lane in (0..sources.count).filter(|lane| wanted >> lane & 1 == 1) {
                for (j, block) in blocks.iter().enumerate() {
                    let column = slot(sources.nodes[lane][j], slots, rows);
                    column.iter_mut().zip(block).for_each(|(sum, lanes)| *sum += lanes[lane]);
                }
            }
        }
    }

    /// A near pair without what the grid makes of it.
    fn near(&self, tested: usize, partner: &Partner) -> Square<Complex64> {
        let absorbed = self.absorption[partner.element];
        let PairOperators { pressure, velocity } = PairOperators::near(self.body, tested, partner, self.wave);
        let smooth = self.smooth(tested, partner, absorbed);
        std::array::from_fn(|i| {
            std::array::from_fn(|j| pressure[i][j] + absorbed * velocity[i][j] - smooth[i][j])
        })
    }

    /// The plain rule with the smooth part.
    fn smooth(&self, tested: usize, partner: &Partner, absorbed: Complex64) -> Square<Complex64> {
        let (image, alpha) = (self.body.images[partner.image], self.wave.alpha());
        let mut sum = Square::default();
        for y in self.body.quadrature[partner.element].map(|point| image.of_point(&point)) {
            let (mut flat, mut bent) = ([Complex64::ZERO; 6], [[Complex64::ZERO; 3]; 6]);
            for x in &self.body.quadrature[tested] {
                let apart = x.position - y.position;
                let [g, slope, bend] = self.split.smooth(apart.norm());
                let doublet = -slope * (x.weight * apart.dot(&y.area)) - alpha * bend * x.area.dot(&y.area);
                let layer = y.weight * (x.weight * g - alpha * slope * apart.dot(&x.area));
                let seen = doublet + absorbed * layer;
                for i in 0..6 {
                    flat[i] += x.values[i] * seen;
                    (0..3).for_each(|along| bent[i][along] += x.curls[i][along] * (alpha * g));
                }
            }
            for (i, j) in (0..6).flat_map(|i| (0..6).map(move |j| (i, j))) {
                let along: Complex64 = (0..3).map(|c| bent[i][c] * y.curls[j][c]).sum();
                sum[i][j] += flat[i] * y.values[j] + along;
            }
        }
        sum
    }
}

fn slot<'r>(node: u32, slots: &mut [u32], rows: &'r mut ElementRows) -> &'r mut Column {
    let slot = &mut slots[node as usize];
    if *slot == u32::MAX {
        *slot = rows.len() as u32;
        rows.push((node, [0.0; 12]));
    }
    &mut rows[*slot as usize].1
}
