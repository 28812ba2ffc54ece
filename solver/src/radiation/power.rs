//! Sound power of a baffled surface, spectrally accurate.
//!
//! `P = ρck/(4π²) ∬_{|k_t| ≤ k} |V(k_x, k_y)|² / k_z dk_x dk_y`, V the spatial Fourier transform of the velocity, RMS phasors
//! (E. G. Williams, Fourier Acoustics, 1999, § 2.11; C. E. Wallace, J. Acoust. Soc. Am. 51, 1972, uses the same hemisphere).
//!
//! With `k_y = κ sin β`, `κ² = k² − k_x²`, the factor 1/k_z cancels: for each k_x the integrand is a smooth periodic function of β,
//! which the midpoint rule integrates with spectral accuracy, and what is left is analytic in k_x, for Gauss nodes. As the
//! autocorrelation of the surface reaches as far as its height and its diagonal, the integrand contains `exp(jκ·height sin β)` in β
//! and `exp(jk_x·diagonal)` in k_x at most: that sets both numbers of nodes; an image behind adds the double of its distance as a third
//! side. Opposite wavenumbers are taken together: the sum over
//! the four signs of (k_x, k_y) needs only cosine and sine transforms.

use super::SurfaceVelocity;
use crate::air::Air;
use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use ndarray::{Array2, Axis as Dim, concatenate};
use num_complex::Complex64;
use panelwright_mesh::Axis;
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::num::NonZeroUsize;

const LANES: usize = 4;

/// Sound power [W] radiated to the side `surface` faces.
pub fn radiated_power(surface: &SurfaceVelocity<'_>, air: &Air) -> f64 {
    radiated_power_weighted(surface, air, 0.0, |_| 1.0)
}

/// [`radiated_power`] with each direction counted `weight(cos θ)` times, θ the angle to the normal; the weight is a power of the cosine, times
/// waves `exp(jk·depth cos θ)` at most, `depth` in metres.
pub(super) fn radiated_power_weighted(
    surface: &SurfaceVelocity<'_>,
    air: &Air,
    depth: f64,
    weight: impl Fn(f64) -> f64,
) -> f64 {
    let k = air.wavenumber(surface.frequency);
    let (x, y) = (&surface.lattice.x, &surface.lattice.y);
    let (width, height) = (extent(x), extent(y));
    let half_count = (0.5 * nodes_for(0.5 * k * width.hypot(height).hypot(depth))).ceil();
    let count = NonZeroUsize::new(2 * half_count as usize).unwrap_or(NonZeroUsize::MIN);
    let wavenumbers = Axis::gauss(2.0 * k, count);
    let upper = count.get() / 2;
    let kx: Vec<f64> = wavenumbers.nodes.iter().skip(upper).map(|node| node - k).collect();
    let transformed = transform_along_x(surface, &kx);
    let nodes = padded(y.nodes.iter().map(|node| node - centroid(y)));
    let mut integral = 0.0;
    for (row, (&kx, row_weight)) in kx.iter().zip(wavenumbers.weights.iter().skip(upper)).enumerate() {
        let kappa = ((k - kx) * (k + kx)).sqrt();
        let angles = (0.25 * nodes_for(kappa * height.hypot(depth))).ceil();
        let step = FRAC_PI_2 / angles;
        let row_sum: f64 = (0..angles as usize)
            .map(|i| {
                let (sine, cosine) = ((i as f64 + 0.5) * step).sin_cos();
                weight(kappa / k * cosine) * spectral_density(&nodes, &transformed[row], kappa * sine / TAU)
            })
            .sum();
        integral += 4.0 * row_weight * step * row_sum;
    }
    air.impedance() * k / (4.0 * PI * PI) * integral
}

/// Nodes for an integrand that needs at least `critical` of them. Beyond that number errors fall like the Airy function of the
/// excess in units of `critical^⅓`, as Bessel functions do past their argument; the error left here is below 1e-8.
fn nodes_for(critical: f64) -> f64 {
    critical + 8.0 + 5.0 * critical.cbrt()
}

/// Length of the stretch an axis covers [m].
fn extent(axis: &Axis) -> f64 {
    axis.weights.sum()
}

/// Middle of the stretch [m].
fn centroid(axis: &Axis) -> f64 {
    axis.nodes.dot(&axis.weights) / axis.weights.sum()
}

fn padded(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<f64> = values.collect();
    values.resize(values.len().next_multiple_of(LANES), 0.0);
    values
}

/// For each k_x the cosine and sine transform over x of the weighted velocity: four real functions of y.
fn transform_along_x(surface: &SurfaceVelocity<'_>, kx: &[f64]) -> Vec<[Vec<f64>; 4]> {
    let (x, y) = (&surface.lattice.x, &surface.lattice.y);
    let centre = centroid(x);
    let phase = |i: usize, n: usize| kx[i] * (x.nodes[n] - centre);
    let shape = (kx.len(), x.len());
    let cosine = Array2::from_shape_fn(shape, |(i, n)| phase(i, n).cos() * x.weights[n]);
    let sine = Array2::from_shape_fn(shape, |(i, n)| phase(i, n).sin() * x.weights[n]);
    let weighted = surface.shared().as_ref() * &y.weights.mapv(Complex64::from);
    let parts = concatenate![Dim(1), weighted.mapv(|v| v.re), weighted.mapv(|v| v.im)];
    let (even, odd) = (cosine.dot(&parts), sine.dot(&parts));
    let ny = y.len();
    (0..kx.len())
        .map(|i| {
            let part = |of: &Array2<f64>, first: usize| padded((first..first + ny).map(|n| of[[i, n]]));
            [part(&even, 0), part(&even, ny), part(&odd, 0), part(&odd, ny)]
        })
        .collect()
}

/// Mean of `|V|²` over the four signs of (k_x, k_y).
#[multiversion(targets = "simd")]
fn spectral_density(nodes: &[f64], rows: &[Vec<f64>; 4], turns_per_metre: f64) -> f64 {
    if target_cfg_f!(target_feature = "fma") {
        spectral_density_lanes::<true>(nodes, rows, turns_per_metre)
    } else {
        spectral_density_lanes::<false>(nodes, rows, turns_per_metre)
    }
}

#[inline(always)]
fn spectral_density_lanes<const FMA: bool>(nodes: &[f64], rows: &[Vec<f64>; 4], turns_per_metre: f64) -> f64 {
    let fused = |a: f64, b: f64, c: f64| if FMA { a.mul_add(b, c) } else { a * b + c };
    let mut sums = [[0.0; LANES]; 8];
    let (a, b) = (rows[0].chunks_exact(LANES), rows[1].chunks_exact(LANES));
    let (c, d) = (rows[2].chunks_exact(LANES), rows[3].chunks_exact(LANES));
    for (((node, a), b), (c, d)) in nodes.chunks_exact(LANES).zip(a).zip(b).zip(c.zip(d)) {
        let mut turns = [0.0; LANES];
        for lane in 0..LANES {
            turns[lane] = node[lane] * turns_per_metre;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            for (part, value) in [a[lane], b[lane], c[lane], d[lane]].into_iter().enumerate() {
                sums[2 * part][lane] = fused(value, cosine[lane], sums[2 * part][lane]);
                sums[2 * part + 1][lane] = fused(value, sine[lane], sums[2 * part + 1][lane]);
            }
        }
    }
    sums.iter().map(|lanes| lanes.iter().sum::<f64>().powi(2)).sum()
}
