//! Rims, crowded sides, points that hold parts together, folds.

use super::fault::{Fault, Found, Place};
use crate::Surface;
use crate::surface::sides::{Sets, Side, by_edge, sides};
use std::collections::BTreeMap;

/// Cosine of the angle between two faces below which a wall has no thickness: half a degree.
const FOLDED: f64 = -0.999_96;

/// All faults at sides and points.
pub fn faults(surface: &Surface, found: &mut Found) {
    let sides = sides(surface);
    for rim in rims(surface, &sides) {
        found.push(open(surface, &rim));
    }
    let place = |point: u32| Place(surface.points[point as usize]);
    for run in by_edge(&sides).filter(|run| run.len() > 2) {
        let [from, to] = run[0].edge.map(place);
        found.push(Fault::CrowdedSide { triangles: run.len(), from, to });
    }
    pinched(surface, &sides, found);
    found.extend(by_edge(&sides).filter_map(|run| folded(surface, run)));
}

fn open(surface: &Surface, rim: &[u32]) -> Fault {
    let next = rim.iter().cycle().skip(1);
    let length =
        rim.iter().zip(next).map(|(&a, &b)| (surface.points[b as usize] - surface.points[a as usize]).norm());
    Fault::Open { sides: rim.len(), length: length.sum(), at: Place(surface.points[rim[0] as usize]) }
}

/// Closed chains of points along sides with a single triangle, in the direction of that triangle. Chains that do not close, at faulty
/// places, are listed as if they did.
pub fn rims(surface: &Surface, sides: &[Side]) -> Vec<Vec<u32>> {
    let mut next: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for run in by_edge(sides).filter(|run| run.len() == 1) {
        let corners = surface.triangles[run[0].triangle as usize];
        let side = run[0].side as usize;
        next.entry(corners[side]).or_default().push(corners[(side + 1) % 3]);
    }
    let mut rims = vec![];
    while let Some((&start, _)) = next.first_key_value() {
        let mut rim = vec![start];
        while let Some(point) = follow(&mut next, rim[rim.len() - 1]) {
            if point == start {
                break;
            }
            rim.push(point);
        }
        rims.push(rim);
    }
    rims
}

fn follow(next: &mut BTreeMap<u32, Vec<u32>>, from: u32) -> Option<u32> {
    let ways = next.get_mut(&from)?;
    let to = ways.pop();
    if ways.is_empty() {
        next.remove(&from);
    }
    to
}

/// Points whose triangles form several fans; those on crowded sides are left out.
fn pinched(surface: &Surface, sides: &[Side], found: &mut Found) {
    // Every corner of every triangle is a member; corners are joined across sides that they end.
    let mut sets = Sets::singles(3 * surface.triangles.len());
    let corner = |side: &Side, point: u32| {
        let at = surface.triangles[side.triangle as usize].iter().position(|&p| p == point);
        at.map(|k| 3 * side.triangle + k as u32)
    };
    let mut crowded = vec![false; surface.points.len()];
    for run in by_edge(sides) {
        for point in run[0].edge {
            crowded[point as usize] |= run.len() > 2;
            for other in &run[1..] {
                if let (Some(a), Some(b)) = (corner(&run[0], point), corner(other, point)) {
                    sets.join(a, b);
                }
            }
        }
    }
    let mut fans = vec![0; surface.points.len()];
    for side in sides {
        let corner = 3 * side.triangle + u32::from(side.side);
        if sets.of(corner) == corner {
            fans[surface.triangles[side.triangle as usize][side.side as usize] as usize] += 1;
        }
    }
    let several = (0..fans.len()).filter(|&point| fans[point] > 1 && !crowded[point]);
    found.extend(several.map(|point| Fault::Pinched { fans: fans[point], at: Place(surface.points[point]) }));
}

fn folded(surface: &Surface, run: &[Side]) -> Option<Fault> {
    let [a, b] = run else { return None };
    let normal = |side: &Side| surface.area_vector(side.triangle as usize).try_normalize(0.0);
    let cosine = normal(a)?.dot(&normal(b)?);
    let cosine = if a.forward == b.forward { -cosine } else { cosine };
    let [from, to] = a.edge.map(|point| surface.points[point as usize]);
    let triangles = [a.triangle as usize, b.triangle as usize];
    (cosine < FOLDED).then(|| Fault::Folded { triangles, at: Place(0.5 * (from + to)) })
}
