//! Points along the contours of slabs, and how they move when edges are rounded over.

use super::extruded::Chain;
use super::step::steps;
use crate::{Contour, Piece};

/// Points nearer to an axis than this share of the size lie on it.
pub const ON_THE_AXIS: f64 = 1e-9;

/// The part of a contour with x ≥ 0 and y ≥ 0: from x to y, or from y to x when it runs clockwise.
pub fn quarter(whole: &Chain, clockwise: bool) -> Option<Chain> {
    let count = whole.points.len();
    let (along, across) = if clockwise { (1, 0) } else { (0, 1) };
    let start = (0..count).find(|&i| whole.points[i][across] == 0.0 && whole.points[i][along] > 0.0)?;
    let end = (start..start + count).find(|&i| whole.points[i % count][along] == 0.0)?;
    let of = |all: &[[f64; 2]]| (start..=end).map(|i| all[i % count]).collect::<Vec<_>>();
    let quarter = Chain { points: of(&whole.points), inwards: of(&whole.inwards), closed: false };
    quarter.points.iter().flatten().all(|&value| value >= 0.0).then_some(quarter)
}

/// Every piece of a contour is divided into a multiple of this.
pub fn multiple(contour: &Contour) -> usize {
    if contour.pieces.len() == 1 { 4 } else { 2 }
}

/// Points along a contour, corners among them.
pub fn chain(contour: &Contour, length: f64) -> Chain {
    let (low, high) = contour.bounds();
    let small = ON_THE_AXIS * (high[0] - low[0]).max(high[1] - low[1]);
    let exact = |limit: f64| move |value: f64| if value.abs() <= limit { 0.0 } else { value };
    let count = contour.pieces.len();
    let corner = |i: usize| {
        mitre([contour.pieces[(i + count - 1) % count].normal(1.0), contour.pieces[i % count].normal(0.0)])
    };
    let (mut points, mut inwards) = (vec![], vec![]);
    for (i, piece) in contour.pieces.iter().enumerate() {
        let ends = [corner(i), corner(i + 1)];
        let parameters = steps(piece, length, multiple(contour));
        for &t in &parameters[..parameters.len() - 1] {
            points.push(piece.at(t).map(exact(small)));
            inwards.push(inwards_at(piece, t, ends).map(exact(ON_THE_AXIS)));
        }
    }
    Chain { points, inwards, closed: true }
}

/// How a point of a piece moves per inset when its ends move like this: those of straight sides spread evenly, those of curves keep
/// to their normals.
fn inwards_at(piece: &Piece, t: f64, ends: [[f64; 2]; 2]) -> [f64; 2] {
    match piece {
        Piece::Straight { .. } => [0, 1].map(|k| (1.0 - t) * ends[0][k] + t * ends[1][k]),
        _ if t == 0.0 => ends[0],
        _ => piece.normal(t).map(|value| -value),
    }
}

/// The way in which a corner moves when both its sides, with these outward normals, move inwards by one metre.
fn mitre([a, b]: [[f64; 2]; 2]) -> [f64; 2] {
    let cosine = a[0] * b[0] + a[1] * b[1];
    [0, 1].map(|k| -(a[k] + b[k]) / (1.0 + cosine).max(1e-3))
}

/// The inset [m] at which the first side of a chain has shrunk to nothing.
pub fn most_inset(chain: &Chain) -> f64 {
    let count = chain.points.len();
    let side = |i: usize| {
        let j = (i + 1) % count;
        let way = |of: &[[f64; 2]]| [of[j][0] - of[i][0], of[j][1] - of[i][1]];
        let (side, change) = (way(&chain.points), way(&chain.inwards));
        let shrinks = -(side[0] * change[0] + side[1] * change[1]);
        // Not a curve that rounding alone makes shrink.
        let square = side[0] * side[0] + side[1] * side[1];
        if shrinks > 1e-12 * square.sqrt() { square / shrinks } else { f64::INFINITY }
    };
    (0..count).map(side).fold(f64::INFINITY, f64::min)
}
