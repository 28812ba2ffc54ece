//! Polar patterns over a half circle.

use super::scale::extent;
use super::{path, place};
use crate::report::choice::When;
use crate::report::format;
use maud::{Markup, html};

const SIZE: f64 = 450.0;
const RADIUS: f64 = 185.0;
/// Range of the radius [dB].
pub const SPAN: f64 = 40.0;

/// Which way the half circle opens.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    /// Seen from above, panel at the top, the listener below it.
    Down,
    /// Seen from the listener's left, panel at the left.
    Right,
}

/// One pattern.
pub struct Pattern {
    /// Name in the readout.
    pub label: String,
    /// Levels [dB] at the drawing's angles.
    pub levels: Vec<f64>,
    /// Line colour.
    pub colour: String,
    /// Dash pattern.
    pub dash: &'static str,
    /// When it is visible.
    pub when: When,
}

/// The drawing; each pattern is drawn relative to its loudest angle.
pub fn half_circle(label: &str, opening: Opening, angles: &[f64], patterns: &[Pattern]) -> Markup {
    let (width, height, centre) = match opening {
        Opening::Down => (SIZE, 0.5 * SIZE + 24.0, (0.5 * SIZE, 34.0)),
        Opening::Right => (0.5 * SIZE + 58.0, SIZE, (42.0, 0.5 * SIZE)),
    };
    let geometry =
        format!("{} {} {RADIUS} {SPAN} {}", centre.0, centre.1, u8::from(opening == Opening::Right));
    html! {
        svg.drawing.polar viewBox={ "0 0 " (width) " " (height) } role="img" aria-label=(label) tabindex="0" data-polar=(geometry) {
            @for ring in 1..=4 { (arc(opening, centre, f64::from(ring) * 0.25)) }
            @for degrees in [-90, -60, -30, 0, 30, 60, 90] { (spoke(opening, centre, degrees)) }
            @for pattern in patterns {
                path class={ "curve " (pattern.when.class()) } style={ "stroke:" (pattern.colour) ";stroke-dasharray:" (pattern.dash) }
                    data-label=(pattern.label) data-when=[pattern.when.attribute()]
                    d=(path(points(opening, centre, angles, &pattern.levels))) {}
            }
            line.crosshair.off x1=(place(centre.0)) y1=(place(centre.1)) x2=(place(centre.0)) y2=(place(centre.1)) {}
        }
    }
}

/// Unit vector on paper at `angle` [rad] from the axis.
fn direction(opening: Opening, angle: f64) -> (f64, f64) {
    match opening {
        Opening::Down => (angle.sin(), angle.cos()),
        Opening::Right => (angle.cos(), -angle.sin()),
    }
}

fn points(opening: Opening, centre: (f64, f64), angles: &[f64], levels: &[f64]) -> Vec<(f64, f64)> {
    let loudest = extent(levels.iter().copied()).map_or(0.0, |(_, high)| high);
    let point = |(&angle, &level): (&f64, &f64)| {
        let radius = RADIUS * (1.0 + (level - loudest).max(-SPAN) / SPAN);
        let (x, y) = direction(opening, angle);
        (centre.0 + radius * x, centre.1 + radius * y)
    };
    angles.iter().zip(levels).map(point).collect()
}

fn arc(opening: Opening, centre: (f64, f64), share: f64) -> Markup {
    let radius = share * RADIUS;
    let end = |angle: f64| {
        let (x, y) = direction(opening, angle);
        format!("{} {}", place(centre.0 + radius * x), place(centre.1 + radius * y))
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    let level = format::fixed((share - 1.0) * SPAN, 0);
    let (x, y) = direction(opening, quarter);
    let (dx, dy) = if opening == Opening::Down { (0.0, -9.0) } else { (-7.0, 4.0) };
    html! {
        path.grid d={ "M" (end(-quarter)) "A" (place(radius)) " " (place(radius)) " 0 0 0 " (end(quarter)) } {}
        text.tick.ring.centred[opening == Opening::Down].at-left[opening == Opening::Right]
            x=(place(centre.0 + radius * x + dx)) y=(place(centre.1 + radius * y + dy)) { (level) }
    }
}

fn spoke(opening: Opening, centre: (f64, f64), degrees: i32) -> Markup {
    let (x, y) = direction(opening, f64::from(degrees).to_radians());
    let end = (centre.0 + RADIUS * x, centre.1 + RADIUS * y);
    let text = (centre.0 + (RADIUS + 20.0) * x, centre.1 + (RADIUS + 20.0) * y);
    let sign = if degrees > 0 { "+" } else { "" };
    html! {
        line.grid x1=(place(centre.0)) y1=(place(centre.1)) x2=(place(end.0)) y2=(place(end.1)) {}
        @if degrees.abs() != 90 {
            text.tick.middle x=(place(text.0)) y=(place(text.1)) { (sign) (format::fixed(f64::from(degrees), 0)) "°" }
        }
    }
}
