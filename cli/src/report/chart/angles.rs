//! Heat maps over frequency and angle.

use super::heat::{self, Shading, borders, cells};
use super::scale::Scale;
use super::{WIDTH, place};
use crate::report::format;
use maud::{Markup, html};
use ndarray::Array2;

const LEFT: f64 = 58.0;
const RIGHT: f64 = 92.0;
const TOP: f64 = 30.0;
const HEIGHT: f64 = 240.0;
const FOOT: f64 = 46.0;
/// Step of the angles that are labelled [degrees].
const STEP: i32 = 30;
/// Step of the colour bar [dB].
const BAR: f64 = 6.0;

/// Levels over an arc.
pub struct Arc<'a> {
    /// Frequencies [Hz], ascending.
    pub frequencies: &'a [f64],
    /// Angles [rad], ascending.
    pub angles: &'a [f64],
    /// Levels [dB], (frequencies, angles).
    pub levels: &'a Array2<f64>,
}

/// The drawing: frequency to the right, angle upwards. `label` says what it shows to those who cannot see it.
pub fn over_angles(label: &str, arc: &Arc, shading: &Shading) -> Markup {
    let scale = Scale::frequency(arc.frequencies);
    let width = WIDTH - LEFT - RIGHT;
    let across = |share: f64| LEFT + share.clamp(0.0, 1.0) * width;
    let logarithms: Vec<f64> = arc.frequencies.iter().map(|f| f.ln()).collect();
    let x: Vec<f64> = borders(&logarithms).iter().map(|x| across(scale.share(x.exp()))).collect();
    let (low, high) =
        (arc.angles.first().copied().unwrap_or(-1.0), arc.angles.last().copied().unwrap_or(1.0));
    let up = |angle: f64| TOP + (high - angle.clamp(low, high)) / (high - low).max(1e-9) * HEIGHT;
    let y: Vec<f64> = borders(arc.angles).iter().map(|angle| up(*angle)).collect();
    let bottom = TOP + HEIGHT;
    let widest = high.to_degrees().round() as i32 / STEP;
    html! {
        svg.drawing.still viewBox={ "0 0 " (WIDTH) " " (place(bottom + FOOT)) } role="img" aria-label=(label) {
            text.axis-title x="0" y="16" { "Angle, degrees" }
            g.cells { (cells(&x, &y, arc.levels.view(), shading)) }
            @for step in -widest..=widest {
                @let angle = f64::from(STEP * step);
                @let at = up(angle.to_radians());
                line.axis x1=(place(LEFT - 5.0)) x2=(place(LEFT)) y1=(place(at)) y2=(place(at)) {}
                text.tick.at-left x=(place(LEFT - 8.0)) y=(place(at)) { (format::fixed(angle, 0)) }
            }
            @for tick in scale.ticks(6) {
                @if let Some(words) = &tick.label {
                    @let at = across(scale.share(tick.value));
                    line.axis x1=(place(at)) x2=(place(at)) y1=(place(bottom)) y2=(place(bottom + 5.0)) {}
                    text.tick.centred x=(place(at)) y=(place(bottom + 19.0)) { (words) }
                }
            }
            text.axis-title.at-right x=(place(LEFT + width)) y=(place(bottom + 40.0)) { "Frequency, Hz" }
            (bar(shading, bottom))
        }
    }
}

/// The colour bar at the right.
fn bar(shading: &Shading, bottom: f64) -> Markup {
    let x = WIDTH - RIGHT + 26.0;
    let slice = HEIGHT / heat::SHADES as f64;
    let at = |value: f64| TOP + (1.0 - (value - shading.low) / (shading.high - shading.low)) * (bottom - TOP);
    let count = ((shading.high - shading.low) / BAR).round() as i32;
    html! {
        g.colour-bar {
            text.axis-title.at-right x=(place(WIDTH)) y="16" { "dB" }
            @for (i, fill) in shading.ramp().into_iter().rev().enumerate() {
                rect x=(place(x)) width="16" y=(format!("{:.2}", TOP + i as f64 * slice)) height=(format!("{:.2}", slice + 0.3)) fill=(fill) {}
            }
            @for i in 0..=count {
                @let value = shading.low + f64::from(i) * BAR;
                line.axis x1=(place(x + 16.0)) x2=(place(x + 21.0)) y1=(place(at(value))) y2=(place(at(value))) {}
                text.tick.at-start x=(place(x + 25.0)) y=(place(at(value))) { (format::fixed(value, 0)) }
            }
        }
    }
}
