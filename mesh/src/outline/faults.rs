//! What can be wrong with contours, and where.

use super::Contour;
use super::index::{Chord, chords};
use super::vector::{along, cross, difference, length};
use rstar::{AABB, RTree};

/// Most pieces of all contours together.
pub const MOST_PIECES: usize = 20_000;
/// Largest coordinate [m] that is taken for one of a panel.
pub const LARGEST: f64 = 1e4;
/// Shortest piece [m].
pub const SHORTEST: f64 = 1e-7;
/// Faults listed at most; the first few tell the story.
const MOST_FAULTS: usize = 20;
/// Pairs of chords looked at before the search for crossings gives up on a tangle.
const MOST_PAIRS: usize = 20_000_000;

/// A fault of contours. Contour 0 is the outer one, then the cut-outs; coordinates in metres.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// No contour encloses nothing.
    Empty {
        /// Contour.
        contour: usize,
    },
    /// A coordinate is not a number or absurdly large.
    NotFinite {
        /// Contour.
        contour: usize,
        /// Piece of the contour.
        piece: usize,
    },
    /// Too many pieces to work with.
    TooMany {
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// A piece does not start where the one before it ends.
    Open {
        /// Contour.
        contour: usize,
        /// Where a piece ends.
        from: [f64; 2],
        /// Where the next one starts.
        to: [f64; 2],
    },
    /// A piece without length: a point given twice.
    NoLength {
        /// Contour.
        contour: usize,
        /// Piece of the contour.
        piece: usize,
        /// Where.
        at: [f64; 2],
    },
    /// A contour encloses no area.
    NoArea {
        /// Contour.
        contour: usize,
        /// Its start.
        at: [f64; 2],
    },
    /// A contour turns back on itself, so that its two sides coincide.
    FoldsBack {
        /// Contour.
        contour: usize,
        /// Where it turns.
        at: [f64; 2],
    },
    /// A contour crosses or touches itself or another one.
    Crosses {
        /// The two contours.
        contours: [usize; 2],
        /// Where.
        at: [f64; 2],
    },
    /// A cut-out lies beside the panel.
    Outside {
        /// Contour of the cut-out.
        contour: usize,
        /// A point of it.
        at: [f64; 2],
    },
    /// A cut-out lies within another one.
    Within {
        /// Contour of the inner one.
        contour: usize,
        /// Contour of the outer one.
        other: usize,
        /// A point of the inner one.
        at: [f64; 2],
    },
    /// Little material between two parts of the rim.
    Thin {
        /// The two contours.
        contours: [usize; 2],
        /// Middle of the neck.
        at: [f64; 2],
        /// Width there [m].
        width: f64,
    },
}

impl Fault {
    /// Where it is, if it is anywhere.
    pub fn at(&self) -> Option<[f64; 2]> {
        match *self {
            Fault::Empty { .. } | Fault::NotFinite { .. } | Fault::TooMany { .. } => None,
            Fault::Open { from, .. } => Some(from),
            Fault::NoLength { at, .. }
            | Fault::NoArea { at, .. }
            | Fault::FoldsBack { at, .. }
            | Fault::Crosses { at, .. }
            | Fault::Outside { at, .. }
            | Fault::Within { at, .. }
            | Fault::Thin { at, .. } => Some(at),
        }
    }
}

/// Faults of each contour for itself, but for crossings: numbers, gaps, pieces without length, contours without area.
pub fn malformed(contours: &[Contour]) -> Vec<Fault> {
    let count = contours.iter().map(|contour| contour.pieces.len()).sum();
    if count > MOST_PIECES {
        return vec![Fault::TooMany { count, most: MOST_PIECES }];
    }
    let faults: Vec<_> = contours.iter().enumerate().flat_map(|(i, c)| unusable(i, c)).collect();
    if !faults.is_empty() {
        return shortened(faults);
    }
    let each = contours.iter().enumerate();
    shortened(each.flat_map(|(i, contour)| gaps_and_points(i, contour)).collect())
}

fn unusable(number: usize, contour: &Contour) -> Vec<Fault> {
    if contour.pieces.is_empty() {
        return vec![Fault::Empty { contour: number }];
    }
    let usable = |value: &f64| value.abs() <= LARGEST;
    let bad = contour.pieces.iter().enumerate().filter(|(_, piece)| !piece.numbers().iter().all(usable));
    bad.map(|(piece, _)| Fault::NotFinite { contour: number, piece }).collect()
}

fn gaps_and_points(number: usize, contour: &Contour) -> Vec<Fault> {
    let next = contour.pieces.iter().cycle().skip(1);
    let gaps = contour.pieces.iter().zip(next).filter_map(|(piece, next)| {
        let (from, to) = (piece.to(), next.from());
        let gap = length(difference(to, from));
        (gap > SHORTEST).then_some(Fault::Open { contour: number, from, to })
    });
    let points = contour.pieces.iter().enumerate().filter_map(|(i, piece)| {
        let short = piece.length() <= SHORTEST;
        short.then(|| Fault::NoLength { contour: number, piece: i, at: piece.from() })
    });
    let mut faults: Vec<_> = gaps.chain(points).collect();
    if faults.is_empty() && contour.signed_area().abs() <= SHORTEST * contour.length() {
        faults.push(Fault::NoArea { contour: number, at: contour.pieces[0].from() });
    }
    faults
}

/// Crossings, and cut-outs that are not in the material, of well-formed contours.
pub fn badly_placed(contours: &[Contour]) -> Vec<Fault> {
    let Some(outer) = contours.first() else { return vec![] };
    let (low, high) = outer.bounds();
    let size = length(difference(high, low));
    let chords = chords(contours, 1e-6 * size, 0.0);
    let counts: Vec<_> =
        (0..contours.len()).map(|i| chords.iter().filter(|c| c.contour == i).count()).collect();
    let folds = chords.iter().zip(following(&chords)).filter_map(|(chord, next)| fold(chord, next));
    let mut faults: Vec<_> = folds.take(MOST_FAULTS).collect();
    faults.extend(crossings(&chords, &counts, 1e-6 * size));
    if faults.is_empty() {
        faults = misplaced(contours, &chords);
    }
    shortened(faults)
}

/// For each chord the next of its contour.
fn following(chords: &[Chord]) -> impl Iterator<Item = &Chord> {
    let mut first = 0;
    chords.iter().enumerate().map(move |(i, chord)| {
        if chord.number == 0 {
            first = i;
        }
        chords.get(i + 1).filter(|next| next.contour == chord.contour).unwrap_or(&chords[first])
    })
}

fn fold(chord: &Chord, next: &Chord) -> Option<Fault> {
    let (a, b) = (difference(chord.to, chord.from), difference(next.to, next.from));
    let product = length(a) * length(b);
    let folded = a[0] * b[0] + a[1] * b[1] < 0.0 && cross(a, b).abs() <= 1e-9 * product;
    folded.then_some(Fault::FoldsBack { contour: chord.contour, at: chord.to })
}

fn crossings(chords: &[Chord], counts: &[usize], apart: f64) -> Vec<Fault> {
    let tree = RTree::bulk_load(chords.to_vec());
    let mut faults: Vec<Fault> = vec![];
    let mut budget = MOST_PAIRS;
    for chord in chords {
        let near = tree.locate_in_envelope_intersecting(AABB::from_corners(chord.from, chord.to));
        for other in near {
            budget = budget.saturating_sub(1);
            if budget == 0 || faults.len() >= MOST_FAULTS {
                return faults;
            }
            let later = (other.contour, other.number) > (chord.contour, chord.number);
            if !later || neighbours(chord, other, counts[chord.contour]) {
                continue;
            }
            let Some(at) = meeting(chord, other) else { continue };
            let known = |fault: &Fault| fault.at().is_some_and(|p| length(difference(p, at)) <= apart);
            if !faults.iter().any(known) {
                faults.push(Fault::Crosses { contours: [chord.contour, other.contour], at });
            }
        }
    }
    faults
}

fn neighbours(a: &Chord, b: &Chord, count: usize) -> bool {
    let apart = a.number.abs_diff(b.number);
    a.contour == b.contour && (apart <= 1 || apart + 1 == count)
}

/// A point that two chords share.
fn meeting(a: &Chord, b: &Chord) -> Option<[f64; 2]> {
    let (da, db) = (difference(a.to, a.from), difference(b.to, b.from));
    let offset = difference(b.from, a.from);
    let determinant = cross(da, db);
    if determinant.abs() > 1e-12 * length(da) * length(db) {
        let (s, t) = (cross(offset, db) / determinant, cross(offset, da) / determinant);
        let on = |share: f64, d: [f64; 2]| {
            let slack = 1e-3 * SHORTEST / length(d);
            (-slack..=1.0 + slack).contains(&share)
        };
        return (on(s, da) && on(t, db)).then(|| along(a.from, da, s.clamp(0.0, 1.0)));
    }
    // Parallel: they meet if an end of one lies on the other.
    let touches = |chord: &Chord, point: [f64; 2]| {
        let there = along(chord.from, difference(chord.to, chord.from), chord.share(point));
        length(difference(there, point)) <= 1e-3 * SHORTEST
    };
    let ends = [(a, b.from), (a, b.to), (b, a.from), (b, a.to)];
    ends.into_iter().find(|(chord, point)| touches(chord, *point)).map(|(_, point)| point)
}

/// Cut-outs beside the panel or in one another, when no contours cross.
fn misplaced(contours: &[Contour], chords: &[Chord]) -> Vec<Fault> {
    let encloses = |contour: usize, [x, y]: [f64; 2]| {
        let of = chords.iter().filter(|chord| chord.contour == contour);
        of.filter(|chord| chord.crossed_from([x, y])).count() % 2 == 1
    };
    let boxes: Vec<_> = contours.iter().map(Contour::bounds).collect();
    let boxed = |i: usize, [x, y]: [f64; 2]| {
        let (low, high) = boxes[i];
        low[0] <= x && x <= high[0] && low[1] <= y && y <= high[1]
    };
    let mut faults = vec![];
    for (contour, curve) in contours.iter().enumerate().skip(1) {
        let at = curve.pieces[0].from();
        if !encloses(0, at) {
            faults.push(Fault::Outside { contour, at });
        }
        let holder = (1..contours.len()).find(|&i| i != contour && boxed(i, at) && encloses(i, at));
        faults.extend(holder.map(|other| Fault::Within { contour, other, at }));
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    faults
}

fn shortened(mut faults: Vec<Fault>) -> Vec<Fault> {
    faults.truncate(MOST_FAULTS);
    faults
}
