//! Mends what can be mended without asking.

use super::edges::rims;
use super::fault::Place;
use super::fill::lid;
use super::flat::{no_area, twice};
use super::orientation::turns;
use super::shells::{Shell, shells};
use crate::surface::sides::{neighbours, sides};
use crate::{Surface, Welded};
use std::collections::HashSet;
use thiserror::Error;

/// Rounds of flipping triangles without area away, at most.
const MOST_ROUNDS: usize = 8;

/// Something that was done to a surface.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum Repair {
    /// Points that nearly coincided.
    #[error("{points} points that nearly coincided with others were merged with them")]
    Welded {
        /// How many went.
        points: usize,
    },
    /// Triangles without area.
    #[error("{triangles} triangles without area were removed")]
    NoArea {
        /// How many.
        triangles: usize,
    },
    /// Triangles that were there twice.
    #[error("{triangles} triangles that were there twice were removed")]
    Twice {
        /// How many.
        triangles: usize,
    },
    /// Triangles that faced against their neighbours or inwards.
    #[error("{triangles} triangles were turned round to face outwards")]
    Turned {
        /// How many.
        triangles: usize,
    },
    /// A hole closed.
    #[error("a hole of {sides} sides at {at} was closed with a flat lid")]
    Closed {
        /// Sides of its rim.
        sides: usize,
        /// A point of it.
        at: Place,
    },
}

/// A mended surface, and what was done to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Repaired {
    /// The surface.
    pub surface: Surface,
    /// In this order.
    pub repairs: Vec<Repair>,
}

/// Welds points, removes triangles without area and doubles, turns triangles to face outwards, closes holes that are a single
/// triangle or small and flat. What needs a decision stays a fault: run the check again. A surface that names points that are not
/// there comes back untouched.
pub fn repaired(surface: &Surface) -> Repaired {
    let whole = surface.patches.len() == surface.triangles.len()
        && surface.triangles.iter().flatten().all(|&point| (point as usize) < surface.points.len());
    if !whole {
        return Repaired { surface: surface.clone(), repairs: vec![] };
    }
    let Welded { surface, merged } = surface.welded();
    let mut mended = Repaired { surface, repairs: vec![] };
    mended.tell(merged, |points| Repair::Welded { points });
    let flat = without_flat(&mut mended.surface);
    mended.tell(flat, |triangles| Repair::NoArea { triangles });
    let doubles: HashSet<usize> = twice(&mended.surface).into_iter().map(|pair| pair[1]).collect();
    keep(&mut mended.surface, |triangle| !doubles.contains(&triangle));
    mended.tell(doubles.len(), |triangles| Repair::Twice { triangles });
    let mut turned = turn(&mut mended.surface);
    mended.close();
    turned = turned.into_iter().zip(outwards(&mut mended.surface)).map(|(a, b)| a != b).collect();
    let count = turned.iter().filter(|turned| **turned).count();
    mended.tell(count, |triangles| Repair::Turned { triangles });
    mended
}

impl Repaired {
    fn tell(&mut self, count: usize, repair: impl Fn(usize) -> Repair) {
        self.repairs.extend((count > 0).then(|| repair(count)));
    }

    fn close(&mut self) {
        let surface = &mut self.surface;
        let diagonal = surface.diagonal();
        for rim in rims(surface, &sides(surface)) {
            let Some(lid) = lid(surface, &rim, diagonal) else { continue };
            let patch = patch_at(surface, &rim);
            surface.patches.extend(std::iter::repeat_n(patch, lid.len()));
            surface.triangles.extend(lid);
            let at = Place(surface.points[rim[0] as usize]);
            self.repairs.push(Repair::Closed { sides: rim.len(), at });
        }
    }
}

/// The patch of the triangle at the first side of a rim.
fn patch_at(surface: &Surface, rim: &[u32]) -> u16 {
    let at =
        surface.triangles.iter().position(|corners| corners.contains(&rim[0]) && corners.contains(&rim[1]));
    at.map_or(0, |triangle| surface.patches[triangle])
}

fn keep(surface: &mut Surface, kept: impl Fn(usize) -> bool) {
    let (mut at, mut patch_at) = (0.., 0..);
    surface.triangles.retain(|_| at.next().is_some_and(&kept));
    surface.patches.retain(|_| patch_at.next().is_some_and(&kept));
}

/// Removes triangles without area, and says how many: those with two equal corners go; of a flat one the long side is flipped, so
/// that its neighbour takes the middle corner in.
fn without_flat(surface: &mut Surface) -> usize {
    let before = surface.triangles.len();
    let diagonal = surface.diagonal();
    let mut flipped = 0;
    for _ in 0..MOST_ROUNDS {
        drop_collapsed(surface);
        let flat: Vec<_> = (0..surface.triangles.len()).filter(|&t| no_area(surface, t, diagonal)).collect();
        let count = flip_away(surface, &flat);
        flipped += count;
        if count == 0 {
            break;
        }
    }
    before - surface.triangles.len() + flipped
}

fn drop_collapsed(surface: &mut Surface) {
    let fine: Vec<_> = surface.triangles.iter().map(|&[a, b, c]| a != b && b != c && c != a).collect();
    keep(surface, |triangle| fine[triangle]);
}

/// For each flat triangle a-b-c with c on a-b, and b-a-d across: b-a-d becomes b-c-d and c-a-d. Says how many.
fn flip_away(surface: &mut Surface, flat: &[usize]) -> usize {
    let across = neighbours(surface);
    let (mut touched, mut flipped) = (HashSet::new(), 0);
    for &triangle in flat {
        let corners = surface.corners(triangle);
        let length = |side: usize| (corners[(side + 1) % 3] - corners[side]).norm();
        let longest =
            if length(0) >= length(1).max(length(2)) { 0 } else { 1 + usize::from(length(2) > length(1)) };
        let Some(other) = across[triangle][longest].map(|other| other as usize) else { continue };
        if touched.contains(&triangle) || touched.contains(&other) {
            continue;
        }
        flipped += 1;
        touched.extend([triangle, other]);
        touched.extend(across[triangle].iter().chain(&across[other]).flatten().map(|&t| t as usize));
        let [a, b, c] = [0, 1, 2].map(|k| surface.triangles[triangle][(longest + k) % 3]);
        let with = |from: u32| surface.triangles[other].map(|point| if point == from { c } else { point });
        (surface.triangles[triangle], surface.triangles[other]) = (with(b), with(a));
        surface.patches[triangle] = surface.patches[other];
    }
    flipped
}

fn turn(surface: &mut Surface) -> Vec<bool> {
    let turned = turns(surface).turned;
    for (corners, turned) in surface.triangles.iter_mut().zip(&turned) {
        if *turned {
            corners.swap(1, 2);
        }
    }
    turned
}

/// Turns outermost shells that are inside out, and what lies in them too: then the whole drawing was turned. A body within a body
/// that faces outwards is left alone: it takes a decision.
fn outwards(surface: &mut Surface) -> Vec<bool> {
    let mut turned = vec![false; surface.triangles.len()];
    let shells = shells(surface);
    let inverted = |shell: &Shell| shell.closed && shell.within.is_empty() && shell.volume < 0.0;
    for shell in &shells {
        if inverted(shell) || shell.within.iter().any(|&other| inverted(&shells[other])) {
            shell.triangles.iter().for_each(|&triangle| turned[triangle] = true);
        }
    }
    for (corners, _) in surface.triangles.iter_mut().zip(&turned).filter(|(_, turned)| **turned) {
        corners.swap(1, 2);
    }
    turned
}
