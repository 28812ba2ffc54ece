//! The operator between hats: one number per offset, by which it is a convolution.
//!
//! Per area of a cell, `T(d) = ∫ B(x) K(x + d) dS` with B the correlation of two hats, a product of cubic B-splines of unit integral, and
//!
//! ```text
//! K = ∂²G/∂z² = −(∂²/∂x² + ∂²/∂y² + k²) G = −(1 + jkR) exp(−jkR)/(4πR³)    in the plane,    G = exp(−jkR)/(4πR)
//! ```
//!
//! Away from the origin K is smooth and the integral is a sum over neighbouring grid points, `f + δ²f/6 − δ⁴f/720` in each direction (exact
//! to fifth degree for a cubic B-spline). Near it the derivatives are moved to the spline, `T = −∫ G (∇² + k²) B dS`, which
//! leaves the integrable G: Gauss rules cell by cell, with the singular corner taken out by M. G. Duffy's transformation
//! (SIAM J. Numer. Anal. 19, 1982).

use ndarray::{Array2, Array3};
use num_complex::Complex64;
use panelwright_mesh::Axis;
use std::f64::consts::PI;
use std::num::NonZeroUsize;

/// Offsets below this many cells in both directions are integrated.
const NEAR: usize = 8;
/// Gauss nodes per direction of a cell, and of the singular one.
const NODES: usize = 10;
const SINGULAR_NODES: usize = 16;

/// `δ⁰, δ²/6, −δ⁴/720` as weights of the points 0, ±1, ±2.
const SPREAD: [f64; 3] = [1.0 - 1.0 / 3.0 - 1.0 / 120.0, 1.0 / 6.0 + 1.0 / 180.0, -1.0 / 720.0];

/// The cubic B-spline and its second derivative on the four stretches −2…−1, …, 1…2, in powers of the place within the stretch.
const SPLINE: [[f64; 4]; 4] = [
    [0.0, 0.0, 0.0, 1.0 / 6.0],
    [1.0 / 6.0, 0.5, 0.5, -0.5],
    [4.0 / 6.0, 0.0, -1.0, 0.5],
    [1.0 / 6.0, -0.5, 0.5, -1.0 / 6.0],
];
const SPLINE_CURVATURE: [[f64; 4]; 4] =
    [[0.0, 1.0, 0.0, 0.0], [1.0, -3.0, 0.0, 0.0], [-2.0, 3.0, 0.0, 0.0], [1.0, -1.0, 0.0, 0.0]];

/// Operator of a screen in free space for offsets (0…nx − 1, 0…ny − 1) [1/m].
pub(super) fn screen(shape: (usize, usize), [hx, hy]: [f64; 2], k: f64) -> Array2<Complex64> {
    let mut values = smoothed(shape, |i, j| {
        let r = (i * hx).hypot(j * hy);
        if r == 0.0 { Complex64::ZERO } else { -normal_derivative_over_z(r, k) * hx * hy }
    });
    let near = near_field([hx, hy], k);
    for ((i, j), value) in near.indexed_iter() {
        if let Some(entry) = values.get_mut((i, j)) {
            *entry = *value;
        }
    }
    values
}

/// Operator of the image of a screen in a wall parallel to it at half the `distance` [m], for reflection factor 1.
///
/// The image of a jump is one of opposite sense, so its kernel is `−∂²G/∂z²` at z = `distance`. Valid for cells small against it.
pub(super) fn image(shape: (usize, usize), [hx, hy]: [f64; 2], k: f64, distance: f64) -> Array2<Complex64> {
    smoothed(shape, |i, j| {
        let r = (i * hx).hypot(j * hy).hypot(distance);
        let cosine = (distance / r).powi(2);
        let jkr = Complex64::new(0.0, k * r);
        let second = (3.0 * cosine - 1.0) * (1.0 + jkr) + jkr * jkr * cosine;
        -second * Complex64::from_polar(hx * hy / (4.0 * PI * r.powi(3)), -k * r)
    })
}

/// Pressure per strength [Pa/N] at height `z` [m] over a dipole, for offsets (0…nx − 1, 0…ny − 1).
pub(super) fn dipole(shape: (usize, usize), [hx, hy]: [f64; 2], k: f64, z: f64) -> Array2<Complex64> {
    Array2::from_shape_fn(shape, |(i, j)| {
        z * normal_derivative_over_z((i as f64 * hx).hypot(j as f64 * hy).hypot(z), k)
    })
}

/// `(1 + jkR) exp(−jkR)/(4πR³)`.
fn normal_derivative_over_z(r: f64, k: f64) -> Complex64 {
    Complex64::new(1.0, k * r) * Complex64::from_polar(1.0 / (4.0 * PI * r.powi(3)), -k * r)
}

/// An even `kernel` of the offset in cells, seen through B-splines.
fn smoothed(shape: (usize, usize), kernel: impl Fn(f64, f64) -> Complex64) -> Array2<Complex64> {
    let (nx, ny) = shape;
    let raw = Array2::from_shape_fn((nx + 2, ny + 2), |(i, j)| kernel(i as f64, j as f64));
    let across = Array2::from_shape_fn((nx + 2, ny), |(i, j)| spread(j, |j| raw[[i, j]]));
    Array2::from_shape_fn(shape, |(i, j)| spread(i, |i| across[[i, j]]))
}

/// Weighted sum over five neighbours of an even sequence.
fn spread(at: usize, value: impl Fn(usize) -> Complex64) -> Complex64 {
    SPREAD[0] * value(at)
        + SPREAD[1] * (value(at + 1) + value(at.abs_diff(1)))
        + SPREAD[2] * (value(at + 2) + value(at.abs_diff(2)))
}

/// Integrated entries of the near offsets.
fn near_field(h: [f64; 2], k: f64) -> Array2<Complex64> {
    let moments = Moments::new(h, k);
    let [hx, hy] = h;
    Array2::from_shape_fn((NEAR, NEAR), |(i, j)| {
        let mut sum = Complex64::ZERO;
        for p in 0..4 {
            for q in 0..4 {
                // Stretches left of the origin are mirrored: the spline's pieces mirror into each other.
                let (a, p) = mirrored(i as isize + p as isize - 2, p);
                let (b, q) = mirrored(j as isize + q as isize - 2, q);
                let of =
                    |curved_x: usize, curved_y: usize| moments.of(a, b, p + 4 * curved_x, q + 4 * curved_y);
                sum -= k * k * of(0, 0) + of(1, 0) / (hx * hx) + of(0, 1) / (hy * hy);
            }
        }
        sum * hx * hy
    })
}

fn mirrored(cell: isize, piece: usize) -> (usize, usize) {
    if cell < 0 { ((-1 - cell) as usize, 3 - piece) } else { (cell as usize, piece) }
}

/// `∫ G f_p(u) f_q(v) du dv` over cells of the quadrant, u and v from 0 to 1 within a cell; f the eight pieces of spline and curvature.
struct Moments {
    /// (cell along x, cell along y, 8 p + q).
    values: Array3<Complex64>,
}

impl Moments {
    fn new(h: [f64; 2], k: f64) -> Self {
        let cells = NEAR + 1;
        let plain = tensor_rule();
        let mut values = Array3::zeros((cells, cells, 64));
        for a in 0..cells {
            for b in 0..cells {
                let singular = if (a, b) == (0, 0) { Some(corner_rule()) } else { None };
                let green = |[u, v]: [f64; 2]| {
                    let r = ((a as f64 + u) * h[0]).hypot((b as f64 + v) * h[1]);
                    Complex64::from_polar(1.0 / (4.0 * PI * r), -k * r)
                };
                for &(point, weight) in singular.as_ref().unwrap_or(&plain) {
                    let value = weight * green(point);
                    let [fu, fv] = point.map(pieces);
                    for (p, fu) in fu.iter().enumerate() {
                        let part = value * fu;
                        for (q, fv) in fv.iter().enumerate() {
                            values[[a, b, 8 * p + q]] += part * fv;
                        }
                    }
                }
            }
        }
        Self { values }
    }

    fn of(&self, a: usize, b: usize, p: usize, q: usize) -> Complex64 {
        self.values[[a, b, 8 * p + q]]
    }
}

fn pieces(u: f64) -> [f64; 8] {
    let power = |c: &[f64; 4]| c[0] + u * (c[1] + u * (c[2] + u * c[3]));
    std::array::from_fn(|p| if p < 4 { power(&SPLINE[p]) } else { power(&SPLINE_CURVATURE[p - 4]) })
}

type Rule = Vec<([f64; 2], f64)>;

fn gauss(nodes: usize) -> Vec<(f64, f64)> {
    let rule = Axis::gauss(1.0, NonZeroUsize::new(nodes).unwrap_or(NonZeroUsize::MIN));
    rule.nodes.iter().copied().zip(rule.weights.iter().copied()).collect()
}

fn tensor_rule() -> Rule {
    let rule = gauss(NODES);
    rule.iter().flat_map(|&(u, wu)| rule.iter().map(move |&(v, wv)| ([u, v], wu * wv))).collect()
}

/// For 1/R at the corner (0, 0): each of the two triangles becomes a square, whose Jacobian u takes out the pole.
fn corner_rule() -> Rule {
    let rule = gauss(SINGULAR_NODES);
    let pairs = rule.iter().flat_map(|&(u, wu)| rule.iter().map(move |&(v, wv)| (u, v, wu * wv * u)));
    pairs.flat_map(|(u, v, weight)| [([u, u * v], weight), ([u * v, u], weight)]).collect()
}
