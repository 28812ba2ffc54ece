//! Triangles that face against their neighbours.

use super::fault::{Fault, Found, Place};
use super::flat::middle;
use crate::Surface;
use crate::surface::sides::{Sets, by_edge, sides};

/// How the triangles must be turned so that neighbours agree.
pub struct Turns {
    /// True for triangles that must be turned: of every connected part the ones with less area.
    pub turned: Vec<bool>,
    /// Sides (their middles) at which no turning helps.
    pub hopeless: Vec<Place>,
}

/// A neighbour across a side, and whether it faces the other way.
type Link = (u32, bool);

/// Spreads the facing of the first triangle of every part over it.
pub fn turns(surface: &Surface) -> Turns {
    let links = links(surface);
    let count = surface.triangles.len();
    let mut facing: Vec<Option<bool>> = vec![None; count];
    let mut turns = Turns { turned: vec![false; count], hopeless: vec![] };
    for start in 0..count {
        if facing[start].is_some() {
            continue;
        }
        let part = spread(&links, start as u32, &mut facing);
        for &(a, b) in &part.clashes {
            turns.hopeless.push(Place(0.5 * (middle(surface, a as usize) + middle(surface, b as usize))));
        }
        let signed = |&t: &u32| {
            let area = surface.area_vector(t as usize).norm();
            if facing[t as usize] == Some(true) { -area } else { area }
        };
        let majority = part.triangles.iter().map(signed).sum::<f64>() < 0.0;
        for &t in &part.triangles {
            turns.turned[t as usize] = facing[t as usize] != Some(majority);
        }
    }
    turns
}

struct Part {
    triangles: Vec<u32>,
    clashes: Vec<(u32, u32)>,
}

fn spread(links: &[Vec<Link>], start: u32, facing: &mut [Option<bool>]) -> Part {
    facing[start as usize] = Some(false);
    let mut part = Part { triangles: vec![start], clashes: vec![] };
    let mut next = 0;
    while let Some(&triangle) = part.triangles.get(next) {
        next += 1;
        for &(other, against) in &links[triangle as usize] {
            let wanted = facing[triangle as usize].map(|turned| turned != against);
            if facing[other as usize].is_none() {
                facing[other as usize] = wanted;
                part.triangles.push(other);
            } else if facing[other as usize] != wanted && triangle < other {
                part.clashes.push((triangle, other));
            }
        }
    }
    part
}

fn links(surface: &Surface) -> Vec<Vec<Link>> {
    let mut links = vec![vec![]; surface.triangles.len()];
    for run in by_edge(&sides(surface)) {
        if let [a, b] = run {
            links[a.triangle as usize].push((b.triangle, a.forward == b.forward));
            links[b.triangle as usize].push((a.triangle, a.forward == b.forward));
        }
    }
    links
}

/// Connected pieces of turned triangles, and places without an inside.
pub fn faults(surface: &Surface, found: &mut Found) {
    let Turns { turned, hopeless } = turns(surface);
    found.extend(hopeless.into_iter().map(|at| Fault::OneSided { at }));
    if !turned.contains(&true) {
        return;
    }
    let mut sets = Sets::singles(turned.len());
    for run in by_edge(&sides(surface)) {
        if let [a, b] = run
            && turned[a.triangle as usize]
            && turned[b.triangle as usize]
        {
            sets.join(a.triangle, b.triangle);
        }
    }
    let (pieces, count) = sets.numbered();
    let mut sizes = vec![0; count];
    pieces.iter().for_each(|&piece| sizes[piece] += 1);
    let mut told = vec![false; count];
    for triangle in (0..turned.len()).filter(|&t| turned[t]) {
        if !std::mem::replace(&mut told[pieces[triangle]], true) {
            found.push(Fault::Turned {
                triangles: sizes[pieces[triangle]],
                at: Place(middle(surface, triangle)),
            });
        }
    }
}
