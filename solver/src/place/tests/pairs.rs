//! Two exciters against every pair of a grid, each scored as one network.

use super::super::bench::Bench;
use super::super::sets::Sets;
use super::super::together::together;
use super::*;
use crate::plate::Modes;
use crate::predict::modes_up_to;
use crate::search::exciters::{Judge, PlaceGrid, Reach, Spacing};

const NONE: Weights =
    Weights { evenness: 0.0, extension: 0.0, sensitivity: 0.0, coverage: 0.0, dips: 0.0, robustness: 0.0 };

/// What the search finds with each of `weights`, the least of all pairs and the middle one [dB].
fn searched_and_least(step: f64, weights: &[Weights]) -> Vec<[f64; 3]> {
    crate::single_threaded_blas();
    let mut scene = scene(&[[0.2, 0.15], [0.3, 0.2]]);
    scene.frequencies = (0..97).map(|i| 100.0 * 2f64.powf(f64::from(i) / 24.0)).collect();
    let group = Group::of(&scene, &options()).expect("two exciters");
    let modes = Modes::solve(&scene.panel, modes_up_to(&scene)).expect("solvable");
    let judge = Judge::new(&scene, &modes).expect("a wide range");
    let reach = Reach::new(&scene, &modes, &|_, _| {}).expect("open");
    let allowed = Allowed::default();
    let grid = PlaceGrid::new(&scene, group.model().foot_diameter, Spacing { step, clearance: 5e-3 });
    let feet = |bench: &Bench| bench.feet(&grid.as_ref().expect("room").positions);
    let of = |&weights: &Weights| {
        let (scene, modes, reach, judge, group, allowed) = (&scene, &modes, &reach, &judge, &group, &allowed);
        let bench = Bench { scene, modes, reach, judge, group, weights, allowed };
        let feet = feet(&bench);
        let sets = Sets { bench: &bench, feet: &feet, apart: 0.05 };
        let all: Vec<usize> = (0..feet.len()).collect();
        let mut costs: Vec<f64> = sets.scored(sets.every(&all, 2)).iter().map(|set| set.cost).collect();
        costs.sort_by(f64::total_cmp);
        assert!(costs.len() > 20_000, "{} pairs", costs.len());
        [together(&bench, &feet, 0.05, 2).best[0].cost, costs[0], costs[costs.len() / 2]]
    };
    weights.iter().map(of).collect()
}

/// The distance to the best of some 25,000 pairs [dB]. None was measured where evenness or level counts; where neither does, half of all pairs cost 1 dB more than
/// the best.
#[test]
fn two_exciters_are_the_best_of_all_pairs_of_the_grid() {
    let weights = [
        (Weights { robustness: 0.0, ..Weights::default() }, 1e-6),
        (Weights { evenness: 1.0, sensitivity: 0.25, ..NONE }, 1e-6),
        (Weights { extension: 1.0, sensitivity: 0.1, ..NONE }, 1e-6),
        (Weights { evenness: 0.2, dips: 1.0, ..NONE }, 1e-6),
        (Weights { extension: 1.0, coverage: 3.0, dips: 0.2, ..NONE }, 0.11),
    ];
    let found = searched_and_least(25e-3, &weights.map(|(weights, _)| weights));
    for ([cost, least, middle], (_, gap)) in found.iter().zip(weights) {
        assert!(cost - least < gap && middle - least > 0.3, "cost, least and middle of all: {found:.4?}");
    }
}
