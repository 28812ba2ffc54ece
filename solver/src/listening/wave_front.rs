//! Acoustic centre by wave fronts.

use super::findings::WaveFrontCentre;
use nalgebra::{Matrix3, SymmetricEigen, Vector3};
use ndarray::ArrayView2;
use num_complex::Complex64;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Least share of the pressure's energy that makes a centre worth stating. On two crossed arcs a point source explains a quarter
/// of the energy of any other point source, so less than that says nothing.
const LEAST_FIT: f64 = 0.25;

/// Power of the explained share in the weight of rival centres: a rival 1 dB worse counts for a sixth.
const RIVALRY: i32 = 8;

/// Rivals below this share of the best one's fit are side lobes of one source and do not count.
const LEAST_RIVAL: f64 = 0.5;

/// Frequencies used while looking for rivals; the result uses all.
const SCOUTS: usize = 4;

/// Centre of the spherical waves that explain the pressure over `points` [m] best, over the `frequencies` [Hz] of one band.
///
/// At every frequency the model is `p ≈ A g(c)`, `g_n(c) = exp(−jk|r_n − c|) / |r_n − c|` with free complex A. The centre c maximises
/// the explained share of energy summed over frequency, `J(c) = Σ_f |⟨g, p⟩|² / ‖g‖²  /  Σ_f ‖p‖²` (least squares on phase and
/// level together). `pressure` [Pa RMS] is (frequencies, points); the points should spread over a horizontal and a vertical arc
/// in front of the panel, whose `bounding_box` (width, height) [m] has its lower left corner at the origin.
///
/// Far apart sources make several maxima of J. Each is a centre one may hear; the result is their mean, weighted by `J⁸`, so that two equal
/// sources have theirs half-way (exactly, if the points lie symmetrically about them), a clear winner stands alone, and nothing jumps
/// when one overtakes the other.
/// `spread` is the standard deviation over the centres of the single frequencies and their rivals, weighted by energy.
///
/// `None` if nothing sounds, fewer than four points are given, the best wave explains less than a quarter of the energy, or the
/// maximum lies further out than half a panel beyond its edges or one panel before or behind it.
///
/// The centre as the origin of spherical wave fronts goes back to microphone calibration (F. Jacobsen, S. Barrera Figueroa &
/// K. Rasmussen, J. Acoust. Soc. Am. 115 (2004) 1468; IEC 61094-3) and, for loudspeakers, J. Vanderkooy, "The acoustic center: a new
/// concept for loudspeakers at low frequencies", AES Convention 121 (2006), paper 6912; all cited from memory. The fit over a whole
/// arc and the treatment of rivals are our own.
pub fn wave_front_centre(
    points: &[[f64; 3]],
    frequencies: &[f64],
    pressure: ArrayView2<Complex64>,
    sound_speed: f64,
    bounding_box: (f64, f64),
) -> Option<WaveFrontCentre> {
    let waves = Waves::new(points, frequencies, pressure, sound_speed)?;
    let region = Region::around(bounding_box);
    let mut centres = waves.climb_all(&waves.scout(bounding_box), &region);
    centres.retain(|c| !region.on_limit(c.position));
    let best = centres.iter().map(|c| c.fit).fold(0.0, f64::max);
    if best < LEAST_FIT {
        return None;
    }
    let (position, _) = mean_and_variance(&centres);
    let spread = waves.spread(&centres, position, &region);
    Some(WaveFrontCentre { position: position.into(), spread: spread.into(), fit: best })
}

/// A local maximum of the explained share.
#[derive(Clone, Copy, Debug)]
struct Maximum {
    position: Vector3<f64>,
    fit: f64,
}

/// Mean and variance of rivals, weighted by the eighth power of their fit.
fn mean_and_variance(rivals: &[Maximum]) -> (Vector3<f64>, Vector3<f64>) {
    let best = rivals.iter().map(|c| c.fit).fold(f64::MIN_POSITIVE, f64::max);
    let weight = |c: &Maximum| (c.fit / best).powi(RIVALRY);
    let total: f64 = rivals.iter().map(weight).sum();
    let mean = rivals.iter().map(|c| c.position * weight(c)).sum::<Vector3<f64>>() / total;
    let square = |v: Vector3<f64>| v.component_mul(&v);
    let variance = rivals.iter().map(|c| square(c.position - mean) * weight(c)).sum::<Vector3<f64>>() / total;
    (mean, variance)
}

/// Where a centre may lie.
struct Region {
    low: Vector3<f64>,
    high: Vector3<f64>,
}

impl Region {
    fn around((width, height): (f64, f64)) -> Self {
        let reach = width.max(height);
        Self {
            low: Vector3::new(-0.5 * width, -0.5 * height, -reach),
            high: Vector3::new(1.5 * width, 1.5 * height, reach),
        }
    }

    fn clamp(&self, position: Vector3<f64>) -> Vector3<f64> {
        position.sup(&self.low).inf(&self.high)
    }

    /// True if the clamp acts on any coordinate.
    fn on_limit(&self, position: Vector3<f64>) -> bool {
        (0..3).any(|axis| position[axis] <= self.low[axis] || position[axis] >= self.high[axis])
    }

    /// Which coordinates sit on a limit with an ascent that leads beyond it.
    fn blocked(&self, position: Vector3<f64>, ascent: Vector3<f64>) -> [bool; 3] {
        [0, 1, 2].map(|axis| {
            (position[axis] <= self.low[axis] && ascent[axis] < 0.0)
                || (position[axis] >= self.high[axis] && ascent[axis] > 0.0)
        })
    }
}

/// Pressure of one frequency at all points.
#[derive(Clone)]
struct Line {
    wavenumber: f64,
    energy: f64,
    pressure: Vec<Complex64>,
}

/// Everything that is fitted.
struct Waves {
    points: Vec<Vector3<f64>>,
    lines: Vec<Line>,
    energy: f64,
}

impl Waves {
    fn new(
        points: &[[f64; 3]],
        frequencies: &[f64],
        pressure: ArrayView2<Complex64>,
        sound_speed: f64,
    ) -> Option<Self> {
        let line = |(&f, row): (&f64, ndarray::ArrayView1<Complex64>)| Line {
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
    fn with(&self, lines: impl Iterator<Item = usize>) -> Option<Self> {
        Self::from_lines(self.points.clone(), lines.map(|i| self.lines[i].clone()).collect())
    }

    fn shortest_wavelength(&self) -> f64 {
        TAU / self.lines.iter().map(|l| l.wavenumber).fold(f64::MIN_POSITIVE, f64::max)
    }

    /// Explained share J at `centre`.
    fn explained(&self, centre: Vector3<f64>) -> f64 {
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

    /// Gradient of J [1/m]. With S = ⟨g, p⟩ and u = ∂r/∂c: `∂S = Σ p g* (jk − 1/r) u`, `∂‖g‖² = −2 Σ u/r³`.
    fn gradient(&self, centre: Vector3<f64>) -> Vector3<f64> {
        let rays: Vec<(f64, Vector3<f64>)> = self
            .points
            .iter()
            .map(|p| {
                let r = (p - centre).norm().max(1e-9);
                (r, (centre - p) / r)
            })
            .collect();
        let norm: f64 = rays.iter().map(|(r, _)| 1.0 / (r * r)).sum();
        let norm_slope: Vector3<f64> = rays.iter().map(|(r, u)| u * (-2.0 / r.powi(3))).sum();
        let slope = |line: &Line| {
            let mut sum = Complex64::ZERO;
            let (mut real, mut imaginary) = (Vector3::zeros(), Vector3::zeros());
            for (p, &(r, u)) in line.pressure.iter().zip(&rays) {
                let term = p * Complex64::from_polar(1.0 / r, line.wavenumber * r);
                let turned = term * Complex64::new(-1.0 / r, line.wavenumber);
                sum += term;
                real += u * turned.re;
                imaginary += u * turned.im;
            }
            (real * sum.re + imaginary * sum.im) * (2.0 / norm)
                - norm_slope * (sum.norm_sqr() / (norm * norm))
        };
        self.lines.iter().map(slope).sum::<Vector3<f64>>() / self.energy
    }

    /// Matrix of second derivatives by central differences of the gradient, symmetrised.
    fn curvature(&self, centre: Vector3<f64>) -> Matrix3<f64> {
        let step = 1e-4 * self.shortest_wavelength();
        let column = |axis: usize| {
            let offset = Vector3::ith(axis, step);
            (self.gradient(centre + offset) - self.gradient(centre - offset)) / (2.0 * step)
        };
        let matrix = Matrix3::from_columns(&[column(0), column(1), column(2)]);
        0.5 * (matrix + matrix.transpose())
    }

    /// Newton's method uphill from `start`: curvatures are taken by magnitude, steps end at an eighth of a wavelength and are halved
    /// until they rise.
    fn climb(&self, start: Vector3<f64>, region: &Region) -> Maximum {
        let longest = self.shortest_wavelength() / 8.0;
        let mut top = Maximum { position: start, fit: self.explained(start) };
        for _ in 0..200 {
            let mut step = self.newton_step(top.position, region);
            step *= (longest / step.norm()).min(1.0);
            let Some(higher) = self.higher(top, step, region) else { break };
            let moved = (higher.position - top.position).norm();
            top = higher;
            if moved < 1e-9 {
                break;
            }
        }
        top
    }

    fn newton_step(&self, position: Vector3<f64>, region: &Region) -> Vector3<f64> {
        let mut ascent = self.gradient(position);
        let mut curvature = self.curvature(position);
        for (axis, blocked) in region.blocked(position, ascent).into_iter().enumerate() {
            if blocked {
                ascent[axis] = 0.0;
                curvature.fill_row(axis, 0.0);
                curvature.fill_column(axis, 0.0);
            }
        }
        let eigen = SymmetricEigen::new(curvature);
        let floor = (1e-6 * eigen.eigenvalues.amax()).max(f64::MIN_POSITIVE);
        (0..3)
            .map(|i| {
                let direction = eigen.eigenvectors.column(i);
                direction * (direction.dot(&ascent) / eigen.eigenvalues[i].abs().max(floor))
            })
            .sum()
    }

    /// The first of `step`, `step/2`, … that rises.
    fn higher(&self, from: Maximum, mut step: Vector3<f64>, region: &Region) -> Option<Maximum> {
        for _ in 0..24 {
            let position = region.clamp(from.position + step);
            let fit = self.explained(position);
            if fit > from.fit {
                return Some(Maximum { position, fit });
            }
            step *= 0.5;
        }
        None
    }

    /// Climbs from every start and keeps distinct summits whose fit rivals the best one's.
    fn climb_all(&self, starts: &[Vector3<f64>], region: &Region) -> Vec<Maximum> {
        let mut summits: Vec<Maximum> = starts.par_iter().map(|&start| self.climb(start, region)).collect();
        summits.sort_by(|a, b| b.fit.total_cmp(&a.fit));
        let apart = self.shortest_wavelength() / 20.0;
        let mut distinct: Vec<Maximum> = vec![];
        for summit in summits {
            let known = distinct.iter().any(|d| (d.position - summit.position).norm() < apart);
            if !known && summit.fit >= LEAST_RIVAL * distinct.first().map_or(0.0, |d| d.fit) {
                distinct.push(summit);
            }
        }
        distinct
    }

    /// Local maxima of J on a grid over the panel, a third of a wavelength behind, on and before it, from a few of the frequencies.
    fn scout(&self, (width, height): (f64, f64)) -> Vec<Vector3<f64>> {
        let last = self.lines.len() - 1;
        let few = SCOUTS.min(self.lines.len());
        let picked = (0..few).map(|i| if few == 1 { 0 } else { i * last / (few - 1) });
        let Some(scouts) = self.with(picked) else { return vec![] };
        let spacing = self.shortest_wavelength() / 4.0;
        let (x, y) = (grid(width, spacing), grid(height, spacing));
        let depth = (self.shortest_wavelength() / 3.0).min(0.5 * width.max(height));
        let z = [-depth, 0.0, depth];
        let at = |n: usize| Vector3::new(x[n / (3 * y.len())], y[n / 3 % y.len()], z[n % 3]);
        let share: Vec<f64> =
            (0..3 * x.len() * y.len()).into_par_iter().map(|n| scouts.explained(at(n))).collect();
        let floor = LEAST_RIVAL * share.iter().copied().fold(0.0, f64::max);
        let summit =
            |n: &usize| share[*n] >= floor && neighbours(*n, x.len(), y.len()).all(|m| share[m] <= share[*n]);
        (0..share.len()).filter(summit).map(at).collect()
    }

    /// Standard deviation about `mean` of the single frequencies' centres.
    fn spread(&self, starts: &[Maximum], mean: Vector3<f64>, region: &Region) -> Vector3<f64> {
        let starts: Vec<Vector3<f64>> = starts.iter().map(|c| c.position).collect();
        let deviation = |i: usize| -> Vector3<f64> {
            let Some(single) = self.with(std::iter::once(i)) else { return Vector3::zeros() };
            let (centre, variance) = mean_and_variance(&single.climb_all(&starts, region));
            let away = centre - mean;
            (variance + away.component_mul(&away)) * single.energy
        };
        let total: Vector3<f64> = (0..self.lines.len()).map(deviation).sum();
        (total / self.energy).map(f64::sqrt)
    }
}

/// Evenly spaced coordinates over 0…`length`, ends included, at most `spacing` apart.
fn grid(length: f64, spacing: f64) -> Vec<f64> {
    let cells = ((length / spacing).ceil() as usize).clamp(4, 400);
    (0..=cells).map(|i| length * i as f64 / cells as f64).collect()
}

/// Neighbours of node `n` of a grid (nx, ny, 3), diagonals included.
fn neighbours(n: usize, nx: usize, ny: usize) -> impl Iterator<Item = usize> {
    let (i, j, l) = (n / (3 * ny), n / 3 % ny, n % 3);
    let around = |centre: usize, count: usize| centre.saturating_sub(1)..=(centre + 1).min(count - 1);
    around(i, nx)
        .flat_map(move |a| around(j, ny).flat_map(move |b| around(l, 3).map(move |c| (a * ny + b) * 3 + c)))
        .filter(move |&m| m != n)
}

#[cfg(test)]
#[path = "wave_front_tests.rs"]
mod tests;
