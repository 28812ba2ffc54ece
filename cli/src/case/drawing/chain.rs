//! Loose pieces → closed contours.

use super::Unusable;
use panelwright_mesh::{Contour, MOST_PIECES, Piece, SHORTEST};

/// Ends nearer than this [m] are meant to meet: drawings are rarely exact.
const JOIN: f64 = 5e-5;

/// Joins pieces end to end, in any order and direction, until all contours are closed.
///
/// # Errors
/// When a chain of pieces does not close.
pub fn closed(pieces: Vec<Piece>) -> Result<Vec<Contour>, Unusable> {
    if pieces.len() > MOST_PIECES {
        let message = format!("the drawing has {} lines and curves", pieces.len());
        let help = "simplify the path, or leave out what is not outline or cut-out";
        return Err(Unusable::new(message, format!("at most {MOST_PIECES} can be used"), help));
    }
    let mut loose: Vec<Piece> = pieces.into_iter().filter(|piece| piece.length() > SHORTEST).collect();
    // Taken from the end: first drawn, first joined.
    loose.reverse();
    let mut contours = vec![];
    while let Some(first) = loose.pop() {
        contours.push(chain(first, &mut loose)?);
    }
    Ok(contours)
}

fn chain(first: Piece, loose: &mut Vec<Piece>) -> Result<Contour, Unusable> {
    let start = first.from();
    let mut pieces = vec![first];
    loop {
        let end = pieces.last().map_or(start, Piece::to);
        if apart(end, start) <= JOIN {
            bridge(&mut pieces, end, start);
            return Ok(from_the_lower_left(pieces));
        }
        let (next, gap) = nearest(end, loose);
        match next {
            Some((index, backwards)) if gap <= JOIN => {
                let piece = loose.remove(index);
                let piece = if backwards { piece.reversed() } else { piece };
                bridge(&mut pieces, end, piece.from());
                pieces.push(piece);
            }
            _ => return Err(open(end, start, gap)),
        }
    }
}

/// The loose piece whose end is nearest to `end`, and whether it has to be turned round. The one drawn next goes before.
fn nearest(end: [f64; 2], loose: &[Piece]) -> (Option<(usize, bool)>, f64) {
    let mut best = (None, f64::INFINITY);
    for (index, piece) in loose.iter().enumerate().rev() {
        for (point, backwards) in [(piece.from(), false), (piece.to(), true)] {
            let gap = apart(end, point);
            if gap < best.1 {
                best = (Some((index, backwards)), gap);
            }
        }
        if best.1 <= SHORTEST {
            break;
        }
    }
    best
}

/// A straight line over a gap too wide to be rounding.
fn bridge(pieces: &mut Vec<Piece>, from: [f64; 2], to: [f64; 2]) {
    if apart(from, to) > SHORTEST {
        pieces.push(Piece::Straight { from, to });
    }
}

/// Drawings have no natural start; the lowest corner is one, of several the leftmost.
fn from_the_lower_left(mut pieces: Vec<Piece>) -> Contour {
    let rank = |piece: &Piece| {
        let [x, y] = piece.from();
        ((y / JOIN).round(), x)
    };
    let below = |a: &(f64, f64), b: &(f64, f64)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
    let lowest = pieces.iter().map(rank).enumerate().min_by(|a, b| below(&a.1, &b.1)).map_or(0, |(i, _)| i);
    pieces.rotate_left(lowest);
    Contour { pieces }
}

fn open(end: [f64; 2], start: [f64; 2], gap: f64) -> Unusable {
    let at = |[x, y]: [f64; 2]| format!("{:.2}, {:.2} mm", 1e3 * x + 0.0, 1e3 * y + 0.0);
    let gap = gap.min(apart(end, start));
    let reason = format!(
        "a path that starts at ({}) stops at ({}), {:.2} mm from the next end",
        at(start),
        at(end),
        1e3 * gap
    );
    let help = "close the path in the drawing program (the places are in the drawing's coordinates, y upwards); ends may lie 0.05 mm apart";
    Unusable::new("the drawing holds a path that is not closed", reason, help)
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
