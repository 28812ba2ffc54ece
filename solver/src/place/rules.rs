//! Rules of thumb, scored like any other place.

use super::bench::Bench;
use super::findings::{Arrangement, Rule};
use super::together::together;
use crate::search::exciters::CUSTOMARY;

/// Every rule that a foot fits at, alone.
pub(super) fn rules(bench: &Bench) -> Vec<Rule> {
    let images: Vec<Vec<[f64; 2]>> = CUSTOMARY.iter().map(|&shares| images(bench, shares)).collect();
    let mut scored = bench.arrangements(images.concat().into_iter().map(|place| vec![place]).collect());
    let mut rules = vec![];
    for (&shares, images) in CUSTOMARY.iter().zip(&images) {
        let mut images: Vec<Arrangement> = scored.drain(..images.len()).collect();
        images.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        rules.push(Rule { shares, images });
    }
    rules.retain(|rule| !rule.images.is_empty());
    rules
}

/// The best arrangement of `count` exciters that the places of the `rules` allow, at least `apart` [m] from each other.
pub(super) fn by_rule(bench: &Bench, rules: &[Rule], apart: f64, count: usize) -> Option<Arrangement> {
    let images = rules.iter().flat_map(|rule| &rule.images);
    if count == 1 {
        return images.min_by(|a, b| a.cost.total_cmp(&b.cost)).cloned();
    }
    let places: Vec<[f64; 2]> = images.flat_map(|image| image.positions.iter().copied()).collect();
    together(bench, &bench.feet(&places), apart, count).best.into_iter().next()
}

/// The place at `shares` of width and height, and its mirror images, as far as a foot may stand there.
fn images(bench: &Bench, [x, y]: [f64; 2]) -> Vec<[f64; 2]> {
    let (width, height) = bench.scene.panel.outline.bounding_box();
    let mut places: Vec<[f64; 2]> = vec![];
    for place in [[x, y], [1.0 - x, y], [x, 1.0 - y], [1.0 - x, 1.0 - y]] {
        let place = [place[0] * width, place[1] * height];
        let known = |other: &[f64; 2]| (other[0] - place[0]).hypot(other[1] - place[1]) < 1e-9;
        if bench.free(place) && !places.iter().any(known) {
            places.push(place);
        }
    }
    places
}
