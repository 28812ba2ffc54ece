//! Triangles that meet though they are no neighbours.

use super::fault::{Fault, Found, Place};
use super::flat::{middle, no_area};
use crate::Surface;
use crate::surface::index::{Index, box_around};
use crate::surface::meeting::{meet, meet_beyond_a_corner};
use rayon::prelude::*;

/// Triangles looked at before it is asked whether enough is known.
const AT_ONCE: usize = 512;
/// Pairs looked at before the search gives up on a tangle.
const MOST_PAIRS: usize = 100_000_000;
/// Crossings that tell the story.
const ENOUGH: usize = 200;

/// All pairs; a triangle crossed by several others is told once for each of them.
pub fn faults(surface: &Surface, found: &mut Found) {
    let diagonal = surface.diagonal();
    let solid = |&triangle: &usize| !no_area(surface, triangle, diagonal);
    let triangles: Vec<_> = (0..surface.triangles.len()).filter(solid).collect();
    let index = Index::of_some(surface, triangles.iter().copied());
    let (mut pairs, mut crossings) = (0, 0);
    for some in triangles.chunks(AT_ONCE) {
        let looked_at: Vec<_> =
            some.par_iter().map(|&triangle| partners(surface, &index, triangle)).collect();
        for (&triangle, (met, near)) in some.iter().zip(looked_at) {
            (pairs, crossings) = (pairs + near, crossings + met.len());
            let at = Place(middle(surface, triangle));
            found.extend(met.into_iter().map(|other| Fault::Crosses { triangles: [triangle, other], at }));
        }
        if crossings >= ENOUGH || pairs >= MOST_PAIRS {
            found.extend((pairs >= MOST_PAIRS).then_some(Fault::Tangle { pairs }));
            return;
        }
    }
}

/// Where two bodies meet: a triangle of each, and the middle of the first one. None if they are apart.
pub fn meeting(one: &Surface, other: &Surface) -> Option<([usize; 2], Place)> {
    let index = Index::of(other);
    let met = |triangle: usize| {
        let corners = one.corners(triangle);
        let [low, high] = box_around(corners);
        let partner = index.in_box(low, high).filter(|&near| meet(corners, other.corners(near))).min()?;
        Some(([triangle, partner], Place(middle(one, triangle))))
    };
    (0..one.triangles.len()).into_par_iter().find_map_first(met)
}

/// Later triangles that a triangle meets, and how many were looked at.
fn partners(surface: &Surface, index: &Index, triangle: usize) -> (Vec<usize>, usize) {
    let [low, high] = box_around(surface.corners(triangle));
    let mut near: Vec<_> = index.in_box(low, high).filter(|&other| other > triangle).collect();
    near.sort_unstable();
    let count = near.len();
    near.retain(|&other| crosses(surface, triangle, other));
    (near, count)
}

/// True if two triangles meet elsewhere than at common corners and sides. Neighbours along a side are [`Fault::Folded`] or fine.
pub fn crosses(surface: &Surface, one: usize, other: usize) -> bool {
    let (a, b) = (surface.triangles[one], surface.triangles[other]);
    let mut shared = (0..3).flat_map(|i| (0..3).map(move |j| (i, j))).filter(|&(i, j)| a[i] == b[j]);
    let (a, b) = (surface.corners(one), surface.corners(other));
    match (shared.next(), shared.next()) {
        (None, _) => meet(a, b),
        (Some((i, j)), None) => meet_beyond_a_corner(from(a, i), from(b, j)),
        _ => false,
    }
}

fn from<T: Copy>(corners: [T; 3], first: usize) -> [T; 3] {
    [0, 1, 2].map(|k| corners[(first + k) % 3])
}
