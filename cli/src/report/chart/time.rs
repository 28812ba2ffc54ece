//! Curves over time, to be looked at only.

use super::scale::{Scale, extent};
use super::{WIDTH, path, place};
use maud::{Markup, html};

const LEFT: f64 = 58.0;
const RIGHT: f64 = 18.0;
const HEAD: f64 = 30.0;
const FOOT: f64 = 58.0;

/// A curve through `points` (time [ms], value). `label` says what it shows to those who cannot see it, `title` quantity and unit.
pub fn over_time(label: &str, title: &str, height: f64, points: &[(f64, f64)]) -> Markup {
    let times = extent(points.iter().map(|point| point.0)).unwrap_or((0.0, 1.0));
    let x = Scale { logarithmic: false, low: times.0, high: times.1.max(times.0 + 1e-9), step: None };
    let (low, high) = extent(points.iter().map(|point| point.1)).unwrap_or((-1.0, 1.0));
    let y = Scale::linear(low.min(0.0), high.max(0.0));
    let (width, bottom) = (WIDTH - LEFT - RIGHT, HEAD + height);
    let across = |time: f64| LEFT + x.share(time) * width;
    let up = |value: f64| HEAD + (1.0 - y.share(value)) * height;
    let (left, right) = (place(LEFT), place(LEFT + width));
    html! {
        svg.drawing.still viewBox={ "0 0 " (WIDTH) " " (place(bottom + FOOT)) } role="img" aria-label=(label) {
            text.axis-title x=(left) y=(place(HEAD - 11.0)) { (title) }
            @for tick in y.ticks((height / 34.0) as usize) {
                line.grid x1=(left) x2=(right) y1=(place(up(tick.value))) y2=(place(up(tick.value))) {}
                @if let Some(text) = &tick.label { text.tick.at-left x=(place(LEFT - 8.0)) y=(place(up(tick.value))) { (text) } }
            }
            @for tick in x.ticks(10) {
                line.grid x1=(place(across(tick.value))) x2=(place(across(tick.value))) y1=(place(HEAD)) y2=(place(bottom)) {}
                @if let Some(text) = &tick.label { text.tick.below x=(place(across(tick.value))) y=(place(bottom + 8.0)) { (text) } }
            }
            line.axis x1=(left) x2=(right) y1=(place(bottom)) y2=(place(bottom)) {}
            text.axis-title.at-right.low x=(right) y=(place(bottom + 38.0)) { "Time, ms" }
            path class="curve s0" d=(path(points.iter().map(|&(time, value)| (across(time), up(value))))) {}
        }
    }
}
