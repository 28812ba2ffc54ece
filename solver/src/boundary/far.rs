//! The far field between quadrature points, in single precision and on whole vectors: rows of the pressure operator.
//!
//! One kernel evaluation serves all pairs of shape functions of its two elements. For the tests of one element and the points y of
//! sixteen sources at a time ("lanes"), with weights and Jacobians in m, ν = n m and c = curl m:
//!
//! 1. kernels of every test point x: `A = −g (d·ν′) + jκk² G n·ν′` and `αG`, `d = x − y`, `g = (jk + 1/r) G/r`;
//! 2. tests: `T_i(y) = Σ_x φ_i m A` and `W_i(y) = Σ_x c_i αG`;
//! 3. sources: `Σ_y T_i ψ_j + W_i · c′_j`, a block of 6 × 6 numbers per lane, which is added to the rows.
//!
//! Everything runs vertically on lanes; steps 2 and 3 cost about as much as the kernel. Errors are those of single precision, some
//! 1e-6 of an entry. An absorbing source adds `jkβ` times the velocity operator's kernel to A.

use super::blocks::Point;
use super::body::{Body, POINTS};
use super::element::Six;
use super::triangle_rule::TriangleRule;
use super::wave::Wave;
use crate::sincos::cosine_sine_single;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use num_complex::Complex64;

pub(super) const LANES: usize = 16;
pub(super) type Lanes = [f32; LANES];
/// Real and imaginary parts.
pub(super) type Parts = [Lanes; 2];

/// Six rows of a matrix, column by column: real parts, then imaginary parts.
pub(super) type Column = [f32; 12];

/// Quadrature points of sixteen elements.
pub(super) struct Sources {
    /// Nodes of the elements; padding repeats the last element, without weight.
    pub nodes: [Six<u32>; LANES],
    pub count: usize,
    points: [SourcePoints; POINTS],
}

/// One point on each of sixteen elements; everything integrated contains `weight/(4π)`.
#[derive(Clone, Copy)]
struct SourcePoints {
    position: [Lanes; 3],
    area: [Lanes; 3],
    weight: Lanes,
    curls: Six<[Lanes; 3]>,
}

/// Sources of a whole body, and the shape functions at their points.
pub(super) struct FarField {
    pub sources: Vec<Sources>,
    /// Elements as they follow each other in the sources.
    pub order: Vec<usize>,
    values: [Six<f32>; POINTS],
}

/// Quadrature points of a tested element, single precision.
pub(super) struct Tested {
    position: [[f32; 3]; POINTS],
    normal: [[f32; 3]; POINTS],
    /// Shape functions times weight.
    values: [Six<f32>; POINTS],
    curls: [Six<[f32; 3]>; POINTS],
}

/// Normalised admittances of sixteen sources times jk.
pub(super) type Absorption = [Lanes; 2];

impl FarField {
    pub fn new(body: &Body) -> Self {
        Self::ordered(body, (0..body.len()).collect())
    }

    /// With the elements in this order.
    pub fn ordered(body: &Body, order: Vec<usize>) -> Self {
        let plain = TriangleRule::six();
        Self {
            sources: order.chunks(LANES).map(|chunk| Sources::new(body, chunk)).collect(),
            order,
            values: std::array::from_fn(|q| super::element::shape_values(plain.places[q]).map(|v| v as f32)),
        }
    }

    /// Absorption of a chunk's elements from that of all, nothing when it is rigid.
    pub fn absorbed(&self, chunk: usize, absorption: &[Complex64]) -> Option<Absorption> {
        let own = self.order.chunks(LANES).nth(chunk).unwrap_or_default();
        let value = |lane: usize| own.get(lane).map_or(Complex64::ZERO, |&element| absorption[element]);
        own.iter().any(|&element| absorption[element] != Complex64::ZERO).then(|| {
            [
                std::array::from_fn(|lane| value(lane).re as f32),
                std::array::from_fn(|lane| value(lane).im as f32),
            ]
        })
    }

    /// Adds the blocks of a tested element and the sources of one chunk, but for those lanes that are `skipped`, to six rows.
    pub fn add_rows(
        &self,
        chunk: usize,
        tested: &Tested,
        wave: &Wave,
        absorption: Option<&Absorption>,
        skipped: u32,
        rows: &mut [Column],
    ) {
        let sources = &self.sources[chunk];
        let waves = Waves { k: wave.k as f32, turns: (wave.k * 0.5 / std::f64::consts::PI) as f32 };
        let blocks = self.blocks(chunk, tested, &waves, wave.coupling as f32, absorption);
        for lane in (0..sources.count).filter(|lane| skipped >> lane & 1 == 0) {
            for (j, block) in blocks.iter().enumerate() {
                let column = &mut rows[sources.nodes[lane][j] as usize];
                column.iter_mut().zip(block).for_each(|(sum, lanes)| *sum += lanes[lane]);
            }
        }
    }

    /// Blocks between a tested element and the sources of one chunk, by any kernel: for every function of the source the six rows' real parts,
    /// then their imaginary parts.
    #[inline]
    pub fn blocks(
        &self,
        chunk: usize,
        tested: &Tested,
        kernel: &impl LaneKernel,
        coupling: f32,
        absorption: Option<&Absorption>,
    ) -> Blocks {
        let mut blocks = [[[0.0; LANES]; 12]; 6];
        let setting = Setting { kernel, coupling, absorption };
        chunk_blocks(&self.sources[chunk], &self.values, tested, &setting, &mut blocks);
        blocks
    }
}

/// How points act on points.
struct Setting<'a, K> {
    kernel: &'a K,
    /// κ [m].
    coupling: f32,
    absorption: Option<&'a Absorption>,
}

impl Sources {
    pub fn new(body: &Body, chunk: &[usize]) -> Self {
        let element = |lane: usize| chunk[lane.min(chunk.len() - 1)];
        let point = |q: usize| {
            let of = |pick: &dyn Fn(&Point) -> f64, weighted: bool| -> Lanes {
                std::array::from_fn(|lane| {
                    let value = pick(&body.quadrature[element(lane)][q]);
                    let real = lane < chunk.len() || !weighted;
                    let scale = if weighted { 0.25 / std::f64::consts::PI } else { 1.0 };
                    if real { (value * scale) as f32 } else { 0.0 }
                })
            };
            SourcePoints {
                position: [0, 1, 2].map(|c| of(&|p| p.position[c], false)),
                area: [0, 1, 2].map(|c| of(&|p| p.area[c], true)),
                weight: of(&|p| p.weight, true),
                curls: [0, 1, 2, 3, 4, 5].map(|j| [0, 1, 2].map(|c| of(&|p| p.curls[j][c], true))),
            }
        };
        Self {
            nodes: std::array::from_fn(|lane| body.nodes[element(lane)]),
            count: chunk.len(),
            points: std::array::from_fn(point),
        }
    }
}

impl Tested {
    pub fn new(points: &[Point; POINTS]) -> Self {
        let single = |v: &nalgebra::Vector3<f64>| [v.x as f32, v.y as f32, v.z as f32];
        Self {
            position: std::array::from_fn(|q| single(&points[q].position)),
            normal: std::array::from_fn(|q| single(&(points[q].area / points[q].weight))),
            values: std::array::from_fn(|q| points[q].values.map(|value| (value * points[q].weight) as f32)),
            curls: std::array::from_fn(|q| points[q].curls.map(|curl| single(&curl))),
        }
    }
}

/// A kernel of the distance, real and imaginary parts, times 4π.
pub(super) struct KernelLanes {
    pub value: Parts,
    /// `−(dg/dr)/r`.
    pub slope: Parts,
    /// What multiplies `n·n′` in the second derivative: k²G for waves.
    pub bend: Parts,
}

/// A kernel on lanes.
pub(super) trait LaneKernel: Sync {
    /// True when it has no imaginary part, and so αG no real one.
    const REAL: bool;

    /// At distances whose squares are given.
    fn at<const FMA: bool>(&self, square: &Lanes) -> KernelLanes;
}

/// `exp(−jkr)/r`.
struct Waves {
    k: f32,
    turns: f32,
}

impl LaneKernel for Waves {
    const REAL: bool = false;

    #[inline(always)]
    fn at<const FMA: bool>(&self, square: &Lanes) -> KernelLanes {
        let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
        let mut lanes = KernelLanes::default();
        let (mut turns, mut inverses) = ([0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            inverses[lane] = reciprocal_root(square[lane]);
            turns[lane] = square[lane] * inverses[lane] * self.turns;
        }
        let [cosine, sine] = cosine_sine_single::<FMA, LANES>(turns);
        for lane in 0..LANES {
            let inverse = inverses[lane];
            let (re, im) = (cosine[lane] * inverse, -sine[lane] * inverse);
            lanes.value[0][lane] = re;
            lanes.value[1][lane] = im;
            // (jk + 1/r) G/r
            lanes.slope[0][lane] = inverse * fused(inverse, re, -self.k * im);
            lanes.slope[1][lane] = inverse * fused(inverse, im, self.k * re);
            lanes.bend[0][lane] = self.k * self.k * re;
            lanes.bend[1][lane] = self.k * self.k * im;
        }
        lanes
    }
}

impl Default for KernelLanes {
    fn default() -> Self {
        let zero = [[0.0; LANES]; 2];
        Self { value: zero, slope: zero, bend: zero }
    }
}

pub(super) type Blocks = [[Lanes; 12]; 6];

#[multiversion(targets = "simd")]
fn chunk_blocks<K: LaneKernel>(
    sources: &Sources,
    values: &[Six<f32>; POINTS],
    tested: &Tested,
    setting: &Setting<K>,
    blocks: &mut Blocks,
) {
    match (target_cfg_f!(target_feature = "fma"), setting.absorption) {
        (true, None) => {
            blocks_on_lanes::<true, false, K>(sources, values, tested, setting, &[[0.0; LANES]; 2], blocks)
        }
        (false, None) => {
            blocks_on_lanes::<false, false, K>(sources, values, tested, setting, &[[0.0; LANES]; 2], blocks)
        }
        (true, Some(absorbed)) => {
            blocks_on_lanes::<true, true, K>(sources, values, tested, setting, absorbed, blocks)
        }
        (false, Some(absorbed)) => {
            blocks_on_lanes::<false, true, K>(sources, values, tested, setting, absorbed, blocks)
        }
    }
}

#[inline(always)]
fn blocks_on_lanes<const FMA: bool, const ABSORBS: bool, K: LaneKernel>(
    sources: &Sources,
    values: &[Six<f32>; POINTS],
    tested: &Tested,
    setting: &Setting<K>,
    absorbed: &Absorption,
    blocks: &mut Blocks,
) {
    let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
    for (q, source) in sources.points.iter().enumerate() {
        let mut doublets = [[[0.0; LANES]; 2]; POINTS];
        let mut layers = [[[0.0; LANES]; 2]; POINTS];
        for x in 0..POINTS {
            let (position, normal) = (tested.position[x], tested.normal[x]);
            [doublets[x], layers[x]] =
                kernels::<FMA, ABSORBS, K>(source, position, normal, setting, absorbed);
        }
        for i in 0..6 {
            let mut test = [[0.0; LANES]; 2];
            let mut bent = [[[0.0; LANES]; 2]; 3];
            for x in 0..POINTS {
                let (value, curl) = (tested.values[x][i], tested.curls[x][i]);
                for part in 0..2 {
                    for lane in 0..LANES {
                        test[part][lane] = fused(value, doublets[x][part][lane], test[part][lane]);
                    }
                    for along in if K::REAL && part == 0 { 0..0 } else { 0..3 } {
                        for lane in 0..LANES {
                            bent[along][part][lane] =
                                fused(curl[along], layers[x][part][lane], bent[along][part][lane]);
                        }
                    }
                }
            }
            for j in 0..6 {
                let value = values[q][j];
                for part in 0..2 {
                    let sum = &mut blocks[j][6 * part + i];
                    for lane in 0..LANES {
                        let flat = fused(value, test[part][lane], sum[lane]);
                        if K::REAL && part == 0 {
                            sum[lane] = flat;
                            continue;
                        }
                        let first = fused(bent[0][part][lane], source.curls[j][0][lane], flat);
                        let second = fused(bent[1][part][lane], source.curls[j][1][lane], first);
                        sum[lane] = fused(bent[2][part][lane], source.curls[j][2][lane], second);
                    }
                }
            }
        }
    }
}

/// `A` and `αG` at one test point.
#[inline(always)]
fn kernels<const FMA: bool, const ABSORBS: bool, K: LaneKernel>(
    source: &SourcePoints,
    position: [f32; 3],
    normal: [f32; 3],
    setting: &Setting<K>,
    absorbed: &Absorption,
) -> [Parts; 2] {
    let fused = |a: f32, b: f32, c: f32| if FMA { a.mul_add(b, c) } else { a * b + c };
    let dot = |a: [f32; 3], b: [f32; 3]| fused(a[0], b[0], fused(a[1], b[1], a[2] * b[2]));
    let (mut doublet, mut layer) = ([[0.0; LANES]; 2], [[0.0; LANES]; 2]);
    let apart = |lane: usize| [0, 1, 2].map(|c| position[c] - source.position[c][lane]);
    let square: Lanes = std::array::from_fn(|lane| dot(apart(lane), apart(lane)));
    let KernelLanes { value, slope, bend } = setting.kernel.at::<FMA>(&square);
    for lane in 0..LANES {
        let area = [0, 1, 2].map(|c| source.area[c][lane]);
        let (towards, normals) = (dot(apart(lane), area), setting.coupling * dot(normal, area));
        doublet[0][lane] = -fused(slope[0][lane], towards, normals * bend[1][lane]);
        doublet[1][lane] = fused(-slope[1][lane], towards, normals * bend[0][lane]);
        layer[0][lane] = setting.coupling * value[1][lane];
        layer[1][lane] = -setting.coupling * value[0][lane];
        if ABSORBS {
            let away = setting.coupling * dot(apart(lane), normal);
            let weight = source.weight[lane];
            let single = [
                weight * fused(-away, slope[1][lane], value[0][lane]),
                weight * fused(away, slope[0][lane], value[1][lane]),
            ];
            let beta = [absorbed[0][lane], absorbed[1][lane]];
            doublet[0][lane] += fused(beta[0], single[0], -beta[1] * single[1]);
            doublet[1][lane] += fused(beta[0], single[1], beta[1] * single[0]);
        }
    }
    [doublet, layer]
}

/// `1/√x` by Newton's iteration, three steps from a guess by halving the exponent: to rounding, without division, and finite at 0.
#[inline(always)]
pub(super) fn reciprocal_root(x: f32) -> f32 {
    let mut y = f32::from_bits(0x5f37_59df - (x.to_bits() >> 1));
    let half = 0.5 * x;
    for _ in 0..3 {
        y *= 1.5 - half * y * y;
    }
    y
}
