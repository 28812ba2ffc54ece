//! Finds the part of a rim nearest to a point among very many.

use super::vector::{along, cross, difference, length};
use super::{Contour, Piece};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// Chords leave the true curve by at most this share of the outline's size.
const CHORD_TOLERANCE: f64 = 1e-6;

/// A chord of a piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chord {
    pub from: [f64; 2],
    pub to: [f64; 2],
    pub contour: usize,
    pub piece: usize,
    /// Its number along the contour.
    pub number: usize,
    /// Parameters of the piece at its ends.
    pub t: [f64; 2],
}

impl RTreeObject for Chord {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.from, self.to)
    }
}

impl PointDistance for Chord {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        let [dx, dy] =
            difference(*point, along(self.from, difference(self.to, self.from), self.share(*point)));
        dx * dx + dy * dy
    }
}

impl Chord {
    /// Share of the way along the chord of the point nearest to `point`.
    pub fn share(&self, point: [f64; 2]) -> f64 {
        let (d, p) = (difference(self.to, self.from), difference(point, self.from));
        let square = d[0] * d[0] + d[1] * d[1];
        if square > 0.0 { ((d[0] * p[0] + d[1] * p[1]) / square).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// Where it crosses the vertical line at `x`, one of its ends counted.
    fn height_at(&self, x: f64) -> Option<f64> {
        let ([ax, ay], [bx, by]) = (self.from, self.to);
        ((ax > x) != (bx > x)).then(|| ay + (x - ax) / (bx - ax) * (by - ay))
    }

    /// True when a ray from `point` to the right crosses it.
    pub fn crossed_from(&self, [x, y]: [f64; 2]) -> bool {
        let ([ax, ay], [bx, by]) = (self.from, self.to);
        (ay > y) != (by > y) && ax + (y - ay) / (by - ay) * (bx - ax) > x
    }
}

/// Chords of all `contours` that are longer than `shortest` [m], within `tolerance` [m] of the curves.
pub(super) fn chords(contours: &[Contour], tolerance: f64, shortest: f64) -> Vec<Chord> {
    let mut all = vec![];
    for (contour, curve) in contours.iter().enumerate() {
        let first = all.len();
        for (piece, path) in curve.pieces.iter().enumerate() {
            let count = path.chords(tolerance);
            let share = |i: usize| i as f64 / count as f64;
            for i in 0..count {
                let t = [share(i), share(i + 1)];
                let (from, to) = (path.at(t[0]), path.at(t[1]));
                if length(difference(to, from)) > shortest {
                    all.push(Chord { from, to, contour, piece, number: all.len() - first, t });
                }
            }
        }
        close(&mut all[first..]);
    }
    all
}

/// Ends each chord exactly where the next one starts: no ray slips through between them.
fn close(chords: &mut [Chord]) {
    for i in 0..chords.len() {
        chords[i].to = chords[(i + 1) % chords.len()].from;
    }
}

/// The point of a rim nearest to some point.
pub(super) struct Nearest {
    pub distance: f64,
    /// Signed by the side of the curve if it is known for certain: positive to the left.
    pub side: Option<f64>,
}

/// Index over the rim of an outline.
#[derive(Clone, Debug)]
pub(super) struct Index {
    tree: RTree<Chord>,
    size: [f64; 2],
    tolerance: f64,
}

impl Index {
    /// Of contours whose bounding box has its lower left corner at the origin.
    pub fn of(contours: &[Contour]) -> Self {
        let size = contours.first().map_or([0.0, 0.0], |outer| outer.bounds().1);
        let tolerance = CHORD_TOLERANCE * size[0].max(size[1]);
        Self { tree: RTree::bulk_load(chords(contours, tolerance, 0.0)), size, tolerance }
    }

    /// Upper right corner of the bounding box [m].
    pub fn size(&self) -> [f64; 2] {
        self.size
    }

    /// Distance [m] to the rim of `contours`, negative outside the material; −∞ for a point that is none.
    pub fn distance_inside(&self, contours: &[Contour], point: [f64; 2]) -> f64 {
        if !point.iter().all(|value| value.abs() < 1e100) {
            return f64::NEG_INFINITY;
        }
        let Some(nearest) = self.nearest(contours, point) else { return f64::NEG_INFINITY };
        let inside = nearest.side.map_or_else(|| self.encloses(point), |side| side >= 0.0);
        if inside { nearest.distance } else { -nearest.distance }
    }

    fn nearest(&self, contours: &[Contour], point: [f64; 2]) -> Option<Nearest> {
        let chord = self.tree.nearest_neighbor(point)?;
        let piece = &contours[chord.contour].pieces[chord.piece];
        if let Piece::Straight { .. } = piece {
            return Some(Nearest { distance: chord.distance_2(&point).sqrt(), side: None });
        }
        let start = chord.t[0] + chord.share(point) * (chord.t[1] - chord.t[0]);
        let (t, distance) = piece.nearest(point, start);
        // Between chord and curve only the curve itself knows the side.
        let certain = distance < 2.0 * self.tolerance && t > 0.0 && t < 1.0;
        let side = certain.then(|| cross(piece.velocity(t), difference(point, piece.at(t))));
        Some(Nearest { distance, side })
    }

    /// Stretches of the vertical line at `x` that lie in the material.
    pub fn column(&self, x: f64) -> Vec<[f64; 2]> {
        let line = AABB::from_corners([x, 0.0], [x, self.size[1]]);
        let chords = self.tree.locate_in_envelope_intersecting(line);
        let mut crossings: Vec<f64> = chords.filter_map(|chord| chord.height_at(x)).collect();
        crossings.sort_by(f64::total_cmp);
        crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
    }

    /// True when a ray to the right leaves the material an odd number of times.
    fn encloses(&self, [x, y]: [f64; 2]) -> bool {
        let ray = AABB::from_corners([x, y], [x.max(self.size[0]), y]);
        self.tree.locate_in_envelope_intersecting(ray).filter(|chord| chord.crossed_from([x, y])).count() % 2
            == 1
    }
}
