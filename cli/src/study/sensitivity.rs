//! How much of what variants differ by each varied value explains.
//!
//! With f the objective, V its variance, A and B independent points and Aᵢ the point A with the i-th coordinate of B:
//!
//! ```text
//! Sᵢ = E[f(B) (f(Aᵢ) − f(A))] / V        by itself    (Saltelli et al. 2010, Comput. Phys. Commun. 181, 259, table 2b)
//! Tᵢ = E[(f(A) − f(Aᵢ))²] / (2 V)        with others  (Jansen 1999, Comput. Phys. Commun. 117, 35)
//! ```
//!
//! Of any other sample Sᵢ is the correlation ratio: the variance of the means of f in equal shares of the i-th coordinate, over V (Pearson 1905), less
//! what chance makes of it (Kelley 1935, Proc. Nat. Acad. Sci. 21, 554). Neighbours in the order of one coordinate would do for points at random;
//! those of a low-discrepancy sequence are no strangers to each other. All are estimates: with few variants they scatter, and may be below 0.

use super::design::{Design, level};

/// Most shares of a coordinate.
const MOST_SHARES: usize = 32;
/// Fewest variants of a share.
const FEWEST: usize = 8;

/// Indices of one varied value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitivity {
    /// Share of the variance that it explains by itself.
    pub alone: f64,
    /// Share that vanishes when it is held, interplay with others included; only the design for it tells.
    pub total: Option<f64>,
}

/// Indices of every varied value. `f` is the objective by the variant's number, `None` where there is none; `points` are the coordinates, and `levels` says
/// how many values a coordinate stands for, where they are few.
pub fn sensitivities(
    design: &Design,
    (points, levels): (&[Vec<f64>], &[Option<usize>]),
    f: &[Option<f64>],
) -> Option<Vec<Sensitivity>> {
    let values = points.first()?.len();
    match design {
        Design::Sensitivity { .. } => exchanged(values, f),
        _ => (0..values)
            .map(|v| cut((v, levels[v]), points, f).map(|alone| Sensitivity { alone, total: None }))
            .collect(),
    }
}

/// From groups A, B, A₁ … of which all are known.
fn exchanged(values: usize, f: &[Option<f64>]) -> Option<Vec<Sensitivity>> {
    let groups: Vec<Vec<f64>> =
        f.chunks_exact(values + 2).filter_map(|group| group.iter().copied().collect()).collect();
    let pooled: Vec<f64> = groups.iter().flat_map(|group| [group[0], group[1]]).collect();
    let (_, variance) = moments(&pooled)?;
    let mean = |of: &dyn Fn(&Vec<f64>) -> f64| groups.iter().map(of).sum::<f64>() / groups.len() as f64;
    let one = |v: usize| Sensitivity {
        alone: mean(&|group| group[1] * (group[v + 2] - group[0])) / variance,
        total: Some(mean(&|group| (group[0] - group[v + 2]).powi(2)) / (2.0 * variance)),
    };
    Some((0..values).map(one).collect())
}

/// From the means of the shares into which one coordinate is cut.
fn cut((value, levels): (usize, Option<usize>), points: &[Vec<f64>], f: &[Option<f64>]) -> Option<f64> {
    let known: Vec<(f64, f64)> =
        points.iter().zip(f).filter_map(|(point, f)| Some((point[value], (*f)?))).collect();
    let all: Vec<f64> = known.iter().map(|(_, f)| *f).collect();
    let (mean, variance) = moments(&all)?;
    let shares = levels.unwrap_or((all.len() / FEWEST).clamp(2, MOST_SHARES));
    let mut cells = vec![(0.0, 0.0); shares];
    for (u, f) in &known {
        let (count, sum) = &mut cells[level(*u, shares)];
        (*count, *sum) = (*count + 1.0, *sum + f);
    }
    let full = cells.iter().filter(|(count, _)| *count > 0.0);
    let between: f64 = full.clone().map(|(count, sum)| count * (sum / count - mean).powi(2)).sum();
    let (n, k) = (all.len() as f64, full.count() as f64);
    // What means of so few differ by chance is taken off.
    let chance = (k - 1.0) / (n - 1.0);
    Some((between / n / variance - chance) / (1.0 - chance))
}

/// Mean and variance; `None` where nothing differs.
fn moments(values: &[f64]) -> Option<(f64, f64)> {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count;
    (values.len() > 2 && variance > 0.0).then_some((mean, variance))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    /// sin x₁ + 7 sin² x₂ + 0.1 x₃⁴ sin x₁ over (−π, π)³: Ishigami & Homma 1990, Proc. ISUMA, 398.
    fn ishigami(point: &[f64]) -> Option<f64> {
        let x: Vec<f64> = point.iter().map(|u| TAU * u - PI).collect();
        Some(x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin())
    }

    /// Its indices in closed form: alone 0.3139, 0.4424, 0; total 0.5576, 0.4424, 0.2437.
    fn known() -> ([f64; 3], [f64; 3]) {
        let (a, b) = (7.0f64, 0.1f64);
        let first = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
        let second = a * a / 8.0;
        let both = b * b * PI.powi(8) * 8.0 / 225.0;
        let all = first + second + both;
        ([first / all, second / all, 0.0], [(first + both) / all, second / all, both / all])
    }

    #[test]
    fn the_closed_form_is_the_published_one() {
        let (alone, total) = known();
        for (found, published) in
            alone.iter().chain(&total).zip([0.3139, 0.4424, 0.0, 0.5576, 0.4424, 0.2437])
        {
            assert!((found - published).abs() < 6e-5, "{found} {published}");
        }
    }

    #[test]
    fn indices_of_the_published_function_are_found_by_design_and_from_any_sample() {
        let (alone, total) = known();
        let designed = Design::Sensitivity { base: 4096, seed: 1 };
        let sampled = Design::LowDiscrepancy { count: 8192, seed: 1 };
        for (design, allowed) in [(designed, 0.01), (sampled, 0.03)] {
            let points = design.points(3);
            let f: Vec<Option<f64>> = points.iter().map(|point| ishigami(point)).collect();
            let found = sensitivities(&design, (&points, &[None; 3]), &f).expect("they differ");
            for (v, found) in found.iter().enumerate() {
                assert!(
                    (found.alone - alone[v]).abs() < allowed,
                    "{design:?}, value {v}: {found:?} {}",
                    alone[v]
                );
                assert!(
                    found.total.is_none_or(|found| (found - total[v]).abs() < allowed),
                    "{found:?} {}",
                    total[v]
                );
            }
        }
    }

    #[test]
    fn what_is_missing_is_left_out_and_what_does_not_differ_has_no_index() {
        let design = Design::Sensitivity { base: 512, seed: 2 };
        let points = design.points(3);
        let holes = |(n, point): (usize, &Vec<f64>)| if n % 17 == 0 { None } else { ishigami(point) };
        let f: Vec<Option<f64>> = points.iter().enumerate().map(holes).collect();
        let found = sensitivities(&design, (&points, &[None; 3]), &f).expect("they differ");
        assert!((found[1].alone - known().0[1]).abs() < 0.1, "{found:?}");
        assert_eq!(sensitivities(&design, (&points, &[None; 3]), &vec![Some(1.0); f.len()]), None);
    }
}
