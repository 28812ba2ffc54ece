//! How well a spherical wave from a point explains a pressure, with derivatives over the point.

use nalgebra::{Matrix3, Vector3};
use ndarray::{ArrayView1, ArrayView2};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Everything that is fitted.
pub(super) struct Waves {
    points: Vec<Vector3<f64>>,
    pub(super) lines: Vec<Line>,
    pub(super) energy: f64,
}

impl Waves {
    pub(super) fn new(
        points: &[[f64; 3]],
        frequencies: &[f64],
        pressure: ArrayView2<Complex64>,
        sound_speed: f64,
    ) -> Option<Self> {
        let line = |(&f, row): (&f64, ArrayView1<Complex64>)| Line {
            wavenumber: TAU * f / sound_speed,
            energy: row.iter().map(|p| p.norm_sqr()).sum(),
            pressure: row.to_vec(),
        };
        let lines: Vec<Line> = frequencies.iter().zip(pressure.rows()).map(line).collect();
        let points = points.iter().map(|p| Vector3::from(*p)).collect();
        Self::from_lines(points, lines)
    }

    fn from_lines(points: Vec<Vector3<f64>>, lines: Vec<Line>) -> Option<Self> {
        let energy: f64 = lines.iter().map(|l| l.energy).sum();
        (points.len() >= 4 && energy > 0.0 && energy.is_finite()).then_some(Self { points, lines, energy })
    }

    /// The same points with some of the lines.
    pub(super) fn with(&self, lines: impl Iterator<Item = usize>) -> Option<Self> {
        Self::from_lines(self.points.clone(), lines.map(|i| self.lines[i].clone()).collect())
    }

    pub(super) fn shortest_wavelength(&self) -> f64 {
        TAU / self.lines.iter().map(|l| l.wavenumber).fold(f64::MIN_POSITIVE, f64::max)
    }

    /// Explained share J at `centre`.
    pub(super) fn explained(&self, centre: Vector3<f64>) -> f64 {
        let distances: Vec<f64> = self.points.iter().map(|p| (p - centre).norm().max(1e-9)).collect();
        let norm: f64 = distances.iter().map(|r| 1.0 / (r * r)).sum();
        let overlap = |line: &Line| {
            let terms = line.pressure.iter().zip(&distances);
            terms
                .map(|(p, &r)| p * Complex64::from_polar(1.0 / r, line.wavenumber * r))
                .sum::<Complex64>()
                .norm_sqr()
        };
        self.lines.iter().map(overlap).sum::<f64>() / (norm * self.energy)
    }

    /// J with its first two derivatives. With S = ⟨g, p⟩ = Σ p h, h = exp(jkr)/r and u = ∂r/∂c:
    /// `∇h = h′ u`, `∇∇h = h″ uuᵀ + h′/r (1 − uuᵀ)`, `h′ = (jk − 1/r) h`, `h″ = ((jk − 1/r)² + 1/r²) h`; the norm ‖g‖² = Σ 1/r²
    /// likewise, and the quotient rule.
    pub(super) fn local(&self, centre: Vector3<f64>) -> Local {
        let rays: Vec<Ray> = self.points.iter().map(|p| Ray::between(centre, *p)).collect();
        let norm = Local {
            value: rays.iter().map(|ray| ray.r.powi(-2)).sum(),
            gradient: rays.iter().map(|ray| ray.u * (-2.0 * ray.r.powi(-3))).sum(),
            curvature: rays
                .iter()
                .map(|ray| (ray.uu * 8.0 - Matrix3::identity() * 2.0) * ray.r.powi(-4))
                .sum(),
        };
        let mut energy = Local { value: 0.0, gradient: Vector3::zeros(), curvature: Matrix3::zeros() };
        for line in &self.lines {
            energy.add(&line.overlap(&rays));
        }
        energy.over(&norm, self.energy)
    }
}

/// Pressure of one frequency at all points.
#[derive(Clone)]
pub(super) struct Line {
    wavenumber: f64,
    energy: f64,
    pressure: Vec<Complex64>,
}

impl Line {
    /// |⟨g, p⟩|² with its derivatives.
    fn overlap(&self, rays: &[Ray]) -> Local {
        let mut sum = Complex64::ZERO;
        let (mut slope, mut bend) = ([Vector3::zeros(); 2], [Matrix3::zeros(); 2]);
        for (p, ray) in self.pressure.iter().zip(rays) {
            let h = p * Complex64::from_polar(1.0 / ray.r, self.wavenumber * ray.r);
            let turn = Complex64::new(-1.0 / ray.r, self.wavenumber);
            let (first, across) = (h * turn, h * turn / ray.r);
            let along = h * (turn * turn + ray.r.powi(-2)) - across;
            sum += h;
            slope[0] += ray.u * first.re;
            slope[1] += ray.u * first.im;
            bend[0] += ray.uu * along.re + Matrix3::from_diagonal_element(across.re);
            bend[1] += ray.uu * along.im + Matrix3::from_diagonal_element(across.im);
        }
        let [real, imaginary] = slope;
        Local {
            value: sum.norm_sqr(),
            gradient: (real * sum.re + imaginary * sum.im) * 2.0,
            curvature: (real * real.transpose()
                + imaginary * imaginary.transpose()
                + bend[0] * sum.re
                + bend[1] * sum.im)
                * 2.0,
        }
    }
}

/// A function at a point with its first two derivatives.
pub(super) struct Local {
    pub(super) value: f64,
    pub(super) gradient: Vector3<f64>,
    pub(super) curvature: Matrix3<f64>,
}

impl Local {
    fn add(&mut self, other: &Self) {
        self.value += other.value;
        self.gradient += other.gradient;
        self.curvature += other.curvature;
    }

    /// The quotient of this function and `scale · divisor`.
    fn over(&self, divisor: &Self, scale: f64) -> Self {
        let n = divisor.value;
        let value = self.value / n;
        let gradient = (self.gradient - divisor.gradient * value) / n;
        let mixed = gradient * divisor.gradient.transpose();
        let curvature = (self.curvature - divisor.curvature * value - mixed - mixed.transpose()) / n;
        Self { value: value / scale, gradient: gradient / scale, curvature: curvature / scale }
    }
}

/// Distance r [m] from a centre to a point, its gradient u over the centre, and uuᵀ.
struct Ray {
    r: f64,
    u: Vector3<f64>,
    uu: Matrix3<f64>,
}

impl Ray {
    fn between(centre: Vector3<f64>, point: Vector3<f64>) -> Self {
        let r = (point - centre).norm().max(1e-9);
        let u = (centre - point) / r;
        Self { r, u, uu: u * u.transpose() }
    }
}
