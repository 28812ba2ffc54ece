//! Places with little material between two parts of the rim.

use super::Outline;
use super::faults::Fault;
use super::vector::{difference, length};
use crate::RimPoint;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::num::NonZeroUsize;

/// Points along the rim at most.
const MOST_POINTS: f64 = 20_000.0;
/// Pairs of points looked at, at most: a rim all of which is thin says so early.
const MOST_PAIRS: usize = 20_000_000;
/// Points this many times their distance apart along the rim lie on two sides of a neck, not round one corner: a corner of more
/// than 39° is none.
const ROUND: f64 = 3.0;

/// The necks of `outline` that are narrower than `narrowest` [m], each once, where it is narrowest.
pub fn thin_places(outline: &Outline, narrowest: f64) -> Vec<Fault> {
    let rim = points(outline, narrowest);
    let mut found: Vec<([usize; 2], f64)> = narrow_pairs(outline, &rim, narrowest);
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut faults: Vec<Fault> = vec![];
    for ([i, j], width) in found {
        let (p, q) = (&rim[i], &rim[j]);
        let at = [0, 1].map(|k| 0.5 * (p.position[k] + q.position[k]));
        let known = |f: &Fault| f.at().is_some_and(|other| length(difference(other, at)) < 5.0 * narrowest);
        if !faults.iter().any(known) {
            faults.push(Fault::Thin { contours: [p.contour, q.contour], at, width });
        }
    }
    faults.truncate(20);
    faults
}

/// Points along the rim, close enough that a neck cannot hide between them; corners count, as necks end on them.
fn points(outline: &Outline, narrowest: f64) -> Vec<RimPoint> {
    let spacing = (0.25 * narrowest).max(outline.perimeter() / MOST_POINTS);
    let mut points = outline.rim(2.0 * spacing, NonZeroUsize::new(2).expect("2 is positive"));
    for (contour, curve) in outline.curves().iter().enumerate() {
        let mut along = 0.0;
        for piece in &curve.pieces {
            let (position, normal) = (piece.from(), piece.normal(0.0));
            points.push(RimPoint { position, normal, weight: 0.0, contour, along });
            along += piece.length();
        }
    }
    points
}

fn narrow_pairs(outline: &Outline, rim: &[RimPoint], narrowest: f64) -> Vec<([usize; 2], f64)> {
    let lengths: Vec<_> = outline.curves().iter().map(|curve| curve.length()).collect();
    let point = |(i, p): (usize, &RimPoint)| GeomWithData::new(p.position, i);
    let tree = RTree::bulk_load(rim.iter().enumerate().map(point).collect());
    let mut found = vec![];
    let mut budget = MOST_PAIRS;
    for (i, p) in rim.iter().enumerate() {
        let mut best: Option<(usize, f64)> = None;
        for other in tree.locate_within_distance(p.position, narrowest * narrowest) {
            budget = budget.saturating_sub(1);
            if budget == 0 {
                return found;
            }
            let q = &rim[other.data];
            let apart = length(difference(p.position, q.position));
            let nearer = apart < narrowest && best.is_none_or(|(_, width)| apart < width);
            if nearer && other.data != i && across(p, q, apart, &lengths) && through_material(p, q) {
                best = Some((other.data, apart));
            }
        }
        found.extend(best.map(|(j, width)| ([i, j], width)));
    }
    found
}

/// True for points on two sides of something.
fn across(p: &RimPoint, q: &RimPoint, apart: f64, lengths: &[f64]) -> bool {
    if p.contour != q.contour {
        return true;
    }
    let way = (p.along - q.along).abs();
    way.min(lengths[p.contour] - way) > ROUND * apart
}

/// True when the way from one to the other starts and ends into the material; corners, whose normal is not defined, may look
/// half a right angle aside.
fn through_material(p: &RimPoint, q: &RimPoint) -> bool {
    let way = difference(q.position, p.position);
    let size = length(way);
    let out = |normal: [f64; 2]| (normal[0] * way[0] + normal[1] * way[1]) / size;
    let slack = |point: &RimPoint| if point.weight == 0.0 { 0.7 } else { -0.3 };
    out(p.normal) < slack(p) && -out(q.normal) < slack(q)
}
