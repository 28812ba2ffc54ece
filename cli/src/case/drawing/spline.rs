//! B-splines → cubic Bézier curves.

use super::Unusable;
use ::dxf::entities::Spline;
use panelwright_mesh::{MOST_PIECES, Piece};

/// Steps of each knot span where a cubic is only near: a rational curve, or one of higher degree.
const STEPS: usize = 16;

/// A piecewise cubic through the curve with its tangents: exact up to the third degree, otherwise with an error that falls with the
/// fourth power of the step.
pub fn pieces(spline: &Spline) -> Result<Vec<Piece>, Unusable> {
    let curve = Curve::of(spline)?;
    let steps = if curve.degree <= 3 && !curve.rational { 1 } else { STEPS };
    let ends = &curve.knots[curve.degree..=curve.points.len()];
    let spans = ends.windows(2).filter(|span| span[1] > span[0]);
    let mut pieces = vec![];
    for span in spans {
        let step = (span[1] - span[0]) / steps as f64;
        for i in 0..steps {
            let (from, to) = (span[0] + i as f64 * step, span[0] + (i + 1) as f64 * step);
            pieces.push(curve.hermite(span[0], from, to));
        }
    }
    Ok(pieces)
}

/// Control points (x, y, 1) × weight over a knot vector.
struct Curve {
    degree: usize,
    knots: Vec<f64>,
    points: Vec<[f64; 3]>,
    rational: bool,
}

impl Curve {
    fn of(spline: &Spline) -> Result<Self, Unusable> {
        let weights = spline.weight_values.iter().copied().chain(std::iter::repeat(1.0));
        let points: Vec<_> =
            spline.control_points.iter().zip(weights).map(|(p, w)| [w * p.x, w * p.y, w]).collect();
        let knots = spline.knot_values.clone();
        let degree = usize::try_from(spline.degree_of_curve).unwrap_or(0);
        let rising = knots.windows(2).all(|pair| pair[0] <= pair[1]);
        let sound = (1..=10).contains(&degree)
            && (degree + 1..=MOST_PIECES).contains(&points.len())
            && knots.len() == points.len() + degree + 1
            && rising;
        if !sound {
            let reason = "its knots and control points do not fit together, or it has none";
            let help = "convert the spline into a polyline or arcs in the drawing program";
            return Err(Unusable::new("the drawing holds a spline that cannot be used", reason, help));
        }
        let rational = spline.weight_values.windows(2).any(|pair| pair[0] != pair[1]);
        Ok(Self { degree, knots, points, rational })
    }

    /// The cubic from `from` to `to`, both in the span that starts at the knot `span`, with the curve's ends and tangents.
    fn hermite(&self, span: f64, from: f64, to: f64) -> Piece {
        let third = (to - from) / 3.0;
        let ((p, v), (q, w)) = (self.at(span, from), self.at(span, to));
        let inner = |p: [f64; 2], v: [f64; 2], by: f64| [p[0] + by * v[0], p[1] + by * v[1]];
        Piece::Cubic { points: [p, inner(p, v, third), inner(q, w, -third), q] }
    }

    /// Point and velocity at `u`.
    fn at(&self, span: f64, u: f64) -> ([f64; 2], [f64; 2]) {
        let slopes: Vec<[f64; 3]> = self
            .points
            .windows(2)
            .enumerate()
            .map(|(i, pair)| {
                let width = self.knots[i + self.degree + 1] - self.knots[i + 1];
                let factor = if width > 0.0 { self.degree as f64 / width } else { 0.0 };
                [0, 1, 2].map(|k| factor * (pair[1][k] - pair[0][k]))
            })
            .collect();
        let inner = &self.knots[1..self.knots.len() - 1];
        let [x, y, w] = de_boor(&self.points, &self.knots, self.degree, span, u);
        let [dx, dy, dw] = de_boor(&slopes, inner, self.degree - 1, span, u);
        ([x / w, y / w], [(dx - x / w * dw) / w, (dy - y / w * dw) / w])
    }
}

/// De Boor's algorithm in the knot span that starts at `span` (C. de Boor, A Practical Guide to Splines, rev. ed. 2001, ch. X).
fn de_boor(points: &[[f64; 3]], knots: &[f64], degree: usize, span: f64, u: f64) -> [f64; 3] {
    let last = points.len() - 1;
    let k = (knots.partition_point(|&knot| knot <= span) - 1).clamp(degree, last);
    let mut d: Vec<[f64; 3]> = points[k - degree..=k].to_vec();
    for round in 1..=degree {
        for j in (round..=degree).rev() {
            let (low, high) = (knots[j + k - degree], knots[j + 1 + k - round]);
            let share = if high > low { (u - low) / (high - low) } else { 0.0 };
            d[j] = [0, 1, 2].map(|i| (1.0 - share) * d[j - 1][i] + share * d[j][i]);
        }
    }
    d[degree]
}
