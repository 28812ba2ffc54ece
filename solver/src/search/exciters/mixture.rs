//! Responses of all places, ready to be added up: the energy of a sum in each band.
//!
//! Places that play together add their pressures. With a share w of the sample f in a band, `√w p` of every place is kept, so that the
//! energy of two in the band is
//!
//! ```text
//! M₁ + M₂ + 2 Re Σ_f (√w p₁)* (√w p₂)
//! ```
//!
//! Each is taken to push as if it were alone, its own mobility under its foot: what the motion of one does to the force of another is left out
//! (the tests measure it against the full network). Single precision, and a base-two logarithm good to 2e-5 dB.

use super::feet::Feet;
use super::judge::Judge;
use super::reach::Reach;
use super::source::Source;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use ndarray::Array2;
use rayon::prelude::*;

/// Places side by side in a tile.
pub(super) const LANES: usize = 32;
/// Partners that a tile meets at a time.
pub(super) const ROWS: usize = 4;
/// Places whose responses are computed at a time.
const BLOCK: usize = 64;
/// Keeps the logarithm of silence finite.
const LEAST: f32 = 1e-20;
/// Decibels per doubling.
const DOUBLING: f32 = 3.010_3;

/// Places, their responses by band, and what counts.
#[derive(Clone, Debug)]
pub struct Mixture {
    /// Centres of the feet [m].
    pub(super) positions: Vec<[f64; 2]>,
    /// Least distance [m] between the centres of two feet.
    pub(super) apart: f64,
    plan: Plan,
    /// Responses (places, seats × bands × samples × 2) over their common root mean square.
    values: Array2<f32>,
    /// Energies (places, seats × bands).
    energies: Array2<f32>,
    tiles: Vec<Tile>,
}

/// How a response is laid out and what it costs.
#[derive(Clone, Debug)]
struct Plan {
    seats: usize,
    /// Samples of each band.
    samples: Vec<usize>,
    /// Cost per decibel of unevenness, and per decibel of level less.
    evenness: f32,
    level: f32,
}

/// [`LANES`] places side by side: (values, lanes) and (energies, lanes), silent where there is no place.
#[derive(Clone, Debug)]
pub(super) struct Tile {
    pub first: usize,
    values: Vec<[f32; LANES]>,
    energies: Vec<[f32; LANES]>,
}

/// A response that others are added to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fixed<'a> {
    pub values: &'a [f32],
    pub energies: &'a [f32],
}

impl Mixture {
    /// All `feet` with exciters driven by `drive`, to be glued no nearer than `apart` [m] to each other. Of what places cost, evenness and
    /// level count: `weights` per decibel.
    pub fn new(
        reach: &Reach,
        feet: &Feet,
        drive: &[Source],
        judge: &Judge,
        (apart, weights): (f64, [f64; 2]),
    ) -> Self {
        let samples: Vec<usize> = judge.cells.iter().map(Vec::len).collect();
        let width = 2 * reach.seats * samples.iter().sum::<usize>();
        let mut values = Array2::zeros((feet.len(), width));
        let blocks = values.axis_chunks_iter_mut(ndarray::Axis(0), BLOCK).into_par_iter().enumerate();
        blocks.for_each(|(block, mut rows)| {
            let places = block * BLOCK..block * BLOCK + rows.nrows();
            let responses = reach.responses(feet, places, drive);
            for (place, mut row) in rows.outer_iter_mut().enumerate() {
                let mut next = row.iter_mut();
                for seat in 0..reach.seats {
                    for &(sample, weight) in judge.cells.iter().flatten() {
                        let p = responses[(sample, seat, place)] * weight.sqrt() as f32;
                        [p.re, p.im].into_iter().zip(&mut next).for_each(|(part, value)| *value = part);
                    }
                }
            }
        });
        let mean = values.iter().map(|v| f64::from(*v).powi(2)).sum::<f64>() / (values.len().max(1) as f64);
        values.mapv_inplace(|v| v / (mean.sqrt() as f32).max(f32::MIN_POSITIVE));
        let plan =
            Plan { seats: reach.seats, samples, evenness: weights[0] as f32, level: weights[1] as f32 };
        Self::laid_out(feet.positions.clone(), apart, plan, values)
    }

    fn laid_out(positions: Vec<[f64; 2]>, apart: f64, plan: Plan, values: Array2<f32>) -> Self {
        let bands = plan.seats * plan.samples.len();
        let mut energies = Array2::zeros((values.nrows(), bands));
        for (row, mut out) in values.outer_iter().zip(energies.outer_iter_mut()) {
            let row = row.as_slice().expect("rows of a fresh array are contiguous");
            out.iter_mut().zip(plan.energies(row)).for_each(|(energy, own)| *energy = own);
        }
        let starts: Vec<usize> = (0..values.nrows()).step_by(LANES).collect();
        let tiles = starts.into_par_iter().map(|first| Tile::of(first, &values, &energies)).collect();
        Self { positions, apart, plan, values, energies, tiles }
    }

    /// Number of places.
    pub fn len(&self) -> usize {
        self.positions.len()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty()
    }

    pub(super) fn tiles(&self) -> &[Tile] {
        &self.tiles
    }

    /// The response of one place.
    pub(super) fn fixed(&self, place: usize) -> Fixed<'_> {
        let (values, energies) = (self.values.row(place), self.energies.row(place));
        let contiguous = "rows of a fresh array are contiguous";
        Fixed {
            values: values.to_slice().expect(contiguous),
            energies: energies.to_slice().expect(contiguous),
        }
    }

    /// The summed response of several places, and its energies.
    pub(super) fn sum(&self, places: &[usize]) -> (Vec<f32>, Vec<f32>) {
        let mut sum = vec![0.0; self.values.ncols()];
        for &place in places {
            sum.iter_mut().zip(self.fixed(place).values).for_each(|(sum, value)| *sum += value);
        }
        let energies = self.plan.energies(&sum).collect();
        (sum, energies)
    }

    /// True when two feet do not get in each other's way.
    pub(super) fn clear(&self, a: usize, b: usize) -> bool {
        let [p, q] = [a, b].map(|place| self.positions[place]);
        a != b && (p[0] - q[0]).hypot(p[1] - q[1]) >= self.apart
    }

    /// Costs of adding each place of `tile` to each of the `fixed` responses.
    pub(super) fn costs(&self, tile: &Tile, fixed: &[Fixed; ROWS]) -> [[f32; LANES]; ROWS] {
        let mut costs = [[0.0; LANES]; ROWS];
        costs_of_rows(&self.plan, tile, fixed, &mut costs);
        costs
    }

    /// Costs of adding each place of `tile` to a response.
    pub(super) fn cost(&self, tile: &Tile, fixed: Fixed) -> [f32; LANES] {
        let mut costs = [[0.0; LANES]];
        costs_of_one(&self.plan, tile, &[fixed], &mut costs);
        costs[0]
    }
}

impl Plan {
    /// Energies of a response in all bands, seat by seat.
    fn energies<'a>(&'a self, values: &'a [f32]) -> impl Iterator<Item = f32> + 'a {
        let lengths = (0..self.seats).flat_map(|_| &self.samples);
        let ends = lengths.scan(0, |end, &count| {
            let start = *end;
            *end += 2 * count;
            Some(start..*end)
        });
        ends.map(|range| values[range].iter().map(|v| v * v).sum())
    }
}

impl Tile {
    fn of(first: usize, values: &Array2<f32>, energies: &Array2<f32>) -> Self {
        let side_by_side = |table: &Array2<f32>| {
            let mut lanes = vec![[0.0; LANES]; table.ncols()];
            for (lane, row) in table.outer_iter().skip(first).take(LANES).enumerate() {
                lanes.iter_mut().zip(row).for_each(|(lanes, &value)| lanes[lane] = value);
            }
            lanes
        };
        Self { first, values: side_by_side(values), energies: side_by_side(energies) }
    }
}

#[multiversion(targets = "simd")]
fn costs_of_rows(plan: &Plan, tile: &Tile, fixed: &[Fixed; ROWS], costs: &mut [[f32; LANES]; ROWS]) {
    if target_cfg_f!(target_feature = "fma") {
        mixed::<true, ROWS>(plan, tile, fixed, costs);
    } else {
        mixed::<false, ROWS>(plan, tile, fixed, costs);
    }
}

#[multiversion(targets = "simd")]
fn costs_of_one(plan: &Plan, tile: &Tile, fixed: &[Fixed; 1], costs: &mut [[f32; LANES]; 1]) {
    if target_cfg_f!(target_feature = "fma") {
        mixed::<true, 1>(plan, tile, fixed, costs);
    } else {
        mixed::<false, 1>(plan, tile, fixed, costs);
    }
}

/// Unevenness and level of every sum, as a cost: levels of thirds of an octave from adjacent sixths, seat by seat.
#[inline(always)]
fn mixed<const FMA: bool, const R: usize>(
    plan: &Plan,
    tile: &Tile,
    fixed: &[Fixed; R],
    costs: &mut [[f32; LANES]; R],
) {
    let (mut variance, mut mean) = ([[0.0f32; LANES]; R], [[0.0f32; LANES]; R]);
    let (mut entry, mut band) = (0, 0);
    let share = ((plan.samples.len() - 1) as f32).recip();
    for _ in 0..plan.seats {
        let (mut sum, mut squares) = ([[0.0f32; LANES]; R], [[0.0f32; LANES]; R]);
        let mut before = [[0.0f32; LANES]; R];
        for (position, &count) in plan.samples.iter().enumerate() {
            let energy = energy::<FMA, R>(tile, fixed, band, entry..entry + count);
            (band, entry) = (band + 1, entry + count);
            if position > 0 {
                for row in 0..R {
                    for lane in 0..LANES {
                        let level = log2::<FMA>((before[row][lane] + energy[row][lane]).max(LEAST));
                        sum[row][lane] += level;
                        squares[row][lane] = fused::<FMA>(level, level, squares[row][lane]);
                    }
                }
            }
            before = energy;
        }
        for row in 0..R {
            for lane in 0..LANES {
                let average = sum[row][lane] * share;
                variance[row][lane] += (squares[row][lane] * share - average * average).max(0.0);
                mean[row][lane] += average;
            }
        }
    }
    let seats = (plan.seats as f32).recip();
    for row in 0..R {
        for lane in 0..LANES {
            let unevenness = (variance[row][lane] * seats).sqrt();
            costs[row][lane] = DOUBLING * (plan.evenness * unevenness - plan.level * mean[row][lane] * seats);
        }
    }
}

/// Energies of the sums in one band.
#[inline(always)]
fn energy<const FMA: bool, const R: usize>(
    tile: &Tile,
    fixed: &[Fixed; R],
    band: usize,
    entries: std::ops::Range<usize>,
) -> [[f32; LANES]; R] {
    let mut cross = [[0.0f32; LANES]; R];
    for part in 2 * entries.start..2 * entries.end {
        let other = &tile.values[part];
        for row in 0..R {
            let own = fixed[row].values[part];
            for lane in 0..LANES {
                cross[row][lane] = fused::<FMA>(own, other[lane], cross[row][lane]);
            }
        }
    }
    let other = &tile.energies[band];
    for row in 0..R {
        let own = fixed[row].energies[band];
        for lane in 0..LANES {
            cross[row][lane] = fused::<FMA>(2.0, cross[row][lane], own + other[lane]).max(0.0);
        }
    }
    cross
}

#[inline(always)]
fn fused<const FMA: bool>(a: f32, b: f32, c: f32) -> f32 {
    if FMA { a.mul_add(b, c) } else { a * b + c }
}

/// Logarithm to base two of a positive number: exponent, and `t + t(1 − t) q(t)` of the mantissa 1 + t, q a polynomial through
/// Chebyshev nodes; largest error 7e-6.
#[inline(always)]
fn log2<const FMA: bool>(x: f32) -> f32 {
    const Q: [f32; 5] = [0.442_659_44, -0.276_728_33, 0.184_862_23, -0.098_387_62, 0.026_273_05];
    let bits = x.to_bits();
    let exponent = (bits >> 23) as i32 - 127;
    let t = f32::from_bits((bits & 0x007f_ffff) | 0x3f80_0000) - 1.0;
    let q = Q[..4].iter().rev().fold(Q[4], |sum, &term| fused::<FMA>(sum, t, term));
    exponent as f32 + fused::<FMA>(t * (1.0 - t), q, t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_logarithm_is_one() {
        for k in 0..100_000 {
            let x = 1e-18f32 * 1e36f32.powf(k as f32 / 1e5);
            let error = f64::from(log2::<false>(x)) - f64::from(x).log2();
            assert!(error.abs() < 1.5e-5, "{x:e}: {error:e}");
        }
    }
}
