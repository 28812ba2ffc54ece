//! Curves over a common frequency axis, one or more plots on top of each other.

use super::scale::{Scale, Tick};
use super::{WIDTH, path, place};
use crate::report::choice::When;
use maud::{Markup, PreEscaped, html};
use std::borrow::Cow;

const LEFT: f64 = 58.0;
const RIGHT: f64 = 18.0;
/// Room above each plot for the title of its vertical axis.
const HEAD: f64 = 30.0;
/// Room under the last plot for labels and title of the frequency axis.
const FOOT: f64 = 58.0;

/// One curve.
pub struct Curve<'a> {
    /// Name in the legend and the readout.
    pub label: String,
    /// Values at the chart's frequencies, in the unit of the axis.
    pub values: Cow<'a, [f64]>,
    /// Unit in the readout.
    pub unit: &'static str,
    /// Number of the line colour.
    pub colour: usize,
    /// Thin and pale: the raw curve behind a smoothed one.
    pub thin: bool,
    /// When it is visible.
    pub when: When,
}

/// Something that is not a curve.
pub enum Mark<'a> {
    /// Horizontal limit with a label at its right end.
    Limit { value: f64, label: String, colour: usize },
    /// Stretch of frequencies drawn as a bar on row `row` counted from the bottom.
    Bar { from: f64, to: f64, label: String, row: usize, colour: usize, when: When },
    /// Shaded stretch of frequencies.
    Shade { from: f64, to: f64, label: String },
    /// Vertical line with a label.
    At { frequency: f64, label: String },
    /// Filled area between two curves.
    Area { low: Cow<'a, [f64]>, high: Cow<'a, [f64]>, colour: usize, when: When },
}

/// One plot of the stack.
pub struct Plot<'a> {
    /// Quantity and unit, above the plot.
    pub title: String,
    /// Vertical axis.
    pub scale: Scale,
    /// Height of the plot's rectangle.
    pub height: f64,
    /// Curves.
    pub curves: Vec<Curve<'a>>,
    /// Everything else.
    pub marks: Vec<Mark<'a>>,
}

/// Where a plot of the stack lies.
struct Frame<'p> {
    x: Scale,
    y: Scale,
    top: f64,
    height: f64,
    title: &'p str,
}

/// The drawing. `label` says what it shows to those who cannot see it.
pub fn over_frequency(label: &str, frequencies: &[f64], plots: &[Plot]) -> Markup {
    let x = Scale::frequency(frequencies);
    let mut top = 0.0;
    let mut drawings = Vec::new();
    for (index, plot) in plots.iter().enumerate() {
        top += HEAD;
        let frame = Frame { x, y: plot.scale, top, height: plot.height, title: &plot.title };
        drawings.push(frame.draw(plot, frequencies, index + 1 == plots.len()));
        top += plot.height;
    }
    let height = top + FOOT;
    let axis = format!("{} {} {LEFT} {}", x.low, x.high, WIDTH - LEFT - RIGHT);
    html! {
        svg.drawing.over-frequency viewBox={ "0 0 " (WIDTH) " " (place(height)) } role="img" aria-label=(label)
            tabindex="0" data-x=(axis) {
            @for drawing in drawings { (drawing) }
            line.crosshair.off x1="0" x2="0" y1=(place(HEAD)) y2=(place(top)) {}
        }
    }
}

impl Frame<'_> {
    fn width(&self) -> f64 {
        WIDTH - LEFT - RIGHT
    }

    fn at(&self, frequency: f64) -> f64 {
        LEFT + self.x.share(frequency) * self.width()
    }

    /// Height on the paper; what lies far outside stays near enough to keep numbers short.
    fn level(&self, value: f64) -> f64 {
        let share = self.y.share(value);
        self.top + (1.0 - if share.is_nan() { share } else { share.clamp(-1.0, 2.0) }) * self.height
    }

    fn bottom(&self) -> f64 {
        self.top + self.height
    }

    fn draw(&self, plot: &Plot, frequencies: &[f64], last: bool) -> Markup {
        let y = format!(
            "{} {} {} {} {}",
            u8::from(self.y.logarithmic),
            self.y.low,
            self.y.high,
            place(self.top),
            place(self.height)
        );
        html! {
            g.plot data-y=(y) {
                (self.axes(last))
                svg x=(LEFT) y=(place(self.top)) width=(self.width()) height=(place(self.height))
                    viewBox={ (LEFT) " " (place(self.top)) " " (self.width()) " " (place(self.height)) } {
                    @for mark in &plot.marks { (self.mark_shape(mark, frequencies)) }
                    @for curve in &plot.curves { (self.curve(curve, frequencies)) }
                }
                @for mark in &plot.marks { (self.mark_label(mark)) }
            }
        }
    }

    fn axes(&self, last: bool) -> Markup {
        let (left, right) = (place(LEFT), place(LEFT + self.width()));
        let horizontal = self.y.ticks((self.height / 34.0).max(2.0) as usize);
        html! {
            text.axis-title x=(left) y=(place(self.top - 11.0)) { (self.title) }
            @for tick in &horizontal {
                line.grid.minor[tick.label.is_none()] x1=(left) x2=(right) y1=(place(self.level(tick.value))) y2=(place(self.level(tick.value))) {}
                @if let Some(label) = &tick.label {
                    text.tick.at-left x=(place(LEFT - 8.0)) y=(place(self.level(tick.value))) { (label) }
                }
            }
            @for tick in self.x.ticks(10) { (self.vertical(&tick, last)) }
            line.axis x1=(left) x2=(right) y1=(place(self.bottom())) y2=(place(self.bottom())) {}
            @if last { text.axis-title.at-right.low x=(right) y=(place(self.bottom() + 38.0)) { "Frequency, Hz" } }
        }
    }

    fn vertical(&self, tick: &Tick, last: bool) -> Markup {
        let x = place(self.at(tick.value));
        html! {
            line.grid.minor[tick.label.is_none()] x1=(x) x2=(x) y1=(place(self.top)) y2=(place(self.bottom())) {}
            @if let (true, Some(label)) = (last, &tick.label) {
                text.tick.below x=(x) y=(place(self.bottom() + 8.0)) { (label) }
            }
        }
    }

    fn curve(&self, curve: &Curve, frequencies: &[f64]) -> Markup {
        let points = frequencies.iter().zip(curve.values.iter()).map(|(&f, &v)| (self.at(f), self.level(v)));
        let class = format!(
            "curve s{} {}{}",
            curve.colour % super::colour::categories(),
            if curve.thin { "thin " } else { "" },
            curve.when.class()
        );
        html! {
            path class=(class.trim()) data-label=(curve.label) data-unit=(curve.unit) data-when=[curve.when.attribute()]
                d=(path(points)) {}
        }
    }

    fn mark_shape(&self, mark: &Mark, frequencies: &[f64]) -> Markup {
        match mark {
            Mark::Limit { value, colour, .. } => {
                let y = place(self.level(*value));
                html! { line class={ "limit s" (colour % super::colour::categories()) } x1=(LEFT) x2=(WIDTH - RIGHT) y1=(y) y2=(y) {} }
            }
            Mark::Bar { from, to, row, colour, when, .. } => self.bar(*from, *to, *row, *colour, when),
            Mark::Shade { from, to, .. } => html! {
                rect.shade x=(place(self.at(*from))) width=(place((self.at(*to) - self.at(*from)).max(1.0)))
                    y=(place(self.top)) height=(place(self.height)) {}
            },
            Mark::At { frequency, .. } => {
                let x = place(self.at(*frequency));
                html! { line.mark x1=(x) x2=(x) y1=(place(self.top)) y2=(place(self.bottom())) {} }
            }
            Mark::Area { low, high, colour, when } => {
                let class = format!("area s{} {}", colour % super::colour::categories(), when.class());
                html! { path class=(class.trim()) data-when=[when.attribute()] d=(self.area(frequencies, low, high)) {} }
            }
        }
    }

    fn bar_height(&self, row: usize) -> f64 {
        self.bottom() - 14.0 - 30.0 * row as f64
    }

    fn bar(&self, from: f64, to: f64, row: usize, colour: usize, when: &When) -> Markup {
        let y = self.bar_height(row);
        let class = format!("bar s{} {}", colour % super::colour::categories(), when.class());
        let ends = [(self.at(from), y - 5.0), (self.at(from), y + 5.0)];
        let other = [(self.at(to), y + 5.0), (self.at(to), y - 5.0)];
        let middle = path([(self.at(from), y), (self.at(to), y)]);
        html! { path class=(class.trim()) data-when=[when.attribute()] d={ (path(ends)) (middle) (path(other)) } {} }
    }

    fn area(&self, frequencies: &[f64], low: &[f64], high: &[f64]) -> String {
        let at = |(&f, &v): (&f64, &f64)| (self.at(f), self.level(v));
        let there = frequencies.iter().zip(high).map(at);
        let back = frequencies.iter().zip(low).map(at).rev();
        let points: Vec<_> = there.chain(back).filter(|(_, y)| y.is_finite()).collect();
        path(points) + "Z"
    }

    fn mark_label(&self, mark: &Mark) -> Markup {
        let (x, y, class, text, when) = match mark {
            Mark::Limit { value, label, colour } => {
                let class = format!("note at-right ink{}", colour % super::colour::categories());
                // Above the line, or below it where the plot ends.
                let above = self.level(*value) - 7.0;
                let y = if above < self.top + 10.0 { self.level(*value) + 16.0 } else { above };
                (WIDTH - RIGHT - 4.0, y, class, label, None)
            }
            Mark::Bar { from, to, label, row, when, .. } => {
                let middle = 0.5 * (self.at(*from) + self.at(*to));
                let class = format!("note centred {}", when.class());
                (middle, self.bar_height(*row) - 7.0, class, label, when.attribute())
            }
            Mark::Shade { from, to, label } => {
                let middle = 0.5 * (self.at(*from) + self.at(*to));
                let y = place(self.bottom() - 10.0);
                return html! { text.note.centred x=(place(middle)) y=(y) { (label) } };
            }
            Mark::At { frequency, label } => return self.upright_label(self.at(*frequency), label),
            Mark::Area { .. } => return PreEscaped(String::new()),
        };
        if !(self.top..=self.bottom()).contains(&y) {
            return PreEscaped(String::new());
        }
        html! { text class=(class.trim()) data-when=[when] x=(place(x)) y=(place(y)) { (text) } }
    }

    /// Label at the top of a vertical mark, on the side where there is room.
    fn upright_label(&self, x: f64, label: &str) -> Markup {
        let on_left = x > LEFT + 0.6 * self.width();
        html! {
            text.note.at-right[on_left] x=(place(if on_left { x - 6.0 } else { x + 6.0 })) y=(place(self.top + 20.0)) { (label) }
        }
    }
}

/// Names of the curves with a sample of each line.
pub fn legend(entries: &[(usize, String)]) -> Markup {
    html! {
        ul.legend {
            @for (colour, label) in entries { (legend_entry(*colour, label, &When::default())) }
        }
    }
}

/// What a filled area means, visible with it.
pub fn area_entry(colour: usize, label: &str, when: &When) -> Markup {
    let class = format!("area s{}", colour % super::colour::categories());
    html! {
        li class=(when.class()) data-when=[when.attribute()] {
            svg.sample viewBox="0 0 34 10" aria-hidden="true" {
                path class=(class) d="M1 -1 33 -1 33 11 1 11Z" {}
                path class=(class) d="M1 2 33 2 33 8 1 8Z" {}
            }
            (label)
        }
    }
}

/// One name of a legend, visible with its curve.
pub fn legend_entry(colour: usize, label: &str, when: &When) -> Markup {
    html! {
        li class=(when.class()) data-when=[when.attribute()] {
            svg.sample viewBox="0 0 34 10" aria-hidden="true" {
                path class={ "curve s" (colour % super::colour::categories()) } d="M1 5 33 5" {}
            }
            (label)
        }
    }
}
