//! Polar patterns over a half circle or all round.

use super::scale::extent;
use super::{path, place};
use crate::report::choice::When;
use crate::report::format;
use maud::{Markup, html};
use std::f64::consts::{FRAC_PI_2, PI};

const SIZE: f64 = 450.0;
const RADIUS: f64 = 185.0;
/// Range of the radius [dB].
pub const SPAN: f64 = 40.0;

/// Which way the axis points on paper, and a half circle opens.
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

/// The drawing, all round if the angles [rad] go beyond ±90°; each pattern is drawn relative to its loudest angle.
pub fn polar(label: &str, opening: Opening, angles: &[f64], patterns: &[Pattern]) -> Markup {
    let paper = Paper::new(opening, angles);
    let (width, height) = paper.size;
    html! {
        svg.drawing.polar viewBox={ "0 0 " (width) " " (height) } role="img" aria-label=(label) tabindex="0" data-polar=(paper.geometry()) {
            @for ring in 1..=4 { (paper.arc(f64::from(ring) * 0.25)) }
            @for degrees in paper.spokes() { (paper.spoke(degrees)) }
            @for pattern in patterns {
                path class={ "curve " (pattern.when.class()) } style={ "stroke:" (pattern.colour) ";stroke-dasharray:" (pattern.dash) }
                    data-label=(pattern.label) data-when=[pattern.when.attribute()]
                    d=(path(paper.points(angles, &pattern.levels))) {}
            }
            line.crosshair.off x1=(place(paper.centre.0)) y1=(place(paper.centre.1)) x2=(place(paper.centre.0)) y2=(place(paper.centre.1)) {}
        }
    }
}

/// Where everything lies.
struct Paper {
    opening: Opening,
    round: bool,
    size: (f64, f64),
    centre: (f64, f64),
}

impl Paper {
    fn new(opening: Opening, angles: &[f64]) -> Self {
        let round = angles.iter().any(|angle| angle.abs() > 0.51 * PI);
        let (size, centre) = match (round, opening) {
            (true, _) => ((SIZE, SIZE), (0.5 * SIZE, 0.5 * SIZE)),
            (false, Opening::Down) => ((SIZE, 0.5 * SIZE + 24.0), (0.5 * SIZE, 34.0)),
            (false, Opening::Right) => ((0.5 * SIZE + 58.0, SIZE), (42.0, 0.5 * SIZE)),
        };
        Self { opening, round, size, centre }
    }

    /// For the script: centre, radius, span, whether the axis points to the right, and the widest angle in half turns.
    fn geometry(&self) -> String {
        let (x, y) = self.centre;
        let widest = if self.round { 1.0 } else { 0.5 };
        format!("{x} {y} {RADIUS} {SPAN} {} {widest}", u8::from(self.opening == Opening::Right))
    }

    /// Unit vector on paper at `angle` [rad] from the axis.
    fn direction(&self, angle: f64) -> (f64, f64) {
        match self.opening {
            Opening::Down => (angle.sin(), angle.cos()),
            Opening::Right => (angle.cos(), -angle.sin()),
        }
    }

    fn at(&self, radius: f64, angle: f64) -> (f64, f64) {
        let (x, y) = self.direction(angle);
        (self.centre.0 + radius * x, self.centre.1 + radius * y)
    }

    fn points(&self, angles: &[f64], levels: &[f64]) -> Vec<(f64, f64)> {
        let loudest = extent(levels.iter().copied()).map_or(0.0, |(_, high)| high);
        let radius = |level: f64| RADIUS * (1.0 + (level - loudest).max(-SPAN) / SPAN);
        angles.iter().zip(levels).map(|(&angle, &level)| self.at(radius(level), angle)).collect()
    }

    fn arc(&self, share: f64) -> Markup {
        let radius = share * RADIUS;
        let end = |angle: f64| {
            let (x, y) = self.at(radius, angle);
            format!("{} {}", place(x), place(y))
        };
        let level = format::fixed((share - 1.0) * SPAN, 0);
        let (x, y) = self.at(radius, FRAC_PI_2);
        let down = self.opening == Opening::Down;
        let (dx, dy) = if down { (0.0, -9.0) } else { (-7.0, 4.0) };
        html! {
            @if self.round { circle.grid cx=(place(self.centre.0)) cy=(place(self.centre.1)) r=(place(radius)) {} }
            @else { path.grid d={ "M" (end(-FRAC_PI_2)) "A" (place(radius)) " " (place(radius)) " 0 0 0 " (end(FRAC_PI_2)) } {} }
            text.tick.ring.centred[down].at-left[!down] x=(place(x + dx)) y=(place(y + dy)) { (level) }
        }
    }

    /// Angles of the spokes in degrees.
    fn spokes(&self) -> impl Iterator<Item = i32> {
        let widest = if self.round { 6 } else { 3 };
        (-widest..=widest).filter(move |step| *step != -6).map(|step| 30 * step)
    }

    fn spoke(&self, degrees: i32) -> Markup {
        let angle = f64::from(degrees).to_radians();
        let (end, text) = (self.at(RADIUS, angle), self.at(RADIUS + 20.0, angle));
        let sign = if (1..180).contains(&degrees) { "+" } else { "" };
        html! {
            line.grid x1=(place(self.centre.0)) y1=(place(self.centre.1)) x2=(place(end.0)) y2=(place(end.1)) {}
            @if self.round || degrees.abs() != 90 {
                text.tick.middle x=(place(text.0)) y=(place(text.1)) { (sign) (format::fixed(f64::from(degrees), 0)) "°" }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(opening: Opening, degrees: &[f64]) -> String {
        let angles: Vec<f64> = degrees.iter().map(|d| d.to_radians()).collect();
        let levels = angles.iter().map(|angle| 10.0 * angle.cos()).collect();
        let pattern =
            Pattern { label: "x".into(), levels, colour: "#000".into(), dash: "none", when: When::default() };
        polar("pattern", opening, &angles, &[pattern]).into_string()
    }

    #[test]
    fn angles_beyond_a_right_one_make_a_full_circle() {
        let (half, full) =
            (drawn(Opening::Down, &[-90.0, 0.0, 90.0]), drawn(Opening::Down, &[-180.0, 0.0, 180.0]));
        assert_eq!((half.matches("<circle").count(), full.matches("<circle").count()), (0, 4));
        assert!(half.contains(" 0.5\"") && full.contains(" 1\"") && full.contains(">180°<"));
    }

    #[test]
    fn the_axis_points_down_or_to_the_right_and_the_level_is_the_radius() {
        // On the axis 10 dB, behind −10 dB: half the radius at a span of 40 dB.
        assert!(drawn(Opening::Down, &[-180.0, 0.0, 180.0]).contains("d=\"M225 132.5 225 410 225 132.5\""));
        assert!(drawn(Opening::Right, &[-180.0, 0.0, 180.0]).contains("d=\"M132.5 225 410 225 132.5 225\""));
    }
}
