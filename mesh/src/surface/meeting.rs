//! Do two triangles meet? Decided exactly, by the signs of determinants (Shewchuk, Adaptive precision floating-point arithmetic and fast
//! robust geometric predicates, 1997).

use nalgebra::Vector3;
use robust::{Coord, Coord3D, orient2d, orient3d};

type Point = Vector3<f64>;

/// True if two triangles without common corners have a point in common.
pub(super) fn meet(a: [Point; 3], b: [Point; 3]) -> bool {
    if beside(a, b) || beside(b, a) {
        return false;
    }
    (0..3).any(|i| pierces(a[i], a[(i + 1) % 3], b)) || (0..3).any(|i| pierces(b[i], b[(i + 1) % 3], a))
}

/// True if two triangles whose first corners coincide have another point in common.
pub(super) fn meet_beyond_a_corner(a: [Point; 3], b: [Point; 3]) -> bool {
    pierces(a[1], a[2], b) || pierces(b[1], b[2], a)
}

/// True if all corners of `a` lie strictly on one side of the plane of `b`.
fn beside(a: [Point; 3], b: [Point; 3]) -> bool {
    let sides = a.map(|corner| side(b, corner));
    sides.iter().all(|&side| side > 0.0) || sides.iter().all(|&side| side < 0.0)
}

/// Sign: on which side of the plane of a triangle a point lies.
fn side([a, b, c]: [Point; 3], p: Point) -> f64 {
    let coord = |p: Point| Coord3D { x: p.x, y: p.y, z: p.z };
    orient3d(coord(a), coord(b), coord(c), coord(p))
}

/// True if the line from `p` to `q` has a point in common with a triangle.
fn pierces(p: Point, q: Point, triangle: [Point; 3]) -> bool {
    let (at_p, at_q) = (side(triangle, p), side(triangle, q));
    if at_p * at_q > 0.0 {
        return false;
    }
    if at_p == 0.0 && at_q == 0.0 {
        return meets_in_plane(p, q, triangle);
    }
    let [a, b, c] = triangle;
    let around = [side([p, q, a], b), side([p, q, b], c), side([p, q, c], a)];
    around.iter().all(|&s| s >= 0.0) || around.iter().all(|&s| s <= 0.0)
}

/// As [`pierces`] where the line lies in the plane of the triangle: seen along the axis that shows most of it.
fn meets_in_plane(p: Point, q: Point, triangle: [Point; 3]) -> bool {
    let [a, b, c] = triangle;
    let axis = (b - a).cross(&(c - a)).iamax();
    let flat = |point: Point| Coord { x: point[(axis + 1) % 3], y: point[(axis + 2) % 3] };
    let (p, q, corners) = (flat(p), flat(q), triangle.map(flat));
    let crosses = (0..3).any(|i| lines_meet([p, q], [corners[i], corners[(i + 1) % 3]]));
    crosses || contains(corners, p)
}

fn contains([a, b, c]: [Coord<f64>; 3], p: Coord<f64>) -> bool {
    let around = [orient2d(a, b, p), orient2d(b, c, p), orient2d(c, a, p)];
    around.iter().all(|&s| s >= 0.0) || around.iter().all(|&s| s <= 0.0)
}

fn lines_meet([p, q]: [Coord<f64>; 2], [a, b]: [Coord<f64>; 2]) -> bool {
    let (at_a, at_b) = (orient2d(p, q, a), orient2d(p, q, b));
    let (at_p, at_q) = (orient2d(a, b, p), orient2d(a, b, q));
    if at_a == 0.0 && at_b == 0.0 {
        // On one line: they meet if they overlap along both axes.
        let overlap = |p: f64, q: f64, a: f64, b: f64| p.min(q) <= a.max(b) && a.min(b) <= p.max(q);
        return overlap(p.x, q.x, a.x, b.x) && overlap(p.y, q.y, a.y, b.y);
    }
    at_a * at_b <= 0.0 && at_p * at_q <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn triangle(corners: [[f64; 3]; 3]) -> [Point; 3] {
        corners.map(Point::from)
    }

    const FLAT: [[f64; 3]; 3] = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];

    #[test]
    fn crossing_touching_and_apart() {
        let flat = triangle(FLAT);
        let through = |z: f64| triangle([[0.2, 0.2, z], [0.3, 0.2, 1.0], [0.2, 0.3, 1.0]]);
        assert!(meet(flat, through(-0.1)) && meet(through(-0.1), flat));
        assert!(meet(flat, through(0.0)));
        assert!(!meet(flat, through(f64::MIN_POSITIVE)));
        assert!(!meet(flat, triangle([[0.6, 0.6, -1.0], [0.6, 0.6, 1.0], [1.0, 1.0, 0.0]])));
    }

    #[test]
    fn in_one_plane() {
        let moved = |x: f64| triangle(FLAT.map(|[a, b, c]| [a + x, b, c]));
        let small = triangle(FLAT.map(|[a, b, c]| [0.1 + 0.1 * a, 0.1 + 0.1 * b, c]));
        assert!(meet(moved(0.0), moved(0.5)));
        assert!(meet(moved(0.0), moved(1.0)));
        assert!(!meet(moved(0.0), moved(1.000_001)));
        assert!(meet(moved(0.0), small) && meet(small, moved(0.0)));
    }

    #[test]
    fn beyond_a_common_corner() {
        let flat = triangle(FLAT);
        let up = triangle([[0.0, 0.0, 0.0], [0.3, 0.3, 0.1], [0.3, 0.3, -0.1]]);
        assert!(meet_beyond_a_corner(flat, up));
        assert!(!meet_beyond_a_corner(
            flat,
            triangle([[0.0, 0.0, 0.0], [-0.3, 0.3, 0.1], [-0.3, 0.3, -0.1]])
        ));
        let beside = triangle([[0.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0]]);
        assert!(!meet_beyond_a_corner(flat, beside));
        let over = triangle([[0.0, 0.0, 0.0], [0.2, 0.1, 0.0], [0.1, 0.2, 0.0]]);
        assert!(meet_beyond_a_corner(flat, over) && meet_beyond_a_corner(over, flat));
    }
}
