//! Where the variations are listened to: seats, and what is needed of the output map to follow its dead spots.

use super::sample::SEED;
use crate::listening::{BandMap, DeadSpot, Findings, OutputMap, band_weights};
use crate::predict::places::Places;
use crate::scene::Scene;
use std::collections::BTreeSet;
use std::ops::Range;

/// Map places that stand for the whole plane when its mean energy is followed from one variation to the next.
const PLANE_PLACES: u32 = 64;

/// A place of the output map: indices of its nodes along x and y.
pub(super) type Node = (usize, usize);

/// Listening places. The microphones of a frequency are the single ones, then those of each watch that needs it.
pub(super) struct Listening {
    /// Seats, then the sensitivity microphone [m].
    pub single: Vec<[f64; 3]>,
    /// One per band with dead spots.
    pub watches: Vec<Watch>,
}

/// What is followed in one band.
pub(super) struct Watch {
    /// Index and weight of each frequency in the band's mean, ascending.
    pub weights: Vec<(usize, f64)>,
    /// Places that stand for the plane, then places at the spots.
    pub nodes: Vec<Node>,
    /// How many of them stand for the plane.
    pub plane: usize,
    /// Index of each dead spot of the band, and its places among `nodes`.
    pub spots: Vec<(usize, Range<usize>)>,
    /// Energy at `nodes` in the full prediction of the nominal panel, over the plane's mean.
    pub shown: Vec<f64>,
    /// Positions of `nodes` [m].
    points: Vec<[f64; 3]>,
}

impl Listening {
    /// The places for the dead spots of `findings`.
    pub fn of(scene: &Scene, places: &Places, findings: &Findings) -> Self {
        let plane = plane_places(&findings.map);
        let watch = |band: &BandMap| Watch::new(scene, findings, band, &plane);
        let watches = findings.map.bands.iter().filter_map(watch).collect();
        Self { single: places.microphones.clone(), watches }
    }

    /// Microphones [m] of the frequency `index`.
    pub fn microphones(&self, index: usize) -> Vec<[f64; 3]> {
        let watched = self.watching(index).flat_map(|watch| &watch.points);
        self.single.iter().chain(watched).copied().collect()
    }

    /// Watches that need the frequency `index`.
    pub fn watching(&self, index: usize) -> impl Iterator<Item = &Watch> {
        self.watches.iter().filter(move |watch| watch.weight(index).is_some())
    }
}

impl Watch {
    /// The watch of a band; `None` when it has no dead spot.
    fn new(scene: &Scene, findings: &Findings, shown: &BandMap, plane: &[Node]) -> Option<Self> {
        let (map, band) = (&findings.map, shown.band);
        let mut nodes = plane.to_vec();
        let mut spots = vec![];
        for (index, spot) in findings.dead_spots.iter().enumerate().filter(|(_, spot)| spot.band == band) {
            let start = nodes.len();
            nodes.extend(nodes_around(map, spot));
            spots.push((index, start..nodes.len()));
        }
        let at = |&(i, j): &Node| [map.x[i], map.y[j], map.distance];
        (!spots.is_empty()).then_some(())?;
        Some(Self {
            weights: band_weights(&scene.frequencies, &band)?,
            shown: nodes.iter().map(|&node| 10f64.powf(0.1 * (shown.level[node] - shown.mean))).collect(),
            points: nodes.iter().map(at).collect(),
            nodes,
            plane: plane.len(),
            spots,
        })
    }

    /// Weight of the frequency `index` in the band's mean.
    pub fn weight(&self, index: usize) -> Option<f64> {
        let first = self.weights.first()?.0;
        self.weights.get(index.checked_sub(first)?).map(|&(_, weight)| weight)
    }
}

/// Evenly spread places of the map, each once.
fn plane_places(map: &OutputMap) -> Vec<Node> {
    let node = |nodes: &[f64], u: f32| {
        let (first, last) = (nodes.first()?, nodes.last()?);
        nearest(nodes, first + f64::from(u) * (last - first))
    };
    let place = |index| {
        let [u, v] = [0, 1].map(|dimension| sobol_burley::sample(index, dimension, SEED));
        Some((node(&map.x, u)?, node(&map.y, v)?))
    };
    let places: BTreeSet<Node> = (0..PLANE_PLACES).filter_map(place).collect();
    places.into_iter().collect()
}

fn nearest(nodes: &[f64], at: f64) -> Option<usize> {
    let distance = |i: &usize| (nodes[*i] - at).abs();
    (0..nodes.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

/// Map places no further than one spacing from the deepest point of `spot`, along x and along y.
fn nodes_around(map: &OutputMap, spot: &DeadSpot) -> Vec<Node> {
    let [xs, ys] = [near(&map.x, spot.position[0]), near(&map.y, spot.position[1])];
    xs.flat_map(|i| ys.clone().map(move |j| (i, j))).collect()
}

/// Nodes no further from `at` than their spacing, a hair more so that rounding loses none.
fn near(nodes: &[f64], at: f64) -> Range<usize> {
    let spacing = nodes.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max) * (1.0 + 1e-9);
    nodes.partition_point(|&n| n < at - spacing)..nodes.partition_point(|&n| n <= at + spacing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_near_a_point_include_the_nearest_on_both_sides() {
        let nodes: Vec<f64> = (0..10).map(|i| 0.1 * f64::from(i)).collect();
        assert_eq!(near(&nodes, 0.33), 3..5);
        assert_eq!(near(&nodes, 0.3), 2..5);
        assert_eq!(near(&nodes, 0.0), 0..2);
        assert_eq!(near(&[0.5], 0.5), 0..1);
    }

    #[test]
    fn the_plane_is_covered_evenly() {
        let axis = |length: f64| (0..=40).map(|i| length * f64::from(i) / 40.0).collect::<Vec<_>>();
        let map = OutputMap { distance: 0.4, x: axis(0.9), y: axis(0.7), bands: vec![] };
        let places = plane_places(&map);
        assert!(places.len() > 60);
        for (right, top) in [(false, false), (false, true), (true, false), (true, true)] {
            let quarter = places.iter().filter(|(i, j)| (*i > 20) == right && (*j > 20) == top).count();
            assert!((14..=18).contains(&quarter), "{quarter}");
        }
    }
}
