//! Bodies in space, drawn obliquely: back faces left out, the rest painted from far to near.

use super::{path, place};
use maud::{Markup, PreEscaped, html};
use panelwright_mesh::Surface;

type Vector = [f64; 3];

/// Where the light comes from: over the viewer's left shoulder.
const LIGHT: Vector = [-0.35, 0.55, 0.76];
/// Light that reaches every face.
const AMBIENT: f64 = 0.35;

/// A parallel projection.
#[derive(Clone, Copy, Debug)]
pub struct View {
    right: Vector,
    up: Vector,
    towards: Vector,
}

/// A triangle on paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Facet {
    /// Number of the triangle in its surface.
    pub triangle: usize,
    /// Corners on paper [m], to the right and upwards.
    pub corners: [(f64, f64); 3],
    /// How bright it is, 0 to 1 (J. H. Lambert's cosine law, and some light from everywhere).
    pub brightness: f64,
    /// True when the viewer sees it from inside the body.
    pub inside: bool,
    /// Distance of its middle towards the viewer [m].
    depth: f64,
}

impl View {
    /// From the front, from the right and from above; y is upwards on paper.
    pub fn oblique() -> Self {
        Self::from([0.62, 0.42, 0.80])
    }

    /// From the direction `towards`, which must not be upright.
    fn from(towards: Vector) -> Self {
        let towards = unit(towards);
        let right = unit([towards[2], 0.0, -towards[0]]);
        Self { right, up: cross(towards, right), towards }
    }

    /// A place [m] on paper, to the right and upwards [m].
    pub fn onto_paper(&self, point: Vector) -> (f64, f64) {
        (dot(self.right, point), dot(self.up, point))
    }

    /// The triangles that face the viewer, from far to near.
    pub fn facets(&self, surface: &Surface) -> Vec<Facet> {
        let mut facets = self.both_sides(surface);
        facets.retain(|facet| !facet.inside);
        facets
    }

    /// All triangles, from far to near, the insides of open surfaces among them.
    pub fn both_sides(&self, surface: &Surface) -> Vec<Facet> {
        let light = unit(self.in_space(LIGHT));
        let facet = |triangle: usize| {
            let normal = unit(surface.area_vector(triangle).into());
            let corners = surface.corners(triangle).map(Vector::from);
            let depth = corners.iter().map(|corner| dot(self.towards, *corner)).sum::<f64>() / 3.0;
            let inside = dot(normal, self.towards) <= 0.0;
            let lit = if inside { 0.0 } else { dot(normal, light).max(0.0) };
            let brightness = AMBIENT + (1.0 - AMBIENT) * lit;
            let corners = corners.map(|corner| self.onto_paper(corner));
            Facet { triangle, corners, brightness, inside, depth }
        };
        let mut facets: Vec<Facet> = (0..surface.triangles.len()).map(facet).collect();
        facets.sort_by(|a, b| a.depth.total_cmp(&b.depth));
        facets
    }

    /// A direction given to the right, upwards and towards the viewer.
    fn in_space(&self, [right, up, towards]: Vector) -> Vector {
        [0, 1, 2].map(|k| right * self.right[k] + up * self.up[k] + towards * self.towards[k])
    }
}

/// Part of the paper that several drawings share, so that they are to the same scale.
#[derive(Clone, Copy, Debug)]
pub struct Window {
    low: (f64, f64),
    scale: f64,
    width: f64,
    height: f64,
}

impl Window {
    /// Around all of these facets, `width` user units wide.
    pub fn around<'f>(facets: impl Iterator<Item = &'f Facet>, width: f64) -> Self {
        let start = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
        let (low, high) = facets.flat_map(|facet| facet.corners).fold(start, |(low, high), (x, y)| {
            ((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y)))
        });
        let scale = width / (high.0 - low.0).max(1e-9);
        Self { low, scale, width, height: (high.1 - low.1).max(0.0) * scale }
    }

    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x - self.low.0) * self.scale, self.height - (y - self.low.1) * self.scale)
    }

    /// The drawing under the name `id`; `colours` are those of the facets, in their order.
    pub fn draw(&self, id: &str, label: &str, facets: &[Facet], colours: &[String]) -> Markup {
        let paths: String =
            facets.iter().zip(colours).map(|(facet, colour)| self.facet(facet, colour)).collect();
        html! {
            svg.body id=(id) viewBox=(self.view_box()) role="img" aria-label=(label) { (PreEscaped(paths)) }
        }
    }

    /// The drawing `id` once more, coloured by the script; the style sheet keeps some of the light.
    pub fn again(&self, id: &str, label: &str) -> Markup {
        html! { svg.body.lit viewBox=(self.view_box()) role="img" aria-label=(label) data-body=(id) {} }
    }

    fn view_box(&self) -> String {
        format!("-2 -2 {} {}", place(self.width + 4.0), place(self.height + 4.0))
    }

    /// Written by hand: there are thousands of them.
    fn facet(&self, facet: &Facet, colour: &str) -> String {
        let light = (9.0 * facet.brightness).round();
        let outline = path(facet.corners.map(|corner| self.at(corner)));
        format!("<path class=\"l{light}\" color=\"{colour}\" d=\"{outline}Z\"/>")
    }
}

/// Where a surface cuts the plane through the z axis on which the coordinate `across` (0 for x, 1 for y) runs: closed lines for a closed surface,
/// places (across, z) [m].
pub fn rim(surface: &Surface, across: usize) -> Vec<Vec<(f64, f64)>> {
    let off = 1 - across;
    let size = surface.points.iter().map(|point| point[off].abs()).fold(0.0, f64::max);
    // A hair beside the plane, on which points of symmetric bodies lie.
    let height = |corner: Vector| corner[off] - 1e-6 * size;
    // Always from the lower corner: both triangles at a side must find the very same place.
    let crossing = |a: Vector, b: Vector| {
        let (a, b) = if height(a) < height(b) { (a, b) } else { (b, a) };
        let share = height(a) / (height(a) - height(b));
        let at = |k: usize| a[k] + share * (b[k] - a[k]);
        ((height(a) > 0.0) != (height(b) > 0.0)).then(|| (at(across), at(2)))
    };
    let segment = |triangle: usize| {
        let [a, b, c] = surface.corners(triangle).map(Vector::from);
        let mut ends = [(a, b), (b, c), (c, a)].into_iter().filter_map(|(p, q)| crossing(p, q));
        Some([ends.next()?, ends.next()?])
    };
    chained((0..surface.triangles.len()).filter_map(segment).collect())
}

/// Segments joined to lines where they share ends.
fn chained(mut segments: Vec<[(f64, f64); 2]>) -> Vec<Vec<(f64, f64)>> {
    let name = |(x, y): (f64, f64)| (x.to_bits(), y.to_bits());
    let mut lines = vec![];
    while let Some([start, mut end]) = segments.pop() {
        let mut line = vec![start, end];
        let follows = |segment: &[(f64, f64); 2], end| segment.iter().any(|at| name(*at) == name(end));
        while let Some(next) = segments.iter().position(|segment| follows(segment, end)) {
            let [one, other] = segments.swap_remove(next);
            end = if name(one) == name(end) { other } else { one };
            line.push(end);
        }
        lines.push(line);
    }
    lines
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// As long as one; a vector without direction stays as it is.
fn unit(vector: Vector) -> Vector {
    let length = dot(vector, vector).sqrt();
    if length > 0.0 { vector.map(|v| v / length) } else { vector }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use panelwright_mesh::sphere;

    fn ball(radius: f64) -> Surface {
        let curved = sphere(radius, 3);
        let triangles: Vec<_> = curved.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect();
        Surface { points: curved.points, patches: vec![0; triangles.len()], triangles }
    }

    #[test]
    fn the_listeners_right_is_right_and_up_is_up() {
        let view = View::oblique();
        let (right, up, near) = ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
        assert!(view.onto_paper(right).0 > 0.5 && view.onto_paper(up).1 > 0.5);
        assert_relative_eq!(view.onto_paper(up).0, 0.0);
        // From the right, what is near lies to the left; from above, it lies low.
        assert!(view.onto_paper(near).0 < 0.0 && view.onto_paper(near).1 < 0.0);
        for (a, b) in [(view.right, view.up), (view.up, view.towards), (view.towards, view.right)] {
            assert_relative_eq!(dot(a, b), 0.0, epsilon = 1e-12);
            assert_relative_eq!(dot(a, a), 1.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn half_a_ball_is_seen_and_painted_from_far_to_near() {
        let surface = ball(1.0);
        let facets = View::oblique().facets(&surface);
        let share = facets.len() as f64 / surface.triangles.len() as f64;
        assert!((0.4..0.6).contains(&share), "{share} of the triangles");
        assert!(facets.windows(2).all(|pair| pair[0].depth <= pair[1].depth));
        assert!(facets.iter().all(|facet| facet.depth > -0.2), "nothing from the far side");
        assert!(facets.iter().all(|facet| (AMBIENT..=1.0).contains(&facet.brightness)));
        let brightest = facets.iter().max_by(|a, b| a.brightness.total_cmp(&b.brightness)).expect("some");
        let (x, y) = brightest.corners[0];
        assert!(x < 0.0 && y > 0.0, "the light comes from the left and from above, not from {x}, {y}");
    }

    #[test]
    fn drawings_in_one_window_share_a_scale() {
        let (view, small, large) = (View::oblique(), ball(0.5), ball(1.0));
        let (near, far) = (view.facets(&small), view.facets(&large));
        let window = Window::around(near.iter().chain(&far), 200.0);
        let extent = |facets: &[Facet]| {
            let x: Vec<f64> = facets.iter().flat_map(|f| f.corners.map(|c| window.at(c).0)).collect();
            x.iter().fold(0.0, |most: f64, v| most.max(*v))
                - x.iter().fold(200.0, |least: f64, v| least.min(*v))
        };
        assert_relative_eq!(extent(&far), 200.0, epsilon = 1e-9);
        assert!((extent(&near) - 100.0).abs() < 4.0, "{}", extent(&near));
        let drawn =
            window.draw("ball", "A ball", &far, &vec!["#123456".to_string(); far.len()]).into_string();
        assert_eq!(drawn.matches(" color=\"#123456\" d=\"M").count(), far.len());
    }

    #[test]
    fn the_rim_of_a_ball_is_a_circle() {
        for across in [0, 1] {
            let rim = rim(&ball(1.0), across);
            assert_eq!((rim.len(), rim[0][0]), (1, rim[0][rim[0].len() - 1]));
            let length: f64 =
                rim[0].windows(2).map(|ends| (ends[0].0 - ends[1].0).hypot(ends[0].1 - ends[1].1)).sum();
            assert!((length / std::f64::consts::TAU - 1.0).abs() < 0.03, "{length}");
            assert!(rim.iter().flatten().all(|(x, z)| (0.9..1.0001).contains(&x.hypot(*z))));
        }
    }
}
