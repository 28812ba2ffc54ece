//! Acoustic centre by wave fronts.

use super::findings::WaveFrontCentre;
use super::spherical_wave::{Local, Waves};
use nalgebra::{SymmetricEigen, Vector3};
use ndarray::ArrayView2;
use num_complex::Complex64;
use rayon::prelude::*;

/// Least share of the pressure's energy that makes a centre worth stating. On two crossed arcs a point source explains a quarter
/// of the energy of any other point source, so less than that says nothing.
const LEAST_FIT: f64 = 0.25;

/// Power of the explained share in the weight of rival centres: a rival 1 dB worse counts for a sixth.
const RIVALRY: i32 = 8;

/// Rivals below this share of the best one's fit are side lobes of one source and do not count.
const LEAST_RIVAL: f64 = 0.5;

/// Frequencies used while looking for rivals; the result uses all.
const SCOUTS: usize = 3;

/// Centre of the spherical waves that explain the pressure over `points` [m] best, over the `frequencies` [Hz] of one band.
///
/// At every frequency the model is `p ≈ A g(c)`, `g_n(c) = exp(−jk|r_n − c|) / |r_n − c|` with free complex A. The centre c maximises
/// the explained share of energy summed over frequency, `J(c) = Σ_f |⟨g, p⟩|² / ‖g‖²  /  Σ_f ‖p‖²` (least squares on phase and
/// level together). `pressure` [Pa RMS] is (frequencies, points), computed at just these points: far-field values must come with
/// points so far away that they are in the far field. The points should spread over a horizontal and a vertical arc in front of
/// the panel, whose `bounding_box` (width, height) [m] has its lower left corner at the origin.
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

impl Waves {
    /// Newton's method uphill from `start`: curvatures are taken by magnitude, steps end at an eighth of a wavelength and are halved
    /// until they rise.
    fn climb(&self, start: Vector3<f64>, region: &Region) -> Maximum {
        let longest = self.shortest_wavelength() / 8.0;
        let (mut position, mut here) = (start, self.local(start));
        for _ in 0..200 {
            let mut step = newton_step(position, &here, region);
            step *= (longest / step.norm()).min(1.0);
            let Some((higher, there)) = self.higher(position, here.value, step, region) else { break };
            let moved = (higher - position).norm();
            (position, here) = (higher, there);
            if moved < 1e-9 {
                break;
            }
        }
        Maximum { position, fit: here.value }
    }

    /// The first of `step`, `step/2`, … that rises.
    fn higher(
        &self,
        from: Vector3<f64>,
        fit: f64,
        mut step: Vector3<f64>,
        region: &Region,
    ) -> Option<(Vector3<f64>, Local)> {
        for _ in 0..24 {
            let position = region.clamp(from + step);
            let there = self.local(position);
            if there.value > fit {
                return Some((position, there));
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

    /// Local maxima of J on a grid over the panel's plane, from a few of the frequencies. Depth is left to the climb: a panel's sound
    /// starts in its plane, and a lobe of J is about a wavelength deep.
    fn scout(&self, (width, height): (f64, f64)) -> Vec<Vector3<f64>> {
        let last = self.lines.len() - 1;
        let few = SCOUTS.min(self.lines.len());
        let picked = (0..few).map(|i| if few == 1 { 0 } else { i * last / (few - 1) });
        let Some(scouts) = self.with(picked) else { return vec![] };
        let spacing = self.shortest_wavelength() / 4.0;
        let (x, y) = (grid(width, spacing), grid(height, spacing));
        let at = |n: usize| Vector3::new(x[n / y.len()], y[n % y.len()], 0.0);
        let share: Vec<f64> =
            (0..x.len() * y.len()).into_par_iter().map(|n| scouts.explained(at(n))).collect();
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

/// Step to the top of the local quadratic, along the coordinates that may move.
fn newton_step(position: Vector3<f64>, here: &Local, region: &Region) -> Vector3<f64> {
    let (mut ascent, mut curvature) = (here.gradient, here.curvature);
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

/// Evenly spaced coordinates over 0…`length`, ends included, at most `spacing` apart.
fn grid(length: f64, spacing: f64) -> Vec<f64> {
    let cells = ((length / spacing).ceil() as usize).clamp(4, 400);
    (0..=cells).map(|i| length * i as f64 / cells as f64).collect()
}

/// Neighbours of node `n` of a grid (nx, ny), diagonals included.
fn neighbours(n: usize, nx: usize, ny: usize) -> impl Iterator<Item = usize> {
    let around = |centre: usize, count: usize| centre.saturating_sub(1)..=(centre + 1).min(count - 1);
    around(n / ny, nx).flat_map(move |i| around(n % ny, ny).map(move |j| i * ny + j)).filter(move |&m| m != n)
}

#[cfg(test)]
#[path = "wave_front_tests.rs"]
mod tests;
