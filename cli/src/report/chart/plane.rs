//! The panel's plane drawn to scale, as the listener sees it and, mirrored, as the builder sees it from behind.
//!
//! Shapes live in one group that the style sheet mirrors; words are written twice, once for each view.

use super::scale::Scale;
use super::{WIDTH, clip, path, place};
use crate::report::choice::{Choice, When};
use maud::{Markup, html};
use panelwright_mesh::Outline;
use std::f64::consts::PI;

const LEFT: f64 = 70.0;
/// Room on the right for a colour bar.
const RIGHT: f64 = 120.0;
const TOP: f64 = 34.0;
const FOOT: f64 = 60.0;
const TALLEST: f64 = 520.0;

/// A rectangle of the plane on paper.
pub struct Plane {
    x: (f64, f64),
    y: (f64, f64),
    /// User units per metre.
    scale: f64,
    left: f64,
}

/// A word at a place.
pub struct Word {
    /// Place [m].
    pub position: [f64; 2],
    /// The word.
    pub text: String,
    /// How far above the place it stands, in user units.
    pub lift: f64,
    /// When it is visible.
    pub when: When,
}

/// The choice of the view.
pub fn view_choice() -> Choice {
    Choice::one("view", "Seen from", vec!["the listener".into(), "behind, for gluing".into()], 0)
}

impl Plane {
    /// The stretch `x` × `y` [m], as large as the page allows.
    pub fn new(x: (f64, f64), y: (f64, f64)) -> Self {
        let (width, height) = (x.1 - x.0, y.1 - y.0);
        let room = WIDTH - LEFT - RIGHT;
        let scale = (room / width).min(TALLEST / height);
        Self { x, y, scale, left: LEFT + 0.5 * (room - width * scale) }
    }

    /// Place on the paper.
    pub fn at(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        (self.left + (x - self.x.0) * self.scale, TOP + (self.y.1 - y) * self.scale)
    }

    fn mirrored(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        self.at([self.x.0 + self.x.1 - x, y])
    }

    fn size(&self) -> (f64, f64) {
        ((self.x.1 - self.x.0) * self.scale, (self.y.1 - self.y.0) * self.scale)
    }

    /// Left edge and top of the drawn stretch.
    pub fn near_corner(&self) -> (f64, f64) {
        (self.left, TOP)
    }

    /// Right edge and bottom of the drawn stretch.
    pub fn far_corner(&self) -> (f64, f64) {
        let (width, height) = self.size();
        (self.left + width, TOP + height)
    }

    /// The drawing: `shapes` in front, the panel's outline over them, `words` on top, `side` beside it.
    pub fn draw(&self, label: &str, class: &str, shapes: &Markup, words: &[Word], side: &Markup) -> Markup {
        let (_, bottom) = self.far_corner();
        let axis = 2.0 * self.left + self.size().0;
        let views = view_choice();
        let corner = format!("{} {} {} {}", place(self.left), place(TOP), self.scale, axis);
        html! {
            svg class={ "drawing " (class) } viewBox={ "0 0 " (WIDTH) " " (place(bottom + FOOT)) } role="img"
                aria-label=(label) tabindex="0" data-plane=(corner) data-origin={ (self.x.0) " " (self.y.1) } {
                rect.field x=(place(self.left)) y=(place(TOP)) width=(place(self.size().0)) height=(place(self.size().1)) {}
                g.plane style={ "transform-origin:" (place(0.5 * axis)) "px 0" } { (shapes) }
                (self.ticks_along_y())
                g data-when=[views.when(0).attribute()] {
                    (self.ticks_along_x(|x| self.at([x, 0.0]).0))
                    @for word in words { (written(word, self.at(word.position))) }
                }
                g.off data-when=[views.when(1).attribute()] {
                    (self.ticks_along_x(|x| self.mirrored([x, 0.0]).0))
                    @for word in words { (written(word, self.mirrored(word.position))) }
                }
                text.axis-title.centred.low x=(place(0.5 * axis)) y=(place(bottom + 40.0)) { "x, mm from the listener’s left" }
                text.axis-title x="0" y=(place(TOP - 8.0)) { "y, mm" }
                (side)
            }
        }
    }

    fn ticks_along_x(&self, at: impl Fn(f64) -> f64) -> Markup {
        let (_, bottom) = self.far_corner();
        html! {
            @for (value, label) in round_places(self.x, 90.0 / self.scale) {
                @let x = place(at(value));
                line.axis x1=(x) x2=(x) y1=(place(bottom)) y2=(place(bottom + 5.0)) {}
                text.tick.below x=(x) y=(place(bottom + 9.0)) { (label) }
            }
        }
    }

    fn ticks_along_y(&self) -> Markup {
        html! {
            @for (value, label) in round_places(self.y, 60.0 / self.scale) {
                @let y = place(self.at([0.0, value]).1);
                line.axis x1=(place(self.left - 5.0)) x2=(place(self.left)) y1=(y) y2=(y) {}
                text.tick.at-left x=(place(self.left - 9.0)) y=(y) { (label) }
            }
        }
    }

    /// Edge of the panel.
    pub fn outline(&self, outline: &Outline) -> Markup {
        html! { path.outline d=(clip::contours(outline, self.fine(), |point| self.at(point))) {} }
    }

    /// The panel's rim under the name `id`, to clip what reaches beyond it.
    pub fn edge(&self, id: &str, outline: &Outline) -> Markup {
        clip::edge(id, outline, self.fine(), |point| self.at(point))
    }

    /// A tenth of a user unit [m].
    fn fine(&self) -> f64 {
        0.1 / self.scale
    }

    /// Ring of a given diameter [m], at least large enough to be seen.
    pub fn ring(&self, centre: [f64; 2], diameter: f64) -> Markup {
        let (x, y) = self.at(centre);
        let radius = (0.5 * diameter * self.scale).max(4.0);
        html! {
            circle.exciter-halo cx=(place(x)) cy=(place(y)) r=(place(radius)) {}
            circle.exciter cx=(place(x)) cy=(place(y)) r=(place(radius)) {}
            path.exciter d={ "M" (place(x - 3.0)) " " (place(y)) "h6m-3-3v6" } {}
        }
    }

    /// Star at a place to be found at a glance.
    pub fn star(&self, position: [f64; 2]) -> Markup {
        Self::star_at(self.at(position).into())
    }

    /// The same at a place on the paper.
    pub fn star_at([x, y]: [f64; 2]) -> Markup {
        let tip = |k: i32| {
            let (sin, cos) = (f64::from(k) * PI / 5.0).sin_cos();
            let radius = if k % 2 == 0 { 9.5 } else { 4.0 };
            (x + radius * sin, y - radius * cos)
        };
        html! { path.star d={ (path((0..10).map(tip))) "Z" } {} }
    }

    /// Small diamond at a place.
    pub fn diamond(&self, position: [f64; 2]) -> Markup {
        Self::diamond_at(self.at(position).into())
    }

    /// The same at a place on the paper.
    pub fn diamond_at([x, y]: [f64; 2]) -> Markup {
        html! { path.diamond d={ "M" (place(x)) " " (place(y - 4.5)) "l4.5 4.5-4.5 4.5-4.5-4.5Z" } {} }
    }

    /// Upright rectangle from its lower left corner [m].
    pub fn patch(&self, corner: [f64; 2], [width, height]: [f64; 2]) -> Markup {
        let (x, y) = self.at([corner[0], corner[1] + height]);
        html! { rect.patch x=(place(x)) y=(place(y)) width=(place(width * self.scale)) height=(place(height * self.scale)) {} }
    }

    /// Line between two points.
    pub fn bar(&self, ends: [[f64; 2]; 2]) -> Markup {
        html! { path.bar d=(path(ends.map(|end| self.at(end)))) {} }
    }

    /// Filled disc of a given diameter [m], at least large enough to be seen.
    pub fn mass(&self, centre: [f64; 2], diameter: f64) -> Markup {
        let (x, y) = self.at(centre);
        html! { circle.mass cx=(place(x)) cy=(place(y)) r=(place((0.5 * diameter * self.scale).max(4.0))) {} }
    }

    /// Triangle that stands with its tip on a point.
    pub fn hang(&self, position: [f64; 2]) -> Markup {
        let (x, y) = self.at(position);
        html! { path.hang d={ "M" (place(x)) " " (place(y)) "l-6-10h12z" } {} }
    }

    /// Cross at the deepest point of a quiet region, and an ellipse as large as its extent [m], moved as little as it takes to lie
    /// on the plane.
    pub fn quiet(&self, centre: [f64; 2], extent: [f64; 2], when: &When) -> Markup {
        let (x, y) = self.at(centre);
        let (corner, far) = (self.near_corner(), self.far_corner());
        let reach =
            |extent: f64, low: f64, high: f64| (0.5 * extent * self.scale).max(7.0).min(0.5 * (high - low));
        let (wide, high) = (reach(extent[0], corner.0, far.0), reach(extent[1], corner.1, far.1));
        let middle = (x.max(corner.0 + wide).min(far.0 - wide), y.max(corner.1 + high).min(far.1 - high));
        html! {
            g class={ "quiet " (when.class()) } data-when=[when.attribute()] {
                ellipse.halo cx=(place(middle.0)) cy=(place(middle.1)) rx=(place(wide)) ry=(place(high)) {}
                ellipse cx=(place(middle.0)) cy=(place(middle.1)) rx=(place(wide)) ry=(place(high)) {}
                path d={ "M" (place(x - 3.5)) " " (place(y - 3.5)) "l7 7m0-7l-7 7" } {}
            }
        }
    }
}

fn written(word: &Word, (x, y): (f64, f64)) -> Markup {
    let class = format!("word centred {}", word.when.class());
    html! { text class=(class.trim()) data-when=[word.when.attribute()] x=(place(x)) y=(place(y - word.lift)) { (word.text) } }
}

/// Round coordinates [m] inside a stretch, at least `gap` apart, with their label in millimetres.
fn round_places((low, high): (f64, f64), gap: f64) -> Vec<(f64, String)> {
    let count = ((high - low) / gap).max(1.0) as usize;
    let scale = Scale { logarithmic: false, low: low * 1e3, high: high * 1e3, step: None };
    scale.ticks(count).into_iter().map(|t| (t.value * 1e-3, t.label.unwrap_or_default())).collect()
}
