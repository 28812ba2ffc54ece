//! One quantity against another: a point for every thing.

use super::axis::Axis;
use super::density::Density;
use super::traces::DRAWN;
use super::{path, place};
use maud::{Markup, html};

const LEFT: f64 = 50.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 30.0;
const WIDTH: f64 = 372.0;
const HEIGHT: f64 = 300.0;
const FOOT: f64 = 48.0;
/// Letters of words along the horizontal axis.
const LETTERS: usize = 44;

/// A picture of points.
pub struct Points<'a> {
    /// To the right, and its place among the page's axes.
    pub x: (Axis<'a>, usize),
    /// Upwards.
    pub y: (Axis<'a>, usize),
    /// Points that nothing beats in both, in the order of the horizontal axis.
    pub front: &'a [usize],
    /// The best, and the classes of their points.
    pub best: &'a [(usize, String)],
}

impl Points<'_> {
    fn across(&self, share: f64) -> f64 {
        LEFT + share * (WIDTH - LEFT - RIGHT)
    }

    fn up(&self, share: f64) -> f64 {
        TOP + (1.0 - share) * (HEIGHT - TOP - FOOT)
    }

    fn at(&self, index: usize) -> (f64, f64) {
        (self.across(self.x.0.share(index)), self.up(self.y.0.share(index)))
    }

    /// The drawing. `label` says what it shows to those who cannot see it.
    pub fn draw(&self, label: &str) -> Markup {
        let axes = format!(
            "{} {} {LEFT} {TOP} {} {}",
            self.x.1,
            self.y.1,
            WIDTH - LEFT - RIGHT,
            HEIGHT - TOP - FOOT
        );
        let front = || self.front.iter().map(|&index| self.at(index));
        html! {
            svg.drawing.points viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(label) tabindex="0" data-points=(axes) {
                (self.axes())
                (self.many())
                path.front.s3 d=(path(front())) {}
                @for (x, y) in front() { circle.front.s3 cx=(place(x)) cy=(place(y)) r="3.5" {} }
                @for (index, class) in self.best.iter().rev() {
                    @let (x, y) = self.at(*index);
                    @if x.is_finite() && y.is_finite() { circle class={ "best " (class) } cx=(place(x)) cy=(place(y)) r="5.5" {} }
                }
                circle.chosen.off r="7" {}
            }
        }
    }

    /// Everything, faint: point by point, or counted.
    fn many(&self) -> Markup {
        let count = self.x.0.values.len();
        if count <= DRAWN {
            let points =
                (0..count).map(|index| self.at(index)).filter(|(x, y)| x.is_finite() && y.is_finite());
            return html! { g.many { @for (x, y) in points { circle cx=(place(x)) cy=(place(y)) r="3" {} } } };
        }
        let mut density = Density::new(WIDTH as usize, HEIGHT as usize);
        (0..count).for_each(|index| density.spot(self.at(index)));
        html! {
            @if let Some(address) = density.address() { image x="0" y="0" width=(WIDTH) height=(HEIGHT) href=(address) {} }
        }
    }

    fn axes(&self) -> Markup {
        let (bottom, right) = (self.up(0.0), self.across(1.0));
        html! {
            text.axis-title x="0" y="16" { (self.y.0.title) }
            @for tick in self.y.0.ticks(5, LETTERS / 5 * self.y.0.words.len().max(1)) {
                @let y = place(self.up(self.y.0.scale.share(tick.value)));
                line.grid.minor[tick.label.is_none()] x1=(LEFT) x2=(right) y1=(y) y2=(y) {}
                @if let Some(label) = &tick.label { text.tick.at-left x=(LEFT - 6.0) y=(y) { (label) } }
            }
            @for tick in self.x.0.ticks(4, LETTERS) {
                @let x = place(self.across(self.x.0.scale.share(tick.value)));
                line.grid.minor[tick.label.is_none()] x1=(x) x2=(x) y1=(TOP) y2=(bottom) {}
                @if let Some(label) = &tick.label { text.tick.below x=(x) y=(place(bottom + 7.0)) { (label) } }
            }
            line.axis x1=(LEFT) x2=(right) y1=(bottom) y2=(bottom) {}
            text.axis-title.at-right x=(right) y=(place(bottom + 38.0)) { (self.x.0.title) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_lie_at_their_values_and_what_has_none_is_left_out() {
        let (x, y) = ([0.0, 10.0, 5.0], [0.0, 10.0, f64::NAN]);
        let axis = |values| Axis::of("a".into(), &[], false, values);
        let best = [(1, "b0".to_owned())];
        let points = Points { x: (axis(&x), 0), y: (axis(&y), 1), front: &[0], best: &best };
        assert_eq!(points.at(0), (LEFT, HEIGHT - FOOT));
        assert_eq!(points.at(1), (WIDTH - RIGHT, TOP));
        let drawn = points.draw("").into_string();
        assert_eq!(drawn.matches("r=\"3\"").count(), 2);
        assert!(drawn.contains("best b0") && !drawn.contains("NaN"));
    }
}
