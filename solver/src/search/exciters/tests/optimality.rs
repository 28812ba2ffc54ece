//! Pairs and triples against brute force in double precision.

use super::*;
use crate::listening::{band_weights, fractional_octaves};
use ndarray::Array2;

const WEIGHTS: [f64; 2] = [1.0, 0.25];

/// Cost of places that play together, from the definition: levels of third octaves in steps of sixths, mean and deviation seat by seat.
fn cost(found: &Found, responses: &Array3<Complex64>, places: &[usize]) -> f64 {
    let frequencies = &found.scene.frequencies;
    let sixths: Vec<_> = fractional_octaves(6, 100.0, 10e3)
        .iter()
        .filter_map(|band| band_weights(frequencies, band))
        .collect();
    let sum =
        |f: usize, seat: usize| places.iter().map(|&place| responses[(f, seat, place)]).sum::<Complex64>();
    let seats = found.reach.seats;
    let (mut variance, mut level) = (0.0, 0.0);
    for seat in 0..seats {
        let energy: Vec<f64> =
            sixths.iter().map(|band| band.iter().map(|&(f, w)| w * sum(f, seat).norm_sqr()).sum()).collect();
        let levels: Vec<f64> = energy.windows(2).map(|pair| 10.0 * (pair[0] + pair[1]).log10()).collect();
        let mean = levels.iter().sum::<f64>() / levels.len() as f64;
        variance += levels.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / levels.len() as f64;
        level += mean;
    }
    WEIGHTS[0] * (variance / seats as f64).sqrt() - WEIGHTS[1] * level / seats as f64
}

/// All pairs and triples of places that are clear of each other, with their costs, the best first.
fn brute_force(found: &Found, mixture: &Mixture, count: usize) -> Vec<(Vec<usize>, f64)> {
    let responses = found.responses();
    let mut groups: Vec<Vec<usize>> = (0..mixture.len()).map(|place| vec![place]).collect();
    for _ in 1..count {
        let longer = |group: Vec<usize>| {
            let last = group[group.len() - 1];
            let clear = (last + 1..mixture.len())
                .filter(|&p| group.iter().all(|&q| mixture.clear(p, q)))
                .collect::<Vec<_>>();
            clear.into_iter().map(move |p| [&group[..], &[p]].concat())
        };
        groups = groups.into_iter().flat_map(longer).collect();
    }
    let mut all: Vec<_> =
        groups.into_iter().map(|group| (group.clone(), cost(found, &responses, &group))).collect();
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    all
}

#[test]
fn the_best_pairs_are_the_best_of_all() {
    let mixture = FOAM.mixture(WEIGHTS);
    let all = brute_force(&FOAM, &mixture, 2);
    let found = best_pairs(&mixture, 40);
    assert_eq!(found.len(), 40);
    assert!(all.len() > 20_000, "{}", all.len());
    // Costs differ by a constant, the level of the loudness they are counted from.
    let shift = all[0].1 - f64::from(found[0].cost);
    for (rank, pair) in found.iter().enumerate() {
        let own = cost(&FOAM, &FOAM.responses(), &pair.places);
        assert!((own - shift - f64::from(pair.cost)).abs() < 2e-3, "{rank}: {own} {}", pair.cost);
        // Mirror images cost the same but for rounding, so ranks may swap: costs tell.
        assert!((own - all[rank].1).abs() < 2e-3, "{rank}: {pair:?}, best {:?}", all[rank]);
    }
}

#[test]
fn the_evenness_of_a_pair_is_that_of_the_judge() {
    let mixture = FOAM.mixture([1.0, 0.0]);
    let responses = FOAM.reach.responses(&FOAM.feet, 0..FOAM.feet.len(), &FOAM.drive(1));
    for pair in best_pairs(&mixture, 30).iter().step_by(7) {
        let sum = Array3::from_shape_fn((responses.dim().0, 2, 1), |(f, s, _)| {
            pair.places.iter().map(|&place| responses[(f, s, place)]).sum()
        });
        let scores = FOAM.judge.scores(&sum, Array2::zeros((1, FOAM.modes.len())).view())[0];
        assert!((scores.evenness - f64::from(pair.cost)).abs() < 1e-3, "{} {scores:?}", pair.cost);
    }
}

#[test]
fn exchange_finds_the_best_triple_of_small_grids() {
    for step in [60e-3, 72e-3] {
        let grid = Spacing { step, ..SPACING };
        let found = Found::new(scene(Back::Baffled), grid);
        let mixture = found.mixture(WEIGHTS);
        let all = brute_force(&found, &mixture, 3);
        let triples = best_triples(&mixture, &best_pairs(&mixture, 200), 12, 5);
        let own = cost(&found, &found.responses(), &triples[0].places);
        assert!(all.len() > 1000, "{}", all.len());
        assert!(
            own - all[0].1 < 2e-3,
            "{} places: {own} {:?}, best {:?}",
            found.grid.len(),
            triples[0],
            all[0]
        );
    }
}
