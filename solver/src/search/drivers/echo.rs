//! How much of a wall's echo a board throws back onto what hangs before it.
//!
//! A point source at the height h over a rigid half-plane, the distance d inside its edge, hears of itself: the image at 2h if d > 0, and the
//! edge. The sources along the edge that stand for it (U. P. Svensson, R. I. Fred & J. Vanderkooy, J. Acoust. Soc. Am. 106 (1999) 2331, eq. 29–31 for a thin
//! plate, ν = 1/2; cited from memory, checked against computed boards) come to, for a source `exp(−jkR)/R` and a receiver at one place, with r² = d² + h²,
//! m² = r² + z²,
//!
//! ```text
//! p_edge = −1/(2π) ∫_r^∞ exp(−2jkm) [r/m³ + d/(m (m² − h²))] m dm / √(m² − r²)
//! ```
//!
//! integrated along m = r − jt², where it does not oscillate. Over the image's `exp(−2jkh)/(2h)` all of it is the share of the endless wall's
//! echo: 1 well inside, about ½ over the edge, 0 well outside; smooth across the edge.

use num_complex::Complex64;
use panelwright_mesh::Outline;
use std::f64::consts::PI;

/// `exp(−2kt²)` is below 1e-9 from here on.
const LARGEST_EXPONENT: f64 = 20.0;
/// Steps of the rule, whose error falls exponentially: 1e-6 here.
const STEP: f64 = 0.15;
/// Nearest to the edge that is told from its other side, over the height.
const AT_EDGE: f64 = 1e-6;

/// Share of an endless wall's echo that a board throws back at a place [m] over or beside it at the height `h` [m]. Edges of rectangles count each by itself, so that
/// corners are products of edges; of other outlines the nearest place of the edge counts, as if it were straight.
pub(super) fn echo_share(outline: &Outline, place: [f64; 2], h: f64, k: f64) -> Complex64 {
    match *outline {
        Outline::Rectangle { width, height } => {
            let [x, y] = place;
            [x, width - x, y, height - y].into_iter().map(|d| half_plane_share(d, h, k)).product()
        }
        ref other => half_plane_share(other.distance_inside(place), h, k),
    }
}

/// The same for a half-plane, `d` [m] inside its edge.
fn half_plane_share(d: f64, h: f64, k: f64) -> Complex64 {
    let d = if d.abs() < AT_EDGE * h { AT_EDGE * h } else { d };
    let image = if d > 0.0 { Complex64::ONE } else { Complex64::ZERO };
    image + edge(d, h, k) * 2.0 * h
}

/// `p_edge exp(2jkh)`.
fn edge(d: f64, h: f64, k: f64) -> Complex64 {
    let r = d.hypot(h);
    // r − h without cancellation.
    let beyond = d * d / (r + h);
    let scale = beyond.sqrt().min(0.5 / k.sqrt());
    let last = (LARGEST_EXPONENT / (2.0 * k)).sqrt();
    let steps = ((last / scale).asinh() / STEP).ceil() as i32;
    let at = |n: i32| {
        let u = STEP * f64::from(n);
        let (t, dt) = (scale * u.sinh(), scale * u.cosh() * STEP);
        let m = Complex64::new(r, -t * t);
        let over_h = Complex64::new(beyond, -t * t) * (m + h);
        let root = (Complex64::new(0.0, -1.0) * (m + r)).sqrt();
        let weight = if n == 0 { 0.5 } else { 1.0 };
        (r / (m * m) + d / over_h) / root * ((-2.0 * k * t * t).exp() * dt * weight)
    };
    let sum: Complex64 = (0..=steps).map(at).sum();
    // −1/(2π) · dm/dt = −1/(2π) · (−2jt), and t cancels against √(m − r).
    sum * Complex64::new(0.0, 1.0 / PI) * Complex64::cis(-2.0 * k * beyond)
}
