//! The front and the back half of all directions as two discs with level contours.
//!
//! Equal areas on paper are equal solid angles: azimuthal equal-area projection, `ρ = √2 sin(θ/2)` (J. H. Lambert, 1772). Both discs lie as the listener
//! sees the driver, the back one through it: the listener's right is right and up is up on both.

use super::colour::{self, OkLab};
use super::{path, place};
use crate::report::format;
use contour::ContourBuilder;
use maud::{Markup, html};
use ndarray::ArrayView2;
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};

/// Contours [dB re axis], from the lowest.
pub const CONTOURS: [f64; 11] = [-24.0, -21.0, -18.0, -15.0, -12.0, -9.0, -6.0, -3.0, 0.0, 3.0, 6.0];
/// The contour that bounds the beam.
const BEAM: f64 = -6.0;
const RADIUS: f64 = 108.0;
/// From the disc to the border of its square.
const MARGIN: f64 = 18.0;
const SIDE: f64 = 2.0 * (RADIUS + MARGIN);
/// Samples along a side of the square, and how far they reach, in radii: contours shall leave the disc cleanly.
const SAMPLES: usize = 57;
const REACH: f64 = 1.06;

/// Levels all round, relative to the axis.
pub struct Hemispheres<'a> {
    /// Polar angles [rad], ascending from 0, to the end of the front or the back.
    pub polar: &'a [f64],
    /// Levels [dB re axis], (polar angles, azimuths); azimuths are even, from 0 at the right towards the top, the full turn left out.
    pub levels: ArrayView2<'a, f64>,
}

impl Hemispheres<'_> {
    /// The drawing: the front alone where nothing is known of the back.
    pub fn draw(&self, label: &str) -> Markup {
        let halves: &[(&str, bool)] = match self.last() > 1.01 * FRAC_PI_2 {
            true => &[("front", false), ("back", true)],
            false => &[("front", false)],
        };
        html! {
            svg.hemispheres.alone[halves.len() == 1] viewBox={ "0 0 " (halves.len() as f64 * SIDE) " " (SIDE + 14.0) } role="img" aria-label=(label) {
                @for (number, (name, back)) in halves.iter().enumerate() {
                    g transform={ "translate(" (place((number as f64 + 0.5) * SIDE)) " " (place(0.5 * SIDE)) ")" } { (self.half(name, *back)) }
                }
            }
        }
    }

    fn last(&self) -> f64 {
        self.polar.last().copied().unwrap_or(0.0)
    }

    fn half(&self, name: &str, back: bool) -> Markup {
        let border = SIDE * 0.5 + 1.0;
        let ring = |degrees: f64| RADIUS * SQRT_2 * (0.5 * degrees.to_radians()).sin();
        html! {
            circle r=(RADIUS) fill=(shade(0).hex()) {}
            @for (number, shape) in self.contours(back).iter().enumerate() {
                path.level.beam[CONTOURS[number] == BEAM] fill-rule="evenodd" fill=(shade(number + 1).hex()) d=(shape) {}
            }
            path.outside fill-rule="evenodd" d={ "M" (-border) " " (-border) "H" (border) "V" (border) "H" (-border) "Z" (circle(RADIUS)) } {}
            circle.grid r=(place(ring(30.0))) {}
            circle.grid r=(place(ring(60.0))) {}
            line.grid x1=(-RADIUS) x2=(RADIUS) {}
            line.grid y1=(-RADIUS) y2=(RADIUS) {}
            circle.rim r=(RADIUS) {}
            @for degrees in [30.0, 60.0] {
                text.tick.at-left x=(place(-3.0 - ring(degrees) * 0.5_f64.sqrt())) y=(place(ring(degrees) * 0.5_f64.sqrt() + 8.0)) {
                    (format::fixed(if back { 180.0 - degrees } else { degrees }, 0)) "°"
                }
            }
            text.tick.centred y=(place(0.5 * SIDE + 8.0)) { (name) }
        }
    }

    /// Everything louder than each contour, as paths about the disc's middle.
    fn contours(&self, back: bool) -> Vec<String> {
        let step = 2.0 * REACH / (SAMPLES - 1) as f64;
        let at = |i: usize| -REACH + step * i as f64;
        // Rows from top to bottom.
        let values: Vec<f64> =
            (0..SAMPLES).flat_map(|j| (0..SAMPLES).map(move |i| self.level([at(i), -at(j)], back))).collect();
        let found =
            ContourBuilder::new(SAMPLES, SAMPLES, true).contours(&values, &CONTOURS).unwrap_or_default();
        // A sample lies in the middle of its cell.
        let onto = |(x, y): (f64, f64)| [x, y].map(|v| RADIUS * (step * (v - 0.5) - REACH));
        let closed = |ring: &[(f64, f64)]| path(ring.iter().map(|&at| onto(at).into())) + "Z";
        let shape = |contour: &contour::Contour| {
            let polygons = contour.geometry().0.iter();
            let rings =
                polygons.flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
            rings.map(|ring| closed(&ring.coords().map(|c| c.x_y()).collect::<Vec<_>>())).collect()
        };
        found.iter().map(shape).collect()
    }

    /// Level at a place in the disc of radius 1, to the right and upwards; a little beyond the rim that of the other half, as far as it is known.
    fn level(&self, [x, y]: [f64; 2], back: bool) -> f64 {
        let from_pole = 2.0 * (x.hypot(y) / SQRT_2).min(1.0).asin();
        let polar = if back { PI - from_pole } else { from_pole };
        self.towards(polar.clamp(0.0, self.last()), y.atan2(x).rem_euclid(TAU))
    }

    /// Linear in both angles.
    fn towards(&self, polar: f64, azimuth: f64) -> f64 {
        let (rows, columns) = self.levels.dim();
        let (i, u) = split(polar / self.last() * (rows - 1) as f64, rows - 2);
        let (j, v) = split(azimuth / TAU * columns as f64, columns - 1);
        let row = |i: usize| (1.0 - v) * self.levels[[i, j]] + v * self.levels[[i, (j + 1) % columns]];
        (1.0 - u) * row(i) + u * row(i + 1)
    }
}

/// Whole part, at most `most`, and the rest.
fn split(place: f64, most: usize) -> (usize, f64) {
    let whole = (place as usize).min(most);
    (whole, place - whole as f64)
}

/// Shade between contours: 0 below the first, as many as there are contours above the last.
fn shade(number: usize) -> OkLab {
    colour::sequential(number as f64 / CONTOURS.len() as f64)
}

fn circle(radius: f64) -> String {
    format!("M{radius} 0A{radius} {radius} 0 0 1 {} 0A{radius} {radius} 0 0 1 {radius} 0Z", -radius)
}

/// The shades with the levels between them.
pub fn legend() -> Markup {
    let count = CONTOURS.len() + 1;
    html! {
        div.scale {
            span { "below " (format::fixed(CONTOURS[0], 0)) }
            svg viewBox={ "0 0 " (count) " 1" } preserveAspectRatio="none" aria-hidden="true" {
                @for number in 0..count { rect x=(number) width="1.02" height="1" fill=(shade(number).hex()) {} }
            }
            span { "above +" (format::fixed(CONTOURS[CONTOURS.len() - 1], 0)) " dB re axis, in steps of 3 dB; dark line: −6 dB" }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array2;

    fn angles(degrees: i32) -> Vec<f64> {
        (0..=degrees / 5).map(|i| f64::from(5 * i).to_radians()).collect()
    }

    /// Coordinates of the points of a path.
    fn points(path: &str) -> Vec<(f64, f64)> {
        let numbers: Vec<f64> = path
            .split(['M', 'Z', ' '])
            .filter(|part| !part.is_empty())
            .map(|part| part.parse().expect("a number"))
            .collect();
        numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect()
    }

    #[test]
    fn a_cone_of_level_has_circles_for_contours_where_the_projection_puts_them() {
        let polar = angles(180);
        // 1 dB less for every five degrees.
        let levels = Array2::from_shape_fn((37, 24), |(i, _)| -(i as f64));
        let drawn = Hemispheres { polar: &polar, levels: levels.view() };
        let front = drawn.contours(false);
        for (contour, degrees) in [(7, 15.0f64), (6, 30.0), (4, 60.0)] {
            let radius = RADIUS * SQRT_2 * (0.5 * degrees.to_radians()).sin();
            let found = points(&front[contour]);
            assert!(found.len() > 20);
            for (x, y) in found {
                assert!((x.hypot(y) - radius).abs() < 0.6, "{degrees}°: {} for {radius}", x.hypot(y));
            }
        }
        assert_eq!(front[9], "", "nothing is louder than the axis");
        // On the back the level rises outwards.
        let back = points(&drawn.contours(true)[1]);
        let inner = RADIUS * SQRT_2 * (0.5 * (180.0 - 105f64).to_radians()).sin();
        assert!(back.iter().any(|(x, y)| (x.hypot(*y) - inner).abs() < 0.6));
    }

    #[test]
    fn right_is_right_and_up_is_up_on_both_halves() {
        let polar = angles(180);
        for (toward, wanted) in [(0, (1.0, 0.0)), (6, (0.0, -1.0))] {
            // 6 dB less but within 30° of azimuth.
            let levels = Array2::from_shape_fn((37, 24), |(i, j)| {
                let apart = (j as i32 - toward).rem_euclid(24).min((toward - j as i32).rem_euclid(24));
                if apart < 2 && (10..26).contains(&i) { 0.0 } else { -7.5 }
            });
            let drawn = Hemispheres { polar: &polar, levels: levels.view() };
            for back in [false, true] {
                let found = points(&drawn.contours(back)[7]);
                let (x, y) = found.iter().fold((0.0, 0.0), |sum, at| (sum.0 + at.0, sum.1 + at.1));
                let (along, aside) = (x * wanted.0 + y * wanted.1, x * wanted.1 - y * wanted.0);
                assert!(along > 0.0 && aside.abs() < 0.05 * along, "{toward} {back}: {x} {y}");
            }
        }
    }

    #[test]
    fn the_front_stands_alone_before_a_plane() {
        let polar = angles(90);
        let levels = Array2::zeros((19, 24));
        let drawn = Hemispheres { polar: &polar, levels: levels.view() }.draw("x");
        let text = drawn.into_string();
        assert!(text.contains(">front<") && !text.contains(">back<"), "{text}");
    }
}
