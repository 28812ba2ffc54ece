//! Closed contours.

use super::Piece;
use crate::Axis;
use crate::RimPoint;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::num::NonZeroUsize;

/// A closed contour: each piece starts where the one before it ends, the first where the last ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contour {
    /// Its pieces in order.
    pub pieces: Vec<Piece>,
}

impl Contour {
    /// Polygon through `points` [m], closed from the last to the first.
    pub fn polygon(points: &[[f64; 2]]) -> Self {
        let next = points.iter().cycle().skip(1);
        let pieces = points.iter().zip(next).map(|(&from, &to)| Piece::Straight { from, to }).collect();
        Self { pieces }
    }

    /// Axis-parallel rectangle, counter-clockwise from its lower left `corner` [m].
    pub fn rectangle([x, y]: [f64; 2], width: f64, height: f64) -> Self {
        Self::polygon(&[[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    }

    /// Rectangle whose corners are rounded with `radius` [m], counter-clockwise from the left end of its bottom side.
    pub fn rounded_rectangle([x, y]: [f64; 2], width: f64, height: f64, radius: f64) -> Self {
        if radius <= 0.0 {
            return Self::rectangle([x, y], width, height);
        }
        let (right, top, r) = (x + width, y + height, radius);
        let arc = |centre: [f64; 2], start: f64| Piece::Arc {
            centre,
            radii: [r, r],
            tilt: 0.0,
            start,
            sweep: FRAC_PI_2,
        };
        let straight = |from: [f64; 2], to: [f64; 2]| Piece::Straight { from, to };
        let pieces = [
            straight([x + r, y], [right - r, y]),
            arc([right - r, y + r], -FRAC_PI_2),
            straight([right, y + r], [right, top - r]),
            arc([right - r, top - r], 0.0),
            straight([right - r, top], [x + r, top]),
            arc([x + r, top - r], FRAC_PI_2),
            straight([x, top - r], [x, y + r]),
            arc([x + r, y + r], PI),
        ];
        // Where the radius is half a side, that side has no straight part.
        let shortest = 1e-9 * width.max(height);
        let there = |piece: &Piece| !matches!(piece, Piece::Straight { .. }) || piece.length() > shortest;
        Self { pieces: pieces.into_iter().filter(there).collect() }
    }

    /// Ellipse with axes along x and y, counter-clockwise from its rightmost point.
    pub fn ellipse(centre: [f64; 2], width: f64, height: f64) -> Self {
        let radii = [0.5 * width, 0.5 * height];
        Self { pieces: vec![Piece::Arc { centre, radii, tilt: 0.0, start: 0.0, sweep: TAU }] }
    }

    /// Length [m].
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(Piece::length).sum()
    }

    /// Area [m²], positive when it runs counter-clockwise.
    pub fn signed_area(&self) -> f64 {
        // About a point of its own: far from the origin the terms would cancel.
        let Some(start) = self.pieces.first().map(Piece::from) else { return 0.0 };
        self.pieces.iter().map(|piece| piece.moved([-start[0], -start[1]]).swept_area()).sum()
    }

    /// Lower left and upper right corner [m] of the smallest box around it.
    pub fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        let none = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        self.pieces.iter().map(Piece::bounds).fold(none, |(low, high), (l, h)| {
            ([0, 1].map(|k| low[k].min(l[k])), [0, 1].map(|k| high[k].max(h[k])))
        })
    }

    /// The same contour run through backwards, from the same start.
    pub fn reversed(&self) -> Self {
        Self { pieces: self.pieces.iter().rev().map(Piece::reversed).collect() }
    }

    /// The same contour moved by `by` [m].
    pub fn moved(&self, by: [f64; 2]) -> Self {
        Self { pieces: self.pieces.iter().map(|piece| piece.moved(by)).collect() }
    }

    /// Runs counter-clockwise (`positive`) or clockwise, from the same start.
    pub fn wound(self, positive: bool) -> Self {
        if (self.signed_area() >= 0.0) == positive { self } else { self.reversed() }
    }

    /// Places [m] where the direction turns by more than `angle` [rad].
    pub fn corners(&self, angle: f64) -> impl Iterator<Item = [f64; 2]> + '_ {
        let next = self.pieces.iter().cycle().skip(1);
        let turns = move |(piece, next): (&Piece, &Piece)| {
            let (a, b) = (piece.normal(1.0), next.normal(0.0));
            (a[0] * b[0] + a[1] * b[1] < angle.cos()).then(|| next.from())
        };
        self.pieces.iter().zip(next).filter_map(turns)
    }

    /// As a polygon, nowhere farther than `tolerance` [m] from the true curve.
    pub fn polyline(&self, tolerance: f64) -> Vec<[f64; 2]> {
        let starts = |piece: &Piece| {
            let chords = piece.chords(tolerance);
            (0..chords).map(|i| piece.at(i as f64 / chords as f64)).collect::<Vec<_>>()
        };
        self.pieces.iter().flat_map(starts).collect()
    }

    /// Gauss nodes along it, `per_piece` on every stretch of at most `longest` [m]; it is contour `number` of its outline.
    pub fn rim(&self, longest: f64, per_piece: NonZeroUsize, number: usize) -> Vec<RimPoint> {
        let rule = Axis::gauss(1.0, per_piece);
        let mut nodes = vec![];
        let mut start = 0.0;
        for piece in &self.pieces {
            let steps = piece.steps(longest);
            for step in 0..steps {
                let (t0, width) = (step as f64 / steps as f64, 1.0 / steps as f64);
                nodes.extend(rule.nodes.iter().zip(&rule.weights).map(|(node, weight)| {
                    let t = t0 + width * node;
                    let [vx, vy] = piece.velocity(t);
                    RimPoint {
                        position: piece.at(t),
                        normal: piece.normal(t),
                        weight: weight * width * vx.hypot(vy),
                        contour: number,
                        along: start + piece.length_between(t0, t),
                    }
                }));
                start += piece.length_between(t0, t0 + width);
            }
        }
        nodes
    }
}
