//! Which points of the unit cube a study looks at, one coordinate for each varied value.
//!
//! A point follows from its number, the seed and the method alone, so any shard, after any interruption, makes the same points.

use super::adaptive;
use serde::{Deserialize, Serialize};
use sobol::Sobol;
use sobol::params::JoeKuoD6;

/// Bits of a coordinate: all that an `f64` between 0 and 1 holds.
const BITS: u32 = 53;

/// How points are chosen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Design {
    /// Every combination of levels; the last value changes fastest. A coordinate is that of the level: see [`level`].
    Grid {
        /// Levels of every varied value.
        levels: Vec<usize>,
    },
    /// Independent uniform points.
    Random {
        /// How many.
        count: usize,
        /// Seed.
        seed: u64,
    },
    /// Sobol's sequence with the direction numbers of Joe and Kuo (2008, SIAM J. Sci. Comput. 30, 2635), shifted digitally at random: every
    /// part of the cube is visited as often as its size demands.
    LowDiscrepancy {
        /// How many.
        count: usize,
        /// Seed.
        seed: u64,
    },
    /// Pairs of points A and B of [`LowDiscrepancy`](Self::LowDiscrepancy), and for every varied value A with that one coordinate of B
    /// (Saltelli et al. 2010, Comput. Phys. Commun. 181, 259): from these follow first and total indices of sensitivity.
    Sensitivity {
        /// Pairs of points.
        base: usize,
        /// Seed.
        seed: u64,
    },
    /// Two generations of [`LowDiscrepancy`](Self::LowDiscrepancy), then others where the results so far make better ones likely: see
    /// [`adaptive`](super::adaptive).
    Adaptive {
        /// How many.
        count: usize,
        /// Seed.
        seed: u64,
    },
}

impl Design {
    /// How many points, with `values` varied values.
    pub fn count(&self, values: usize) -> usize {
        match self {
            Self::Grid { levels } => levels.iter().product(),
            Self::Random { count, .. }
            | Self::LowDiscrepancy { count, .. }
            | Self::Adaptive { count, .. } => *count,
            Self::Sensitivity { base, .. } => base * (values + 2),
        }
    }

    /// All points that are known before anything is computed, in order, with `values` varied values, each coordinate in [0, 1).
    pub fn points(&self, values: usize) -> Vec<Vec<f64>> {
        match self {
            Self::Grid { levels } => (0..self.count(values)).map(|number| grid(number, levels)).collect(),
            Self::Random { count, seed } => {
                (0..*count).map(|number| (0..values).map(|v| random(*seed, number, v)).collect()).collect()
            }
            Self::LowDiscrepancy { count, seed } => low_discrepancy(*count, values, *seed),
            Self::Adaptive { count, seed } => low_discrepancy(adaptive::first(*count), values, *seed),
            Self::Sensitivity { base, seed } => exchanged(&low_discrepancy(*base, 2 * values, *seed), values),
        }
    }
}

/// The level among `levels` at coordinate `u`.
pub fn level(u: f64, levels: usize) -> usize {
    ((u * levels as f64) as usize).min(levels.saturating_sub(1))
}

/// The middle of each level's share.
fn grid(number: usize, levels: &[usize]) -> Vec<f64> {
    let mut rest = number;
    let mut point = vec![0.0; levels.len()];
    for (coordinate, &count) in point.iter_mut().zip(levels).rev() {
        *coordinate = ((rest % count) as f64 + 0.5) / count as f64;
        rest /= count;
    }
    point
}

/// The first bits of BLAKE3 over seed, number and value.
fn random(seed: u64, number: usize, value: usize) -> f64 {
    (bits("random point", [seed, number as u64, value as u64]) >> (64 - BITS)) as f64
        * 0.5f64.powi(BITS as i32)
}

fn bits(purpose: &str, numbers: [u64; 3]) -> u64 {
    let [a, b, c, d, e, f, g, h, ..] = seed_of(purpose, numbers);
    u64::from_le_bytes([a, b, c, d, e, f, g, h])
}

/// BLAKE3 over a purpose and numbers: what random numbers begin from.
pub(super) fn seed_of(purpose: &str, numbers: [u64; 3]) -> [u8; 32] {
    let mut digest = blake3::Hasher::new();
    digest.update(purpose.as_bytes());
    numbers.iter().for_each(|number| {
        digest.update(&number.to_le_bytes());
    });
    digest.finalize().into()
}

fn low_discrepancy(count: usize, values: usize, seed: u64) -> Vec<Vec<f64>> {
    let shifts: Vec<u64> =
        (0..values).map(|v| bits("digital shift", [seed, v as u64, 0]) >> (64 - BITS)).collect();
    let whole = (1u64 << BITS) as f64;
    let shifted = |(u, shift): (f64, &u64)| ((u * whole) as u64 ^ shift) as f64 / whole;
    let sequence = Sobol::<f64>::new(values, &JoeKuoD6::extended());
    sequence.take(count).map(|point| point.into_iter().zip(&shifts).map(shifted).collect()).collect()
}

/// A, B, and A with one coordinate of B after the other, pair by pair.
fn exchanged(pairs: &[Vec<f64>], values: usize) -> Vec<Vec<f64>> {
    let of_pair = |pair: &Vec<f64>| {
        let (a, b) = (pair[..values].to_vec(), pair[values..].to_vec());
        let one = |v: usize| (0..values).map(|i| if i == v { b[i] } else { a[i] }).collect::<Vec<_>>();
        let mixed: Vec<Vec<f64>> = (0..values).map(one).collect();
        [vec![a.clone(), b.clone()], mixed].concat()
    };
    pairs.iter().flat_map(of_pair).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grid_has_every_combination_once_and_the_last_value_changes_fastest() {
        let design = Design::Grid { levels: vec![2, 3, 4] };
        let points = design.points(3);
        let levels: Vec<[usize; 3]> =
            points.iter().map(|p| [level(p[0], 2), level(p[1], 3), level(p[2], 4)]).collect();
        assert_eq!(levels.len(), 24);
        assert_eq!(levels[..5], [[0, 0, 0], [0, 0, 1], [0, 0, 2], [0, 0, 3], [0, 1, 0]]);
        assert!(levels.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn points_without_shift_are_those_of_the_published_direction_numbers() {
        // scipy 1.17.1, scipy.stats.qmc.Sobol(d=5, scramble=False).random(1024), printed by validation/recompute/designs.py.
        let expected: [(usize, [f64; 5]); 5] = [
            (1, [0.5, 0.5, 0.5, 0.5, 0.5]),
            (2, [0.75, 0.25, 0.25, 0.25, 0.75]),
            (3, [0.25, 0.75, 0.75, 0.75, 0.25]),
            (6, [0.625, 0.125, 0.875, 0.625, 0.625]),
            (1000, [0.2197265625, 0.0966796875, 0.5185546875, 0.6767578125, 0.2802734375]),
        ];
        let points: Vec<Vec<f64>> = Sobol::<f64>::new(5, &JoeKuoD6::extended()).take(1001).collect();
        for (number, point) in expected {
            assert_eq!(points[number], point, "point {number}");
        }
    }

    /// Warnock's formula for the squared centred L2 discrepancy (Hickernell 1998, Math. Comput. 67, 299, eq. 5.1c).
    fn discrepancy(points: &[Vec<f64>]) -> f64 {
        let (n, d) = (points.len() as f64, points[0].len() as i32);
        let off = |x: f64| (x - 0.5).abs();
        let single = |x: &f64| 1.0 + 0.5 * off(*x) - 0.5 * off(*x).powi(2);
        let pair = |(x, y): (&f64, &f64)| 1.0 + 0.5 * (off(*x) + off(*y) - (x - y).abs());
        let singles: f64 = points.iter().map(|p| p.iter().map(single).product::<f64>()).sum();
        let over_pairs =
            |p: &Vec<f64>| points.iter().map(|q| p.iter().zip(q).map(pair).product::<f64>()).sum::<f64>();
        let pairs: f64 = points.iter().map(over_pairs).sum();
        (13.0f64 / 12.0).powi(d) - 2.0 / n * singles + pairs / (n * n)
    }

    /// Of the first 256 points in five dimensions, by scipy 1.17.1, scipy.stats.qmc.discrepancy (centred): validation/recompute/designs.py.
    const PLAIN_DISCREPANCY: f64 = 2.597_808_337_478_913e-4;

    #[test]
    fn low_discrepancy_is_as_low_as_published_and_far_below_chance() {
        let plain: Vec<Vec<f64>> = Sobol::<f64>::new(5, &JoeKuoD6::extended()).take(256).collect();
        approx::assert_relative_eq!(discrepancy(&plain), PLAIN_DISCREPANCY, max_relative = 1e-9);
        let mean = |design: &dyn Fn(u64) -> Design| {
            (0..16).map(|seed| discrepancy(&design(seed).points(5))).sum::<f64>() / 16.0
        };
        let low = mean(&|seed| Design::LowDiscrepancy { count: 256, seed });
        let chance = mean(&|seed| Design::Random { count: 256, seed });
        // Scrambled by scipy: 2.43e-4 in the mean of 16 seeds, by the same script.
        assert!(low < 1.5 * PLAIN_DISCREPANCY, "{low}");
        let expected = (1.25f64.powi(5) - (13.0f64 / 12.0).powi(5)) / 256.0;
        approx::assert_relative_eq!(chance, expected, max_relative = 0.15);
    }

    #[test]
    fn every_method_keeps_to_the_cube_and_to_its_seed() {
        for design in [
            |seed| Design::Random { count: 500, seed },
            |seed| Design::LowDiscrepancy { count: 500, seed },
            |seed| Design::Sensitivity { base: 100, seed },
        ] {
            let points = design(1).points(3);
            assert_eq!((points.len(), &points), (500, &design(1).points(3)));
            assert!(points.iter().flatten().all(|u| (0.0..1.0).contains(u)));
            assert_ne!(points, design(2).points(3));
        }
    }

    #[test]
    fn pairs_for_sensitivity_exchange_one_coordinate_at_a_time() {
        let points = Design::Sensitivity { base: 7, seed: 3 }.points(3);
        for rows in points.chunks(5) {
            let [a, b, mixed @ ..] = rows else { unreachable!("five rows a pair") };
            for (v, row) in mixed.iter().enumerate() {
                assert!((0..3).all(|i| row[i] == if i == v { b[i] } else { a[i] }));
            }
        }
    }
}
