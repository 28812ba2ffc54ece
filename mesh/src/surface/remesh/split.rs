//! Long sides get a point in the middle.

use super::Target;
use super::features::Kind;
use super::original::Original;
use super::work::{Work, exchanged, normal};
use crate::{Edge, edge};

/// Sides longer than this many wanted lengths are split: then both halves are nearer to it than the whole.
const LONG: f64 = 4.0 / 3.0;
/// Each pass halves.
const MOST_PASSES: usize = 16;

/// Splits until no side is too long, the longest first.
pub fn long_sides(work: &mut Work, original: &Original, target: &Target) {
    for _ in 0..MOST_PASSES {
        let mut long: Vec<_> = (work.edges().into_iter())
            .filter(|&(length, edge)| length > LONG * wanted(work, original, target, edge))
            .collect();
        if long.is_empty() {
            break;
        }
        long.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        long.into_iter().for_each(|(_, edge)| split(work, original, edge));
    }
}

/// Wanted length [m] of an edge: the smallest of those of its triangles' patches.
pub fn wanted(work: &Work, original: &Original, target: &Target, edge: Edge) -> f64 {
    let middle = 0.5 * (work.at(edge[0]) + work.at(edge[1]));
    let of =
        |triangle: u32| (target.length)(middle, original.patches[work.regions[triangle as usize] as usize]);
    let lengths = work.beside(edge).into_iter().map(|(triangle, _)| of(triangle));
    lengths.fold(f64::INFINITY, f64::min)
}

fn split(work: &mut Work, original: &Original, ends: Edge) {
    let [a, b] = ends;
    let beside = work.beside(ends);
    let Some(&(first, _)) = beside.first() else { return };
    let straight = 0.5 * (work.at(a) + work.at(b));
    let line = work.lines.get(&ends).copied();
    let (place, kind) = match line {
        Some(line) => (original.on_line(line, straight), Kind::Line(line)),
        None => {
            let region = work.regions[first as usize];
            let across = beside.iter().map(|(_, corners)| normal(work.places(*corners))).sum();
            (original.in_region(region, straight, across), Kind::Free(region))
        }
    };
    let middle = work.add_point(place, kind);
    let whole = |work: &Work| {
        beside.iter().all(|&(triangle, corners)| {
            [a, b].into_iter().all(|end| {
                let half = work.places(exchanged(corners, end, middle));
                original.fits(work.regions[triangle as usize], work.places(corners), half)
            })
        })
    };
    if !whole(work) {
        work.points[middle as usize] = straight;
    }
    for (triangle, corners) in beside {
        work.replace(triangle, exchanged(corners, b, middle));
        work.add(exchanged(corners, a, middle), work.regions[triangle as usize]);
    }
    if let Some(line) = line {
        work.lines.remove(&ends);
        work.lines.extend([a, b].map(|end| (edge(end, middle), line)));
    }
}
