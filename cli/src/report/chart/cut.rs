//! A plane through a driver's axis as a heat map, drawn the way the polar patterns lie: the horizontal one from above with the listener
//! below, the vertical one from the listener's left.

use super::heat::{self, Shading};
use super::polar::Opening;
use super::scale::Scale;
use super::{path, place};
use crate::report::format;
use maud::{Markup, html};
use ndarray::{Array2, ArrayView2};

const SIDE: f64 = 300.0;
const LEFT: f64 = 46.0;
const TOP: f64 = 12.0;
const WIDTH: f64 = LEFT + SIDE + 18.0;
const HEIGHT: f64 = TOP + SIDE + 46.0;

/// A cutting plane on paper.
pub struct Cut {
    opening: Opening,
    /// Nodes [m] to the right and upwards on paper; upwards −z where the axis points down.
    nodes: [Vec<f64>; 2],
    factor: usize,
}

impl Cut {
    /// The plane over the nodes `across` the axis and `along` it [m], both ascending.
    pub fn new(opening: Opening, across: &[f64], along: &[f64]) -> Self {
        let nodes = match opening {
            Opening::Down => [across.to_vec(), along.iter().rev().map(|z| -z).collect()],
            Opening::Right => [along.to_vec(), across.to_vec()],
        };
        let factor = heat::refinement(across.len().max(along.len()));
        Self { opening, nodes, factor }
    }

    /// Values (across, along) as they lie on paper: (right, up).
    pub fn turned(&self, values: ArrayView2<f64>) -> Array2<f64> {
        match self.opening {
            Opening::Down => values.slice(ndarray::s![.., ..;-1]).to_owned(),
            Opening::Right => values.t().to_owned(),
        }
    }

    /// How many times finer than its nodes it is drawn.
    pub fn factor(&self) -> usize {
        self.factor
    }

    /// Borders of the drawn cells in user units: to the right, and from bottom to top.
    pub fn borders(&self) -> [Vec<f64>; 2] {
        let at = |axis: usize, value: f64| if axis == 0 { self.right(value) } else { self.up(value) };
        [0, 1].map(|axis| {
            let fine = heat::refined_nodes(&self.nodes[axis], self.factor);
            let inside = |value: f64| value.clamp(self.range(axis).0, self.range(axis).1);
            heat::borders(&fine).into_iter().map(|value| at(axis, inside(value))).collect()
        })
    }

    /// The cells of values (right, up).
    pub fn cells(&self, values: ArrayView2<f64>, shading: &Shading) -> Markup {
        let [x, y] = self.borders();
        heat::cells(&x, &y, heat::refined(values, self.factor).view(), shading)
    }

    fn range(&self, axis: usize) -> (f64, f64) {
        let nodes = &self.nodes[axis];
        (nodes.first().copied().unwrap_or(0.0), nodes.last().copied().unwrap_or(1.0))
    }

    /// User units per metre.
    fn scale(&self, axis: usize) -> f64 {
        let (low, high) = self.range(axis);
        SIDE / (high - low)
    }

    fn right(&self, value: f64) -> f64 {
        LEFT + (value - self.range(0).0) * self.scale(0)
    }

    fn up(&self, value: f64) -> f64 {
        TOP + SIDE - (value - self.range(1).0) * self.scale(1)
    }

    /// A place (across, along) [m] on paper.
    fn at(&self, (across, along): (f64, f64)) -> (f64, f64) {
        match self.opening {
            Opening::Down => (self.right(across), self.up(-along)),
            Opening::Right => (self.right(along), self.up(across)),
        }
    }

    /// The drawing around its cells; `solid`: where there is no air, closed lines of places (across, along) [m]; cells reach under
    /// its borders, which are drawn as they are.
    pub fn draw(&self, label: &str, cells: &Markup, solid: &[Vec<(f64, f64)>]) -> Markup {
        let corner = format!("{LEFT} {TOP} {} 0", self.scale(0));
        let origin = format!("{} {}", self.range(0).0, self.range(1).1);
        let (axes, titles) = match self.opening {
            Opening::Down => ("x z -1", ["x, mm", "z, mm"]),
            Opening::Right => ("z y 1", ["z, mm", "y, mm"]),
        };
        html! {
            svg.drawing.cut viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(label) tabindex="0"
                data-plane=(corner) data-origin=(origin) data-axes=(axes) {
                rect.field x=(LEFT) y=(TOP) width=(SIDE) height=(SIDE) {}
                g.cells { (cells) }
                path.solid d=(solid.iter().map(|line| self.closed(line)).collect::<String>()) {}
                (self.ticks())
                text.axis-title.at-right x=(LEFT + SIDE) y=(HEIGHT - 8.0) { (titles[0]) }
                text.axis-title.centred transform={ "rotate(-90 11 " (TOP + 0.5 * SIDE) ")" } x="11" y=(TOP + 0.5 * SIDE) { (titles[1]) }
            }
        }
    }

    /// Cut off at the border of the square.
    fn closed(&self, line: &[(f64, f64)]) -> String {
        let inside = |(x, y): (f64, f64)| (x.clamp(LEFT, LEFT + SIDE), y.clamp(TOP, TOP + SIDE));
        path(line.iter().map(|&place| inside(self.at(place)))) + "Z"
    }

    fn ticks(&self) -> Markup {
        let bottom = TOP + SIDE;
        html! {
            @for (value, label) in millimetres(self.range(0)) {
                @let x = place(self.right(value));
                line.axis x1=(x) x2=(x) y1=(bottom) y2=(bottom + 5.0) {}
                text.tick.below x=(x) y=(bottom + 8.0) { (format::fixed(label, 0)) }
            }
            @for (value, label) in millimetres(self.range(1)) {
                @let (y, sign) = (place(self.up(value)), if self.opening == Opening::Down { -1.0 } else { 1.0 });
                line.axis x1=(LEFT - 5.0) x2=(LEFT) y1=(y) y2=(y) {}
                text.tick.at-left x=(LEFT - 8.0) y=(y) { (format::fixed(sign * label, 0)) }
            }
        }
    }
}

/// Round places [m] in a range, with the millimetres they are.
fn millimetres((low, high): (f64, f64)) -> Vec<(f64, f64)> {
    let scale = Scale { logarithmic: false, low: low * 1e3, high: high * 1e3, step: None };
    scale.ticks(6).into_iter().map(|tick| (tick.value * 1e-3, tick.value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    /// Two places across, three along the axis; the loudest on the right and in front.
    fn values() -> Array2<f64> {
        array![[0.0, 1.0, 2.0], [3.0, 4.0, 5.0]]
    }

    #[test]
    fn the_listener_is_below_or_to_the_right() {
        let (across, along) = ([-1.0, 1.0], [0.0, 1.0, 2.0]);
        let from_above = Cut::new(Opening::Down, &across, &along);
        assert_eq!(from_above.turned(values().view()), array![[2.0, 1.0, 0.0], [5.0, 4.0, 3.0]]);
        let from_the_left = Cut::new(Opening::Right, &across, &along);
        assert_eq!(from_the_left.turned(values().view()), array![[0.0, 3.0], [1.0, 4.0], [2.0, 5.0]]);
        assert_eq!(from_above.at((1.0, 2.0)), (LEFT + SIDE, TOP + SIDE));
        assert_eq!(from_the_left.at((1.0, 2.0)), (LEFT + SIDE, TOP));
    }

    #[test]
    fn cells_fill_the_square() {
        let cut = Cut::new(Opening::Right, &[-1.0, 0.0, 1.0], &[0.0, 1.0, 2.0]);
        let [x, y] = cut.borders();
        assert_eq!((x[0], x[x.len() - 1]), (LEFT, LEFT + SIDE));
        assert_eq!((y[0], y[y.len() - 1]), (TOP + SIDE, TOP));
        assert_eq!(x.len(), 2 * cut.factor() + 2);
    }
}
