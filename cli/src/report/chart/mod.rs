//! Hand-laid SVG: scales, curves over frequency and over time, maps over angle, planes seen from the front, heat maps, polar patterns, half spheres, cutting planes, solid bodies,
//! and many variants at once.
//!
//! One user unit is one pixel on a wide screen. Labels are sized by the style sheet, larger in user units on a phone,
//! where the whole drawing shrinks; the margins here leave room for both.

pub mod angles;
pub mod axis;
pub mod body;
pub mod clip;
pub mod colour;
pub mod curves;
pub mod cut;
pub mod density;
pub mod heat;
pub mod hemisphere;
pub mod painted;
pub mod plane;
pub mod points;
pub mod polar;
pub mod scale;
pub mod sketch;
pub mod solid;
pub mod time;
pub mod traces;

/// Width of every drawing in user units.
pub const WIDTH: f64 = 760.0;

/// A coordinate with at most one decimal, as short as possible.
pub fn place(value: f64) -> String {
    let text = format!("{value:.1}");
    match text.strip_suffix(".0") {
        Some("-0") => "0".into(),
        Some(whole) => whole.into(),
        None => text,
    }
}

/// SVG path through `points`, interrupted where a coordinate is not a number.
pub fn path(points: impl IntoIterator<Item = (f64, f64)>) -> String {
    let mut text = String::new();
    let mut drawing = false;
    for (x, y) in points {
        if x.is_finite() && y.is_finite() {
            text.push(if drawing { ' ' } else { 'M' });
            text.push_str(&place(x));
            text.push(' ');
            text.push_str(&place(y));
            drawing = true;
        } else {
            drawing = false;
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_short_and_break_at_gaps() {
        let points = [(0.0, 1.04), (2.0, 3.26), (3.0, f64::NAN), (4.0, -0.01)];
        assert_eq!(path(points), "M0 1 2 3.3M4 0");
    }
}
