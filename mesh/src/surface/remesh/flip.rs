//! Sides are flipped where that widens the smallest angle of the two triangles.

use super::original::Original;
use super::quality::smallest_angle;
use super::work::{Work, exchanged, normal};
use crate::{Edge, edge};

/// Passes over all sides at most.
const MOST_PASSES: usize = 5;
/// Widening [rad] below which a flip is not worth it, so that two triangles do not flip for ever.
const WORTH: f64 = 1e-6;

/// Flips until nothing is gained.
pub fn sides(work: &mut Work, original: &Original) {
    for _ in 0..MOST_PASSES {
        let edges = work.edges();
        let flipped = edges.into_iter().filter(|&(_, edge)| flip(work, original, edge)).count();
        if flipped == 0 {
            break;
        }
    }
}

fn flip(work: &mut Work, original: &Original, ends: Edge) -> bool {
    let [a, b] = ends;
    let [(first, one), (second, two)] = work.beside(ends)[..] else { return false };
    if work.lines.contains_key(&ends) {
        return false;
    }
    let apex = |corners: [u32; 3]| corners.into_iter().find(|point| !ends.contains(point));
    let (Some(c), Some(d)) = (apex(one), apex(two)) else { return false };
    if c == d || !work.beside(edge(c, d)).is_empty() {
        return false;
    }
    // The triangle that loses b gets d; the other one, which loses a, gets c.
    let after = [exchanged(one, b, d), exchanged(two, a, c)];
    let smallest =
        |pair: [[u32; 3]; 2]| smallest_angle(work.places(pair[0])).min(smallest_angle(work.places(pair[1])));
    if smallest(after) < smallest([one, two]) + WORTH {
        return false;
    }
    let region = work.regions[first as usize];
    let sum = normal(work.places(one)) + normal(work.places(two));
    let lies_well = |corners: [u32; 3]| {
        let places = work.places(corners);
        let normal = normal(places).try_normalize(0.0);
        normal.is_some_and(|n| n.dot(&sum) > 0.7 * sum.norm() && original.lies_on(region, places, n))
    };
    if !after.into_iter().all(lies_well) {
        return false;
    }
    work.replace(first, after[0]);
    work.replace(second, after[1]);
    true
}
