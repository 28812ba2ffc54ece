//! Parallel coordinates: one axis under the other, one line from the top to the bottom for every thing (A. Inselberg, Visual Computer 1 (1985) 69).
//!
//! Axes lie level, so that their names can be read and there may be any number of them.

use super::axis::Axis;
use super::density::Density;
use super::{WIDTH, path, place};
use maud::{Markup, html};

const LEFT: f64 = 196.0;
const RIGHT: f64 = 20.0;
const TOP: f64 = 26.0;
/// From axis to axis.
const PITCH: f64 = 62.0;
/// Room under the last axis for its labels.
const FOOT: f64 = 34.0;
/// More lines than these are counted instead of drawn.
pub const DRAWN: usize = 300;
/// Letters of words along an axis.
const LETTERS: usize = 80;
/// Letters of an axis's name in one row.
const NAME: usize = 27;

/// Classes of names beside their axes, and above them where the page is narrow: then the axes take all of its width.
const BESIDE: &str = "beside";
const ABOVE: &str = "above";

/// An axis of the picture.
pub struct Lane<'a> {
    /// The axis.
    pub axis: Axis<'a>,
    /// True when its values fall from left to right.
    pub flipped: bool,
    /// A heading above it, where a new group begins.
    pub heading: Option<&'static str>,
}

/// Lines that stand out, drawn last to first.
pub struct Emphasis {
    /// Which thing.
    pub index: usize,
    /// Class of its line.
    pub class: String,
}

/// The picture of `count` things. `label` says what it shows to those who cannot see it.
pub fn traces(label: &str, lanes: &[Lane], count: usize, emphases: &[Emphasis]) -> Markup {
    let layout = Layout { lanes };
    let rows: Vec<String> = (0..lanes.len()).map(|lane| place(layout.row(lane))).collect();
    let geometry = format!("{LEFT} {} {}", WIDTH - LEFT - RIGHT, rows.join(" "));
    html! {
        svg.drawing.traces viewBox={ "0 0 " (WIDTH) " " (place(layout.bottom() + FOOT)) } role="img" aria-label=(label) tabindex="0" data-traces=(geometry) {
            @for (lane, row) in lanes.iter().zip(0..) { line.grid x1=(LEFT) x2=(WIDTH - RIGHT) y1=(place(layout.row(row))) y2=(place(layout.row(row))) { title { (lane.axis.title) } } }
            (layout.many(count))
            @for emphasis in emphases.iter().rev() { path class={ "trace " (emphasis.class) } d=(layout.line(emphasis.index)) {} }
            path.trace.chosen.off d="" {}
            @for lane in 0..lanes.len() { (layout.labels(lane)) }
        }
    }
}

struct Layout<'a> {
    lanes: &'a [Lane<'a>],
}

impl Layout<'_> {
    /// Height of an axis on the paper; headings take room of their own.
    fn row(&self, lane: usize) -> f64 {
        let headings = self.lanes[..=lane].iter().filter(|lane| lane.heading.is_some()).count();
        TOP + PITCH * lane as f64 + 34.0 * headings as f64
    }

    fn bottom(&self) -> f64 {
        self.lanes.len().checked_sub(1).map_or(TOP, |last| self.row(last))
    }

    fn across(&self, lane: usize, share: f64) -> f64 {
        let share = if self.lanes[lane].flipped { 1.0 - share } else { share };
        LEFT + share * (WIDTH - LEFT - RIGHT)
    }

    fn point(&self, lane: usize, index: usize) -> (f64, f64) {
        (self.across(lane, self.lanes[lane].axis.share(index)), self.row(lane))
    }

    fn line(&self, index: usize) -> String {
        path((0..self.lanes.len()).map(|lane| self.point(lane, index)))
    }

    /// Everything, faint: line by line, or counted.
    fn many(&self, count: usize) -> Markup {
        if count <= DRAWN {
            return html! { g.many { @for index in 0..count { path d=(self.line(index)) {} } } };
        }
        let (width, height) = (WIDTH - LEFT - RIGHT, self.bottom() + 1.0);
        let mut density = Density::new(width as usize + 1, height as usize + 1);
        for index in 0..count {
            for lane in 1..self.lanes.len() {
                let [from, to] = [lane - 1, lane].map(|lane| {
                    let (x, y) = self.point(lane, index);
                    (x - LEFT, y)
                });
                density.line(from, to);
            }
        }
        html! {
            @if let Some(address) = density.address() {
                image x=(LEFT) y="0" width=(width + 1.0) height=(place(height.floor() + 1.0)) preserveAspectRatio="none" href=(address) {}
            }
        }
    }

    fn labels(&self, lane: usize) -> Markup {
        let Lane { axis, heading, .. } = &self.lanes[lane];
        let row = self.row(lane);
        let name = wrapped(&axis.title, NAME);
        let first = row - 8.0 * (name.len() - 1) as f64;
        html! {
            @if let Some(heading) = heading {
                @for (side, x) in [(BESIDE, 0.0), (ABOVE, LEFT)] { text class={ "axis-title heading " (side) } x=(x) y=(place(row - 40.0)) { (heading) } }
            }
            @for (text, i) in name.iter().zip(0..) { text class={ "word at-start " (BESIDE) } x="0" y=(place(first + 16.0 * f64::from(i))) { (text) } }
            text class={ "word at-start " (ABOVE) } x=(LEFT) y=(place(row - 12.0)) { (axis.title) }
            @for tick in axis.ticks(5, LETTERS) {
                @let x = self.across(lane, axis.scale.share(tick.value));
                line.axis x1=(place(x)) x2=(place(x)) y1=(place(row - 4.0)) y2=(place(row + 4.0)) {}
                @if let Some(label) = &tick.label { text.note.below x=(place(x)) y=(place(row + 7.0)) { (label) } }
            }
        }
    }
}

/// Words in rows of at most so many letters.
fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let mut rows = vec![String::new()];
    for word in text.split(' ') {
        let last = rows.len() - 1;
        let row = &mut rows[last];
        if !row.is_empty() && row.chars().count() + 1 + word.chars().count() > letters {
            rows.push(word.into());
        } else {
            row.push_str(if row.is_empty() { "" } else { " " });
            row.push_str(word);
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lanes(values: &[Vec<f64>]) -> Vec<Lane<'_>> {
        let each = values.iter().enumerate();
        each.map(|(i, values)| Lane {
            axis: Axis::of(format!("axis {i}"), &[], false, values),
            flipped: i == 1,
            heading: None,
        })
        .collect()
    }

    #[test]
    fn a_line_goes_through_its_values_and_a_flipped_axis_falls() {
        let values = [vec![0.0, 10.0], vec![0.0, 10.0]];
        let lanes = lanes(&values);
        let layout = Layout { lanes: &lanes };
        assert_eq!(layout.line(0), format!("M{} {} {} {}", 196, 26, 740, 88));
        assert_eq!(layout.line(1), "M740 26 196 88");
    }

    #[test]
    fn few_are_drawn_and_many_are_counted() {
        let drawn = |count: usize| {
            let values = vec![(0..count).map(|i| i as f64).collect::<Vec<_>>(); 2];
            traces("", &lanes(&values), count, &[]).into_string()
        };
        assert!(!drawn(DRAWN).contains("<image") && drawn(DRAWN).matches("<path d=").count() == DRAWN);
        assert!(drawn(DRAWN + 1).contains("data:image/png") && !drawn(DRAWN + 1).contains("<path d="));
    }

    #[test]
    fn long_names_take_several_rows() {
        assert_eq!(wrapped("unevenness of the sum at the worst seat, dB", 27).len(), 2);
        assert_eq!(wrapped("mass, kg", 27), ["mass, kg"]);
    }
}
