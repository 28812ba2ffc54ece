//! Pieces of a contour: straight lines, elliptic arcs, cubic Bézier curves.

use super::vector::{along, cross, difference, length, turned};
use crate::Axis;
use kurbo::{CubicBez, ParamCurve, ParamCurveArea, ParamCurveExtrema};
use serde::{Deserialize, Serialize};
use std::f64::consts::FRAC_PI_4;
use std::num::NonZeroUsize;
use std::sync::LazyLock;

/// Most chords a single piece is cut into.
const MOST_CHORDS: f64 = 4096.0;

/// Gauss rule on 0…1 for lengths of curved stretches.
static RULE: LazyLock<Axis> =
    LazyLock::new(|| Axis::gauss(1.0, NonZeroUsize::new(16).expect("16 is positive")));

/// A piece of a contour, run through with the parameter t = 0…1. Lengths in metres, angles in radians.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "piece", rename_all = "kebab-case")]
pub enum Piece {
    /// A straight line.
    Straight {
        /// Start [m].
        from: [f64; 2],
        /// End [m].
        to: [f64; 2],
    },
    /// Part of an ellipse, `centre + turn(tilt) · (a cos θ, b sin θ)`, θ = start + t · sweep.
    Arc {
        /// Centre of the ellipse [m].
        centre: [f64; 2],
        /// Its half axes a and b [m].
        radii: [f64; 2],
        /// Angle of the first half axis to x [rad].
        tilt: f64,
        /// θ at the start [rad].
        start: f64,
        /// Change of θ [rad], positive counter-clockwise, at most one turn.
        sweep: f64,
    },
    /// A cubic Bézier curve.
    Cubic {
        /// Start, two control points, end [m].
        points: [[f64; 2]; 4],
    },
}

impl Piece {
    /// Start [m].
    pub fn from(&self) -> [f64; 2] {
        self.at(0.0)
    }

    /// End [m].
    pub fn to(&self) -> [f64; 2] {
        self.at(1.0)
    }

    /// Point [m] at `t`.
    pub fn at(&self, t: f64) -> [f64; 2] {
        match *self {
            // Weighted ends, not a start and a way: exact at both.
            Piece::Straight { from, to } => [0, 1].map(|k| (1.0 - t) * from[k] + t * to[k]),
            Piece::Arc { centre, tilt, .. } => along(centre, turned(self.on_axes(t, 0), tilt), 1.0),
            Piece::Cubic { points } => {
                let point = bezier(points).eval(t);
                [point.x, point.y]
            }
        }
    }

    /// `∂point/∂t` [m].
    pub fn velocity(&self, t: f64) -> [f64; 2] {
        match *self {
            Piece::Straight { from, to } => difference(to, from),
            Piece::Arc { tilt, .. } => turned(self.on_axes(t, 1), tilt),
            Piece::Cubic { points } => {
                let leg = |i: usize| difference(points[i + 1], points[i]);
                let (s, legs) = (1.0 - t, [leg(0), leg(1), leg(2)]);
                [0, 1].map(|k| 3.0 * (s * s * legs[0][k] + 2.0 * s * t * legs[1][k] + t * t * legs[2][k]))
            }
        }
    }

    /// `∂²point/∂t²` [m].
    fn acceleration(&self, t: f64) -> [f64; 2] {
        match *self {
            Piece::Straight { .. } => [0.0, 0.0],
            Piece::Arc { tilt, .. } => turned(self.on_axes(t, 2), tilt),
            Piece::Cubic { points } => {
                [0, 1].map(|k| 6.0 * ((1.0 - t) * bend(points, 0)[k] + t * bend(points, 1)[k]))
            }
        }
    }

    /// The `derivative`-th derivative with t of `(a cos θ, b sin θ)` of an arc; zero for other pieces.
    fn on_axes(&self, t: f64, derivative: i32) -> [f64; 2] {
        let Piece::Arc { radii: [a, b], start, sweep, .. } = *self else { return [0.0, 0.0] };
        let (sin, cos) = (start + t * sweep).sin_cos();
        let (x, y) = match derivative {
            0 => (cos, sin),
            1 => (-sin, cos),
            _ => (-cos, -sin),
        };
        [a * x, b * y].map(|value| value * sweep.powi(derivative))
    }

    /// Length [m].
    pub fn length(&self) -> f64 {
        let steps = self.steps(0.0);
        (0..steps).map(|i| self.length_between(i as f64 / steps as f64, (i + 1) as f64 / steps as f64)).sum()
    }

    /// Length [m] between two parameters that lie near each other.
    pub fn length_between(&self, t0: f64, t1: f64) -> f64 {
        if let Piece::Straight { .. } = self {
            return (t1 - t0) * length(self.velocity(0.0));
        }
        let speed = |&t: &f64| length(self.velocity(t0 + (t1 - t0) * t));
        (t1 - t0) * RULE.nodes.iter().zip(&RULE.weights).map(|(t, weight)| weight * speed(t)).sum::<f64>()
    }

    /// `½ ∫ (x dy − y dx)` [m²]: over a closed contour its area, positive counter-clockwise (Green's theorem).
    pub fn swept_area(&self) -> f64 {
        match *self {
            Piece::Straight { from, to } => 0.5 * cross(from, to),
            Piece::Arc { centre, radii, sweep, .. } => {
                let chord = difference(self.to(), self.from());
                0.5 * (radii[0] * radii[1] * sweep + cross(centre, chord))
            }
            Piece::Cubic { points } => bezier(points).signed_area(),
        }
    }

    /// Lower left and upper right corner [m] of the smallest box around it.
    pub fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        let extremes = self.extremes().into_iter().map(|t| self.at(t));
        let start = (self.from(), self.from());
        extremes.chain([self.to()]).fold(start, |(low, high), point| {
            ([0, 1].map(|k| low[k].min(point[k])), [0, 1].map(|k| high[k].max(point[k])))
        })
    }

    /// Parameters where it may lie farthest left, right, up or down.
    fn extremes(&self) -> Vec<f64> {
        match *self {
            Piece::Straight { .. } => vec![],
            Piece::Cubic { points } => bezier(points).extrema().to_vec(),
            Piece::Arc { radii: [a, b], tilt, start, sweep, .. } => {
                let (sin, cos) = tilt.sin_cos();
                let turn = std::f64::consts::PI;
                let angles = [f64::atan2(-b * sin, a * cos), f64::atan2(b * cos, a * sin)];
                let shares =
                    |angle: f64| (-4..=4).map(move |n| (angle + turn * f64::from(n) - start) / sweep);
                angles.into_iter().flat_map(shares).filter(|t| (0.0..=1.0).contains(t)).collect()
            }
        }
    }

    /// The same piece run through backwards.
    pub fn reversed(&self) -> Self {
        match *self {
            Piece::Straight { from, to } => Piece::Straight { from: to, to: from },
            Piece::Arc { centre, radii, tilt, start, sweep } => {
                Piece::Arc { centre, radii, tilt, start: start + sweep, sweep: -sweep }
            }
            Piece::Cubic { points: [a, b, c, d] } => Piece::Cubic { points: [d, c, b, a] },
        }
    }

    /// The same piece moved by `by` [m].
    pub fn moved(&self, by: [f64; 2]) -> Self {
        let there = |point: [f64; 2]| along(point, by, 1.0);
        match *self {
            Piece::Straight { from, to } => Piece::Straight { from: there(from), to: there(to) },
            Piece::Arc { centre, radii, tilt, start, sweep } => {
                Piece::Arc { centre: there(centre), radii, tilt, start, sweep }
            }
            Piece::Cubic { points } => Piece::Cubic { points: points.map(there) },
        }
    }

    /// How many equal steps of t keep chords within `tolerance` [m] of the curve: a chord leaves it by at most `|acceleration| Δt²/8`.
    /// A curved piece gets at least one step for each eighth of a turn, or four.
    pub fn chords(&self, tolerance: f64) -> usize {
        let (least, bend) = match *self {
            Piece::Straight { .. } => return 1,
            Piece::Arc { radii, sweep, .. } => {
                ((sweep.abs() / FRAC_PI_4).ceil(), radii[0].max(radii[1]) * sweep * sweep)
            }
            Piece::Cubic { points } => (4.0, 6.0 * length(bend(points, 0)).max(length(bend(points, 1)))),
        };
        (0.125 * bend / tolerance).sqrt().ceil().max(least).min(MOST_CHORDS) as usize
    }

    /// How many equal steps of t to integrate over, each at most `longest` [m] long (a straight line's only if `longest` asks).
    pub fn steps(&self, longest: f64) -> usize {
        let (least, fastest) = match *self {
            Piece::Straight { .. } => (1.0, length(self.velocity(0.0))),
            Piece::Arc { radii, sweep, .. } => {
                ((sweep.abs() / FRAC_PI_4).ceil(), radii[0].max(radii[1]) * sweep.abs())
            }
            Piece::Cubic { points } => {
                (8.0, 3.0 * (0..3).map(|i| length(difference(points[i + 1], points[i]))).fold(0.0, f64::max))
            }
        };
        let wanted = if longest > 0.0 { (fastest / longest).ceil() } else { 1.0 };
        wanted.max(least).clamp(1.0, MOST_CHORDS) as usize
    }

    /// Parameter and distance [m] of the point nearest to `point`, sought by Newton's method from `t`.
    pub fn nearest(&self, point: [f64; 2], t: f64) -> (f64, f64) {
        let distance = |t: f64| length(difference(point, self.at(t)));
        let mut best = (t, distance(t));
        let mut t = t;
        for _ in 0..8 {
            let (offset, speed) = (difference(self.at(t), point), self.velocity(t));
            let dot = |a: [f64; 2], b: [f64; 2]| a[0] * b[0] + a[1] * b[1];
            let slope = dot(speed, speed) + dot(offset, self.acceleration(t));
            if slope <= 0.0 {
                break;
            }
            t = (t - dot(offset, speed) / slope).clamp(0.0, 1.0);
            if distance(t) < best.1 {
                best = (t, distance(t));
            }
        }
        best
    }

    /// Unit normal to the right of the direction of travel at `t`; where the curve stands still, of its chord.
    pub fn normal(&self, t: f64) -> [f64; 2] {
        let mut direction = self.velocity(t);
        if length(direction) <= 0.0 {
            direction = difference(self.to(), self.from());
        }
        let size = length(direction);
        [direction[1] / size, -direction[0] / size]
    }

    /// Every number that describes it.
    pub(super) fn numbers(&self) -> Vec<f64> {
        match *self {
            Piece::Straight { from, to } => [from, to].concat(),
            Piece::Arc { centre, radii, tilt, start, sweep } => {
                [centre.as_slice(), &radii, &[tilt, start, sweep]].concat()
            }
            Piece::Cubic { points } => points.concat(),
        }
    }
}

fn bezier(points: [[f64; 2]; 4]) -> CubicBez {
    let [a, b, c, d] = points.map(|[x, y]| kurbo::Point::new(x, y));
    CubicBez::new(a, b, c, d)
}

/// Second difference of the control points from `i`.
fn bend(points: [[f64; 2]; 4], i: usize) -> [f64; 2] {
    [0, 1].map(|k| points[i][k] - 2.0 * points[i + 1][k] + points[i + 2][k])
}
