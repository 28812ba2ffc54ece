//! The two operators between two elements, in double precision.
//!
//! ```text
//! pressure:  −K − αD,   velocity:  S + αK′,   α = −jκ
//! ```
//!
//! (see [the module](super)); the terms without integral, ½ and α/2 times the mass, belong to an element and itself.

use super::blocks::{Blocks, Point, Square, add_scaled};
use super::body::{Body, POINTS, Partner};
use super::wave::{Kernel, LANES, Lanes, Wave};
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use num_complex::Complex64;
use std::f64::consts::PI;

/// What the pressure and the normal derivative on one element do to the tests on another.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PairOperators {
    pub pressure: Square<Complex64>,
    pub velocity: Square<Complex64>,
}

impl PairOperators {
    /// A near pair, to the accuracy of the moments.
    #[inline]
    pub fn near(body: &Body, tested: usize, partner: &Partner, wave: &Wave) -> Self {
        let mut sum = Self::plain(body, tested, partner, wave, Kernel::Remainder);
        sum.add_singular(body, tested, partner, wave);
        sum
    }

    /// Adds what the kernel's singular part `1/(4πr) − k²r/(8π)` does to a near pair, and the terms without integral.
    pub fn add_singular(&mut self, body: &Body, tested: usize, partner: &Partner, wave: &Wave) {
        let factors = [1.0 / (4.0 * PI), -wave.k * wave.k / (8.0 * PI)];
        for (blocks, factor) in body.near[partner.pair].iter().zip(factors) {
            // An image of the tested element from the source is, reflected, the source's image from the tested element.
            if partner.exchanged {
                self.add_static::<true>(blocks, factor, wave);
            } else {
                self.add_static::<false>(blocks, factor, wave);
            }
        }
        if partner.element == tested && body.images[partner.image].is_original() {
            let mass = mass(&body.quadrature[tested]);
            add_scaled(&mut self.pressure, 0.5.into(), &mass);
            add_scaled(&mut self.velocity, 0.5 * wave.alpha(), &mass);
        }
    }

    fn add_static<const EXCHANGED: bool>(&mut self, blocks: &Blocks<f64>, factor: f64, wave: &Wave) {
        let (kappa, square_k) = (factor * wave.coupling, wave.k * wave.k);
        let slopes = [&blocks.source_slope, &blocks.tested_slope];
        let [source, tested] = if EXCHANGED { [slopes[1], slopes[0]] } else { slopes };
        for i in 0..6 {
            for j in 0..6 {
                let [a, b] = if EXCHANGED { [j, i] } else { [i, j] };
                let bent = blocks.curls[a][b] - square_k * blocks.normals[a][b];
                self.pressure[i][j] += Complex64::new(-factor * source[a][b], -kappa * bent);
                self.velocity[i][j] += Complex64::new(factor * blocks.layer[a][b], -kappa * tested[a][b]);
            }
        }
    }

    /// The plain sum over the quadrature points of both elements.
    #[inline]
    pub fn plain(body: &Body, tested: usize, partner: &Partner, wave: &Wave, kernel: Kernel) -> Self {
        let image = body.images[partner.image];
        let (points, sources) = (&body.quadrature[tested], &body.quadrature[partner.element]);
        let mut sums = Sums::default();
        if image.is_original() {
            add_products(points, sources, wave, kernel, &mut sums);
        } else {
            add_products(points, &sources.map(|y| image.of_point(&y)), wave, kernel, &mut sums);
        }
        let parts = |[re, im]: &[[Lanes; 6]; 2]| {
            std::array::from_fn(|i| std::array::from_fn(|j| Complex64::new(re[j][i], im[j][i])))
        };
        Self { pressure: parts(&sums.pressure), velocity: parts(&sums.velocity) }
    }
}

/// Both operators' real and imaginary parts: for every function of the source those of the tested element, side by side.
#[derive(Default)]
struct Sums {
    pressure: [[Lanes; 6]; 2],
    velocity: [[Lanes; 6]; 2],
}

#[multiversion(targets = "simd")]
fn add_products(
    tested: &[Point; POINTS],
    sources: &[Point; POINTS],
    wave: &Wave,
    kernel: Kernel,
    sums: &mut Sums,
) {
    if target_cfg_f!(target_feature = "fma") {
        add_on_lanes::<true>(tested, sources, wave, kernel, sums);
    } else {
        add_on_lanes::<false>(tested, sources, wave, kernel, sums);
    }
}

#[inline(always)]
fn add_on_lanes<const FMA: bool>(
    tested: &[Point; POINTS],
    sources: &[Point; POINTS],
    wave: &Wave,
    kernel: Kernel,
    sums: &mut Sums,
) {
    let values: [Lanes; POINTS] = std::array::from_fn(|x| padded(|i| tested[x].values[i]));
    let curls: [[Lanes; 3]; POINTS] =
        std::array::from_fn(|x| std::array::from_fn(|along| padded(|i| tested[x].curls[i][along])));
    let (kappa, bend) = (wave.coupling, wave.coupling * wave.k * wave.k);
    for y in sources {
        let apart: [_; POINTS] = std::array::from_fn(|x| tested[x].position - y.position);
        let lanes = wave.kernels::<FMA>(kernel, &padded(|x| apart[x].norm()));
        let mut pressure = [[0.0; LANES]; 2];
        let mut velocity = [[0.0; LANES]; 2];
        let mut bent = [[[0.0; LANES]; 2]; 3];
        for (x, point) in tested.iter().enumerate() {
            let [re, im] = [lanes.value[0][x], lanes.value[1][x]];
            let [slope_re, slope_im] = [lanes.slope[0][x], lanes.slope[1][x]];
            let towards = point.weight * apart[x].dot(&y.area);
            let away = kappa * y.weight * apart[x].dot(&point.area);
            let both = point.weight * y.weight;
            let normals = bend * point.area.dot(&y.area);
            // −∂G/∂n′ − αk² n·n′ G, S + αK′ and αG with α = −jκ.
            let doublet = [-slope_re * towards - normals * im, -slope_im * towards + normals * re];
            let layer = [both * re - away * slope_im, both * im + away * slope_re];
            let curled = [kappa * im, -kappa * re];
            for part in 0..2 {
                for i in 0..LANES {
                    pressure[part][i] += doublet[part] * values[x][i];
                    velocity[part][i] += layer[part] * values[x][i];
                }
                for along in 0..3 {
                    for i in 0..LANES {
                        bent[along][part][i] += curled[part] * curls[x][along][i];
                    }
                }
            }
        }
        for j in 0..6 {
            let (value, curl) = (y.values[j], y.curls[j]);
            for part in 0..2 {
                for i in 0..LANES {
                    let along =
                        bent[0][part][i] * curl.x + bent[1][part][i] * curl.y + bent[2][part][i] * curl.z;
                    sums.pressure[part][j][i] += pressure[part][i] * value + along;
                    sums.velocity[part][j][i] += velocity[part][i] * value;
                }
            }
        }
    }
}

#[inline(always)]
fn padded(value: impl Fn(usize) -> f64) -> Lanes {
    std::array::from_fn(|i| if i < 6 { value(i) } else { 0.0 })
}

/// `∫ φ_i φ_j` of one element.
pub(super) fn mass(points: &[Point]) -> Square<f64> {
    let entry = |i: usize, j: usize| points.iter().map(|p| p.weight * p.values[i] * p.values[j]).sum();
    std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j)))
}
