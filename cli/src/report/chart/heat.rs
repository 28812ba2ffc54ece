//! Heat maps: one cell per sample, neighbours of the same shade merged into one shape.

use super::colour::{self, OkLab};
use super::plane::Plane;
use super::{WIDTH, place};
use crate::report::format;
use maud::{Markup, html};
use ndarray::{Array2, ArrayView2};

/// Number of shades of a map.
pub const SHADES: usize = 64;
/// Cells along a side that look smooth on paper.
const FINE_CELLS: usize = 150;

/// A colour map stretched over a range of values.
#[derive(Clone, Copy)]
pub struct Shading {
    /// Value of the first colour.
    pub low: f64,
    /// Value of the last colour.
    pub high: f64,
    /// The map.
    pub colours: fn(f64) -> OkLab,
}

impl Shading {
    /// Number of the shade, `None` for what is not finite.
    pub fn shade(&self, value: f64) -> Option<usize> {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        value.is_finite().then(|| (share * (SHADES - 1) as f64).round() as usize)
    }

    /// All shades as `#rrggbb`.
    pub fn ramp(&self) -> Vec<String> {
        (0..SHADES).map(|i| (self.colours)(i as f64 / (SHADES - 1) as f64).hex()).collect()
    }
}

/// Borders of the cells around samples at `nodes`: half-way between neighbours, symmetric at the ends.
pub fn borders(nodes: &[f64]) -> Vec<f64> {
    match nodes {
        [] => Vec::new(),
        [only] => vec![only - 0.5, only + 0.5],
        [first, second, ..] => {
            let last = nodes[nodes.len() - 1];
            let before = nodes[nodes.len() - 2];
            let middles = nodes.windows(2).map(|pair| 0.5 * (pair[0] + pair[1]));
            let ends = (first - 0.5 * (second - first), last + 0.5 * (last - before));
            std::iter::once(ends.0).chain(middles).chain(std::iter::once(ends.1)).collect()
        }
    }
}

/// How many times finer a grid of `count` nodes along its longer side is drawn, so that cells are a few pixels wide.
pub fn refinement(count: usize) -> usize {
    (FINE_CELLS / count.max(1)).clamp(1, 4)
}

/// Nodes with `factor - 1` more between neighbours.
pub fn refined_nodes(nodes: &[f64], factor: usize) -> Vec<f64> {
    let between = |pair: &[f64]| {
        let (from, to) = (pair[0], pair[1]);
        (0..factor).map(move |k| from + (to - from) * k as f64 / factor as f64).collect::<Vec<_>>()
    };
    nodes.windows(2).flat_map(between).chain(nodes.last().copied()).collect()
}

/// Values at the nodes of [`refined_nodes`], linear along x and along y.
pub fn refined(values: ArrayView2<f64>, factor: usize) -> Array2<f64> {
    let (nx, ny) = values.dim();
    let fine = |count: usize| if count == 0 { 0 } else { (count - 1) * factor + 1 };
    let split = |index: usize, count: usize| {
        let base = (index / factor).min(count.saturating_sub(2));
        (base, (base + 1).min(count - 1), (index - base * factor) as f64 / factor as f64)
    };
    Array2::from_shape_fn((fine(nx), fine(ny)), |(i, j)| {
        let ((i0, i1, u), (j0, j1, v)) = (split(i, nx), split(j, ny));
        let along = |j: usize| values[[i0, j]] * (1.0 - u) + values[[i1, j]] * u;
        let between = along(j0) * (1.0 - v) + along(j1) * v;
        // Beside a blank the nearest value, or none, stands for what lies between.
        let nearest = [if u < 0.5 { i0 } else { i1 }, if v < 0.5 { j0 } else { j1 }];
        if between.is_nan() { values[nearest] } else { between }
    })
}

/// Values with blanks taken from their neighbours, ring by ring, so that a map reaches under the panel's rim, where it is clipped: a
/// picture's matter, not a result. All blank stays so.
pub fn filled(values: ArrayView2<f64>) -> Array2<f64> {
    let mut filled = values.to_owned();
    while filled.iter().any(|v| v.is_nan()) && filled.iter().any(|v| !v.is_nan()) {
        filled = grown(filled.view());
    }
    filled
}

/// The same by one ring: what is drawn over the rest hides that a map's border follows its cells.
pub fn grown(values: ArrayView2<f64>) -> Array2<f64> {
    let mut grown = values.to_owned();
    for (at, value) in grown.indexed_iter_mut().filter(|(_, value)| value.is_nan()) {
        *value = mean_around(&values, at);
    }
    grown
}

/// Mean of the up to eight neighbours that are numbers; not a number if there are none.
fn mean_around(values: &ArrayView2<f64>, (i, j): (usize, usize)) -> f64 {
    let (nx, ny) = values.dim();
    let near = |k: usize, count: usize| k.saturating_sub(1)..(k + 2).min(count);
    let around = near(i, nx).flat_map(|a| near(j, ny).map(move |b| (a, b))).map(|at| values[at]);
    let (sum, count) =
        around.filter(|v| !v.is_nan()).fold((0.0, 0u32), |(sum, count), v| (sum + v, count + 1));
    sum / f64::from(count)
}

/// Cells at the borders `x` (left to right) and `y` (bottom to top), both in user units; values (nx, ny).
pub fn cells(x: &[f64], y: &[f64], values: ArrayView2<f64>, shading: &Shading) -> Markup {
    let mut shapes = vec![String::new(); SHADES];
    let (nx, ny) = values.dim();
    for j in 0..ny {
        let mut i = 0;
        while i < nx {
            let shade = shading.shade(values[[i, j]]);
            let start = i;
            while i < nx && shading.shade(values[[i, j]]) == shade {
                i += 1;
            }
            if let Some(shade) = shade {
                shapes[shade].push_str(&run(x[start], x[i], y[j], y[j + 1]));
            }
        }
    }
    html! {
        @for (shape, fill) in shapes.iter().zip(shading.ramp()) {
            @if !shape.is_empty() { path fill=(fill) stroke=(fill) d=(shape) {} }
        }
    }
}

fn run(left: f64, right: f64, bottom: f64, top: f64) -> String {
    format!("M{} {}H{}V{}H{}Z", place(left), place(bottom), place(right), place(top), place(left))
}

/// Borders of a plane's cells in user units.
pub fn plane_borders(plane: &Plane, x: &[f64], y: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let along_x = borders(x).into_iter().map(|v| plane.at([v, 0.0]).0).collect();
    let along_y = borders(y).into_iter().map(|v| plane.at([0.0, v]).1).collect();
    (along_x, along_y)
}

/// Colour bar at the right of a plane, with a tick every `step`.
pub fn bar(plane: &Plane, shading: &Shading, step: f64, title: &str) -> Markup {
    let (right, bottom) = plane.far_corner();
    let (x, top) = (right + 26.0, 40.0);
    let height = (bottom - top).min(320.0);
    let slice = height / SHADES as f64;
    let at = |value: f64| top + (1.0 - (value - shading.low) / (shading.high - shading.low)) * height;
    let count = ((shading.high - shading.low) / step).round() as usize;
    html! {
        g.colour-bar {
            text.axis-title.at-right x=(place(WIDTH)) y="26" { (title) }
            @for (i, fill) in shading.ramp().into_iter().rev().enumerate() {
                rect x=(place(x)) width="16" y=(format!("{:.2}", top + i as f64 * slice)) height=(format!("{:.2}", slice + 0.3)) fill=(fill) {}
            }
            @for i in 0..=count {
                @let value = shading.low + i as f64 * step;
                line.axis x1=(place(x + 16.0)) x2=(place(x + 21.0)) y1=(place(at(value))) y2=(place(at(value))) {}
                text.tick.at-start x=(place(x + 25.0)) y=(place(at(value))) { (signed(value)) }
            }
        }
    }
}

fn signed(value: f64) -> String {
    if value > 0.0 { format!("+{}", format::fixed(value, 0)) } else { format::fixed(value, 0) }
}

/// Levels relative to a mean: quiet dark, loud light.
pub fn quiet_to_loud(low: f64, high: f64) -> Shading {
    Shading { low, high, colours: colour::sequential }
}

/// Minus to plus about zero.
pub fn minus_to_plus() -> Shading {
    Shading { low: -1.0, high: 1.0, colours: colour::diverging }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    #[test]
    fn borders_lie_half_way() {
        assert_eq!(borders(&[0.0, 1.0, 3.0]), [-0.5, 0.5, 2.0, 4.0]);
        assert_eq!(borders(&[2.0]), [1.5, 2.5]);
    }

    #[test]
    fn neighbours_of_one_shade_become_one_shape() {
        let values = array![[0.0], [0.0], [1.0]];
        let drawn =
            cells(&[0.0, 1.0, 2.0, 3.0], &[1.0, 0.0], values.view(), &quiet_to_loud(0.0, 1.0)).into_string();
        assert_eq!(drawn.matches("<path").count(), 2);
        assert!(drawn.contains("M0 1H2V0H0Z") && drawn.contains("M2 1H3V0H2Z"), "{drawn}");
    }

    #[test]
    fn refinement_keeps_the_nodes_and_is_linear_between_them() {
        let values = array![[0.0, 2.0], [4.0, 6.0], [8.0, 1.0]];
        let fine = refined(values.view(), 2);
        assert_eq!(fine.dim(), (5, 3));
        assert_eq!((fine[[0, 0]], fine[[2, 2]], fine[[4, 2]]), (0.0, 6.0, 1.0));
        assert_eq!((fine[[1, 0]], fine[[1, 1]]), (2.0, 3.0));
        assert_eq!(refined_nodes(&[0.0, 1.0, 3.0], 2), [0.0, 0.5, 1.0, 2.0, 3.0]);
    }

    #[test]
    fn blanks_are_filled_from_the_rim_outwards() {
        let nan = f64::NAN;
        let values = array![[1.0, nan, nan], [3.0, nan, nan]];
        assert_eq!(filled(values.view()), array![[1.0, 2.0, 2.0], [3.0, 2.0, 2.0]]);
        assert!(filled(array![[nan, nan]].view()).iter().all(|v| v.is_nan()), "and it ends");
    }

    #[test]
    fn shades_clip_and_skip() {
        let shading = quiet_to_loud(-10.0, 10.0);
        assert_eq!(shading.shade(-99.0), Some(0));
        assert_eq!(shading.shade(99.0), Some(SHADES - 1));
        assert_eq!(shading.shade(f64::NAN), None);
    }
}
