//! Six-point curved triangles: shape functions, positions, normals and surface curls.
//!
//! With barycentric coordinates λ and the reference coordinates `u = λ₁`, `v = λ₂` (the reference triangle has area ½) a point of the
//! element is `x(u, v) = Σ N_i x_i`. The vector `x_u × x_v` is the outward normal times the Jacobian J, and the surface curl of a function
//! is `n × ∇φ = (φ_u x_v − φ_v x_u)/J`.

use nalgebra::Vector3;

/// Barycentric coordinates in a triangle; they sum to one.
pub(super) type Place = [f64; 3];

/// One value per shape function.
pub(super) type Six<T> = [T; 6];

/// Values of the six quadratic shape functions.
pub(super) fn shape_values([a, b, c]: Place) -> Six<f64> {
    let corner = |l: f64| l * (2.0 * l - 1.0);
    [corner(a), corner(b), corner(c), 4.0 * a * b, 4.0 * b * c, 4.0 * c * a]
}

/// Derivatives of the shape functions with respect to u and v.
pub(super) fn shape_slopes([a, b, c]: Place) -> [Six<f64>; 2] {
    let corner = |l: f64| 4.0 * l - 1.0;
    [
        [-corner(a), corner(b), 0.0, 4.0 * (a - b), 4.0 * c, -4.0 * c],
        [-corner(a), 0.0, corner(c), -4.0 * b, 4.0 * b, 4.0 * (a - c)],
    ]
}

/// A curved triangle in space.
#[derive(Clone, Copy, Debug)]
pub(super) struct Element {
    /// Points [m]: corners 0, 1, 2, then those between 0 and 1, 1 and 2, 2 and 0.
    pub nodes: Six<Vector3<f64>>,
    /// −1 when the corners run clockwise seen from outside, as in a mirror image.
    pub sense: f64,
}

/// An element at one place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub position: Vector3<f64>,
    /// Outward normal times the Jacobian.
    pub area: Vector3<f64>,
}

impl Element {
    pub fn at(&self, place: Place) -> Spot {
        let [along_u, along_v] = shape_slopes(place).map(|slopes| self.sum(&slopes));
        Spot { position: self.position(place), area: self.sense * along_u.cross(&along_v) }
    }

    pub fn position(&self, place: Place) -> Vector3<f64> {
        self.sum(&shape_values(place))
    }

    /// Surface curls of the shape functions times the Jacobian.
    pub fn curls(&self, place: Place) -> Six<Vector3<f64>> {
        let [du, dv] = shape_slopes(place);
        let [along_u, along_v] = [&du, &dv].map(|slopes| self.sum(slopes));
        std::array::from_fn(|i| self.sense * (du[i] * along_v - dv[i] * along_u))
    }

    fn sum(&self, factors: &Six<f64>) -> Vector3<f64> {
        self.nodes.iter().zip(factors).map(|(node, factor)| node * *factor).sum()
    }

    /// The same element with its corners in another order.
    pub fn reordered(&self, order: Order) -> Self {
        Self { nodes: order.nodes().map(|from| self.nodes[from]), sense: self.sense * order.sense() }
    }

    /// Longest side squared over twice the area, of the corners: 1.15 for an equilateral triangle, 2 for half a square.
    pub fn slenderness(&self) -> f64 {
        let side = |i: usize| self.nodes[(i + 1) % 3] - self.nodes[i];
        let longest = (0..3).map(|i| side(i).norm_squared()).fold(0.0, f64::max);
        longest / side(0).cross(&side(1)).norm()
    }

    /// A part of the triangle divided at the middle of its longest side.
    pub fn halves(&self, part: &[Place; 3]) -> [[Place; 3]; 2] {
        let points = part.map(|corner| self.position(corner));
        let length = |i: usize| (points[(i + 1) % 3] - points[i]).norm_squared();
        let longest = (1..3).fold(0, |best, i| if length(i) > length(best) { i } else { best });
        let [a, b, c] = [0, 1, 2].map(|i| part[(longest + i) % 3]);
        let middle = between(a, b);
        [[a, middle, c], [middle, b, c]]
    }

    /// Middle, and the distance from it within which all of the triangle `corners` lies, up to the bulge of a strongly curved one.
    pub fn ball(&self, corners: &[Place; 3]) -> Ball {
        let points = corners.map(|corner| self.position(corner));
        let sides = [0, 1, 2].map(|i| self.position(between(corners[i], corners[(i + 1) % 3])));
        let middle = points.iter().sum::<Vector3<f64>>() / 3.0;
        let reach = points.iter().chain(&sides).map(|point| (point - middle).norm()).fold(0.0, f64::max);
        Ball { middle, reach }
    }
}

/// A ball that holds a triangle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ball {
    pub middle: Vector3<f64>,
    pub reach: f64,
}

impl Ball {
    /// Distance of the middles over the sum of the radii: how fast an expansion of the kernel about both middles converges.
    pub fn separation(&self, other: &Self) -> f64 {
        (self.middle - other.middle).norm() / (self.reach + other.reach)
    }
}

/// Corners of the whole triangle.
pub(super) const WHOLE: [Place; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// Where the nodes are.
pub(super) const NODE_PLACES: Six<Place> =
    [WHOLE[0], WHOLE[1], WHOLE[2], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]];

/// The place half-way.
pub(super) fn between(a: Place, b: Place) -> Place {
    std::array::from_fn(|i| 0.5 * (a[i] + b[i]))
}

/// What a part takes of the area of the reference triangle, 0 to 1.
pub(super) fn share([a, b, c]: &[Place; 3]) -> f64 {
    ((b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1])).abs()
}

/// Place in the whole triangle of a `place` in the triangle `corners`.
pub(super) fn within(corners: &[Place; 3], place: Place) -> Place {
    std::array::from_fn(|i| (0..3).map(|k| corners[k][i] * place[k]).sum())
}

/// An order of the corners: first, second, third.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Order(pub [usize; 3]);

impl Order {
    /// Where each node of the reordered element was.
    pub fn nodes(self) -> Six<usize> {
        let [a, b, c] = self.0;
        // The side between two corners is node 3, 4 or 5 when they sum to 1, 3 or 2.
        let side = |i: usize, j: usize| [0, 3, 5, 4][i + j];
        [a, b, c, side(a, b), side(b, c), side(c, a)]
    }

    fn sense(self) -> f64 {
        if (self.0[1] + 3 - self.0[0]) % 3 == 1 { 1.0 } else { -1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curved() -> Element {
        let points = [
            [0.0, 0.0, 0.0],
            [1.0, 0.1, 0.0],
            [0.2, 0.9, 0.1],
            [0.5, 0.0, 0.1],
            [0.7, 0.6, 0.2],
            [0.1, 0.4, 0.0],
        ];
        Element { nodes: points.map(Vector3::from), sense: 1.0 }
    }

    #[test]
    fn shape_functions_are_one_at_their_own_node() {
        let places = [0, 1, 2]
            .map(|i| WHOLE[i])
            .into_iter()
            .chain([0, 1, 2].map(|i| between(WHOLE[i], WHOLE[(i + 1) % 3])));
        for (i, place) in places.enumerate() {
            for (j, value) in shape_values(place).into_iter().enumerate() {
                assert!((value - f64::from(u8::from(i == j))).abs() < 1e-15);
            }
        }
    }

    #[test]
    fn slopes_are_derivatives() {
        let (place, step) = ([0.2, 0.5, 0.3], 1e-6);
        for (along, slopes) in [[-1.0, 1.0, 0.0], [-1.0, 0.0, 1.0]].iter().zip(shape_slopes(place)) {
            let moved = |s: f64| shape_values(std::array::from_fn(|i| place[i] + s * along[i]));
            for ((ahead, behind), slope) in moved(step).iter().zip(moved(-step)).zip(slopes) {
                assert!(((ahead - behind) / (2.0 * step) - slope).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn curls_are_tangential_rotated_gradients_and_sum_to_nothing() {
        let (element, place) = (curved(), [0.2, 0.5, 0.3]);
        let (spot, curls) = (element.at(place), element.curls(place));
        assert!(curls.iter().sum::<Vector3<f64>>().norm() < 1e-14);
        // Of the coordinate x itself the gradient is the tangential part of the unit vector.
        let curl: Vector3<f64> = curls.iter().zip(&element.nodes).map(|(curl, node)| curl * node.x).sum();
        assert!((curl - spot.area.cross(&Vector3::x())).norm() < 1e-14);
    }

    #[test]
    fn another_order_is_the_same_surface() {
        let element = curved();
        for order in [[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2]].map(Order) {
            let place = [0.2, 0.5, 0.3];
            let mut original = [0.0; 3];
            (0..3).for_each(|k| original[order.0[k]] = place[k]);
            let (there, here) = (element.reordered(order).at(place), element.at(original));
            assert!((there.position - here.position).norm() < 1e-15);
            assert!((there.area - here.area).norm() < 1e-14);
        }
    }
}
