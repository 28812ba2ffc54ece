//! From the pressure jump to the sound around a screen.
//!
//! Each node is a dipole of strength d [N] across the screen: `p(r) = Σ d z (1 + jkR) exp(−jkR)/(4πR³)`, z counted from the screen's plane:
//! what is positive in front is negative behind. A wall adds the image of the screen, of opposite sense, as far behind it.

use super::super::{Arc, SurfaceVelocity, attenuation, far_field_arc, radiated_power_weighted};
use super::{Jump, ParallelWall, ScreenGrid, kernel, values};
use crate::air::Air;
use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use ndarray::{Array2, Zip};
use num_complex::Complex64;
use std::f64::consts::PI;

const LANES: usize = 8;
/// Phase [rad] to the image and back above which the far field is not integrated lobe by lobe.
const MANY_LOBES: f64 = 300.0;

/// A screen's sources of sound at one frequency.
#[derive(Clone, Debug)]
pub struct Dipoles<'a> {
    pub(super) grid: &'a ScreenGrid,
    pub(super) frequency: f64,
    pub(super) wall: Option<ParallelWall>,
    /// Strength of each node [N RMS].
    pub strengths: Array2<Complex64>,
}

/// Pressure at a receiver [m] per strength of each node's dipole [1/m²]: what [`Dipoles::pressure`] adds up, node by node.
pub fn heard_from_nodes(
    grid: &ScreenGrid,
    frequency: f64,
    wall: Option<ParallelWall>,
    [rx, ry, rz]: [f64; 3],
    air: &Air,
) -> Array2<Complex64> {
    let (k, absorption) = (air.wavenumber(frequency), air.absorption(frequency));
    let plane = |z: f64| {
        let lost = attenuation(grid.centre(), [rx, ry, z], absorption);
        move |x: f64, y: f64| {
            let distance = ((rx - x).powi(2) + (ry - y).powi(2) + z * z).sqrt();
            let turned = Complex64::new(1.0, k * distance) * Complex64::cis(-k * distance);
            turned * (lost * z / (4.0 * PI * distance.powi(3)))
        }
    };
    let (direct, image) = (plane(rz), wall.map(|wall| (wall.reflection, plane(rz + 2.0 * wall.distance))));
    let (x, y) = (&grid.lattice.x.nodes, &grid.lattice.y.nodes);
    Array2::from_shape_fn(grid.lattice.shape(), |(i, j)| {
        let thrown = image.as_ref().map_or(Complex64::ZERO, |(share, from)| *share * from(x[i], y[j]));
        direct(x[i], y[j]) - thrown
    })
}

impl<'a> Dipoles<'a> {
    /// Sources of `jump` on `grid` at `frequency` [Hz].
    pub fn new(grid: &'a ScreenGrid, frequency: f64, wall: Option<ParallelWall>, jump: &Jump) -> Self {
        let [hx, hy] = grid.cell();
        let mut strengths = grid.point_values(&values(&jump.hats));
        strengths.iter_mut().for_each(|d| *d *= hx * hy);
        let strengths = Array2::from_shape_vec(grid.lattice.shape(), strengths).expect("one value per node");
        Self { grid, frequency, wall, strengths }
    }

    /// Pressure [Pa RMS] at `receivers` [m], in front or behind, in moist air. Receivers should be at least one cell away from
    /// the screen: nearer than that the sum over nodes is no longer an integral.
    pub fn pressure(&self, receivers: &[[f64; 3]], air: &Air) -> Vec<Complex64> {
        let sources = Lanes::new(self.grid, &self.strengths);
        let turns = self.frequency / air.sound_speed;
        let absorption = air.absorption(self.frequency);
        let centre = self.grid.centre();
        let from = |[x, y, z]: [f64; 3]| {
            let [re, im] = dipole_sum(&sources, [x, y, z], turns);
            Complex64::new(re, im) * (z / (4.0 * PI)) * attenuation(centre, [x, y, z], absorption)
        };
        let heard = |&[x, y, z]: &[f64; 3]| {
            let image = self
                .wall
                .map_or(Complex64::ZERO, |wall| -wall.reflection * from([x, y, z + 2.0 * wall.distance]));
            from([x, y, z]) + image
        };
        receivers.iter().map(heard).collect()
    }

    /// The baffled motion that radiates forward as the screen does but for a factor cos θ: `μ/(2ρc)` [m/s RMS].
    ///
    /// The far field of the screen is that of [`far_field_arc`](crate::radiation::far_field_arc) and its kin for this motion, times the
    /// cosine of the angle to the normal: `jk cos θ/(4π) Σ d exp(jk u·s)`.
    pub fn equivalent_motion(&self, air: &Air) -> SurfaceVelocity<'a> {
        let [hx, hy] = self.grid.cell();
        let scale = 1.0 / (2.0 * air.impedance() * hx * hy);
        SurfaceVelocity {
            frequency: self.frequency,
            lattice: &self.grid.lattice,
            velocity: self.strengths.mapv(|d| d * scale),
        }
    }

    /// Far-field amplitude [Pa·m RMS] along an arc, at `angles` [rad] from the normal, phase referred to `centre` [m].
    pub fn far_field_arc(&self, arc: Arc, angles: &[f64], centre: [f64; 2], air: &Air) -> Vec<Complex64> {
        let plain = far_field_arc(&self.equivalent_motion(air), arc, angles, centre, air);
        let k = air.wavenumber(self.frequency);
        let directed = |(amplitude, angle): (Complex64, &f64)| {
            amplitude * angle.cos() * self.with_image(k * angle.cos())
        };
        plain.into_iter().zip(angles).map(directed).collect()
    }

    /// Sound power [W], from the far field: in free space to both sides, `1/(8π²ρck) ∬ k_z |μ̂|² dk_x dk_y` over the waves that travel; before
    /// a wall to the front only.
    pub fn power(&self, air: &Air) -> f64 {
        let k = air.wavenumber(self.frequency);
        let (sides, depth) = self.wall.map_or((2.0, 0.0), |wall| (1.0, 2.0 * wall.distance));
        let weight = |cosine: f64| cosine * cosine * self.with_image(k * cosine).norm_sqr();
        sides * radiated_power_weighted(&self.equivalent_motion(air), air, depth, weight)
    }

    /// [`power`](Self::power) where the `velocity` [m/s RMS] of the nodes is known, too: the lobes between screen and a distant image are
    /// countless, but there the work of the screen, less what the wall keeps, says as much.
    pub fn power_of(&self, velocity: &Array2<Complex64>, air: &Air) -> f64 {
        let lobes = self.wall.map_or(0.0, |wall| 2.0 * wall.distance) * air.wavenumber(self.frequency);
        if lobes <= MANY_LOBES {
            return self.power(air);
        }
        let work: f64 = self.strengths.iter().zip(velocity).map(|(d, v)| (d * v.conj()).re).sum();
        (work - self.power_into_wall(air)).max(0.0)
    }

    /// Sound power [W] that the wall keeps: `1 − R²` of what reaches it; nothing without a wall.
    ///
    /// Together with [`power`](Self::power) it is what the air takes from the screen.
    pub fn power_into_wall(&self, air: &Air) -> f64 {
        let kept = self.wall.map_or(0.0, |wall| 1.0 - wall.reflection * wall.reflection);
        radiated_power_weighted(&self.equivalent_motion(air), air, 0.0, |cosine| kept * cosine * cosine)
    }

    /// What the image makes of a wave that leaves with wavenumber `kz` [rad/m] along the normal: `1 − R exp(−2j k_z d)`.
    fn with_image(&self, kz: f64) -> Complex64 {
        let image = |wall: ParallelWall| Complex64::from_polar(wall.reflection, -2.0 * kz * wall.distance);
        Complex64::ONE - self.wall.map_or(Complex64::ZERO, image)
    }

    /// Active intensity [W/m²] leaving the front face, `Re(p v*)`, for the `velocity` [m/s RMS] of the nodes.
    ///
    /// In free space the faces' pressures are ±μ/2, so the front gives off half of `Re(μ v*)`; a wall adds its image's pressure.
    pub fn front_intensity(&self, jump: &Jump, velocity: &Array2<Complex64>, air: &Air) -> Array2<f64> {
        let mut pressure = jump.hats.mapv(|mu| 0.5 * mu);
        if let Some(wall) = self.wall {
            let (cell, k) = (self.grid.cell(), air.wavenumber(self.frequency));
            let kernel = kernel::dipole(self.grid.lattice.shape(), cell, k, 2.0 * wall.distance);
            let convolver = &self.grid.convolver;
            let spectrum = convolver.kernel(kernel.view());
            let image = convolver.apply(&spectrum, &values(&self.strengths), &mut convolver.workspace());
            pressure.iter_mut().zip(image).for_each(|(p, image)| *p -= wall.reflection * image);
        }
        Zip::from(&pressure).and(velocity).map_collect(|p, v| (p * v.conj()).re)
    }
}

/// Dipoles in groups of lanes, padded with silent ones.
struct Lanes {
    x: Vec<f64>,
    y: Vec<f64>,
    re: Vec<f64>,
    im: Vec<f64>,
}

impl Lanes {
    fn new(grid: &ScreenGrid, strengths: &Array2<Complex64>) -> Self {
        let sounding = || grid.lattice.points().zip(strengths).filter(|(_, d)| **d != Complex64::ZERO);
        let padded = |values: Vec<f64>| {
            let mut values = values;
            values.resize(values.len().next_multiple_of(LANES), 0.0);
            values
        };
        Self {
            x: padded(sounding().map(|(point, _)| point[0]).collect()),
            y: padded(sounding().map(|(point, _)| point[1]).collect()),
            re: padded(sounding().map(|(_, d)| d.re).collect()),
            im: padded(sounding().map(|(_, d)| d.im).collect()),
        }
    }
}

/// `Σ d (1 + jkR) exp(−jkR)/R³`, real and imaginary part.
#[multiversion(targets = "simd")]
fn dipole_sum(sources: &Lanes, receiver: [f64; 3], turns_per_metre: f64) -> [f64; 2] {
    if target_cfg_f!(target_feature = "fma") {
        dipole_lanes::<true>(sources, receiver, turns_per_metre)
    } else {
        dipole_lanes::<false>(sources, receiver, turns_per_metre)
    }
}

#[inline(always)]
fn dipole_lanes<const FMA: bool>(sources: &Lanes, [x, y, z]: [f64; 3], turns_per_metre: f64) -> [f64; 2] {
    let k = 2.0 * PI * turns_per_metre;
    let (mut re, mut im) = ([0.0; LANES], [0.0; LANES]);
    let positions = sources.x.chunks_exact(LANES).zip(sources.y.chunks_exact(LANES));
    let strengths = sources.re.chunks_exact(LANES).zip(sources.im.chunks_exact(LANES));
    for ((sx, sy), (dr, di)) in positions.zip(strengths) {
        let (mut inverse, mut turns) = ([0.0; LANES], [0.0; LANES]);
        for lane in 0..LANES {
            let (dx, dy) = (x - sx[lane], y - sy[lane]);
            let distance = (dx * dx + dy * dy + z * z).sqrt();
            inverse[lane] = 1.0 / distance;
            turns[lane] = distance * turns_per_metre;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            // (1 + jkR)(cos − j sin)/R³ = (a + jb).
            let (one, kr) = (inverse[lane].powi(3), k * inverse[lane] * inverse[lane]);
            let a = one * cosine[lane] + kr * sine[lane];
            let b = kr * cosine[lane] - one * sine[lane];
            re[lane] += dr[lane] * a - di[lane] * b;
            im[lane] += dr[lane] * b + di[lane] * a;
        }
    }
    [re.iter().sum(), im.iter().sum()]
}
