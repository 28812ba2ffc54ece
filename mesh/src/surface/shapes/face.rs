//! Flat faces divided into triangles between given rims.

use spade::{ConstrainedDelaunayTriangulation, Point2, RefinementParameters, Triangulation};

/// Area of an equilateral triangle per square of its side.
const EQUILATERAL: f64 = 0.433;
/// Delaunay refinement makes triangles of about half the largest area it is allowed.
const GENEROUS: f64 = 1.5;
/// Moves of inner points to the middle of their neighbours.
const ROUNDS: usize = 10;

/// Triangles of a face, counter-clockwise.
pub struct Face {
    /// Points within, to be counted after those of the rims.
    pub inner: Vec<[f64; 2]>,
    /// Corners: indices into the points of all rims one after the other, then `inner`.
    pub triangles: Vec<[usize; 3]>,
}

/// Fills the face within the first rim and outside the others; rims are closed polygons whose points stay and get no others between
/// them. None if they cross.
pub fn face(rims: &[Vec<[f64; 2]>], length: f64) -> Option<Face> {
    let mut plane: ConstrainedDelaunayTriangulation<Point2<f64>> = ConstrainedDelaunayTriangulation::new();
    let mut count = 0;
    for rim in rims {
        let handles: Vec<_> =
            rim.iter().map(|&[x, y]| plane.insert(Point2::new(x, y)).ok()).collect::<Option<_>>()?;
        count += rim.len();
        for (i, &from) in handles.iter().enumerate() {
            let to = handles[(i + 1) % handles.len()];
            if plane.num_vertices() != count || !plane.can_add_constraint(from, to) {
                return None;
            }
            plane.add_constraint(from, to);
        }
    }
    let parameters = RefinementParameters::new()
        .with_max_allowed_area(GENEROUS * EQUILATERAL * length * length)
        .with_max_additional_vertices(most_inner(rims, length))
        .keep_constraint_edges()
        .exclude_outer_faces(true);
    let excluded: std::collections::HashSet<_> =
        plane.refine(parameters).excluded_faces.into_iter().collect();
    let points: Vec<_> = plane.vertices().map(|vertex| [vertex.position().x, vertex.position().y]).collect();
    let inside = plane.inner_faces().filter(|face| !excluded.contains(&face.fix()));
    let triangles: Vec<[usize; 3]> =
        inside.map(|face| face.vertices().map(|vertex| vertex.index())).collect();
    Some(evened(points, triangles, count))
}

/// Points beyond which refinement stops: several times what the area takes, and some for every point of a rim that may ask for small
/// triangles.
fn most_inner(rims: &[Vec<[f64; 2]>], length: f64) -> usize {
    let twice_area = |rim: &Vec<[f64; 2]>| -> f64 {
        let next = rim.iter().cycle().skip(1);
        rim.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum()
    };
    let area = rims.first().map_or(0.0, twice_area).abs();
    (4.0 * area / (length * length)) as usize + 20 * rims.iter().map(Vec::len).sum::<usize>()
}

/// Moves the points from `first` on to the middle of their neighbours, as long as no triangle around is made worse than the worst.
fn evened(mut points: Vec<[f64; 2]>, triangles: Vec<[usize; 3]>, first: usize) -> Face {
    let mut around = vec![vec![]; points.len()];
    for (triangle, corners) in triangles.iter().enumerate() {
        corners.iter().for_each(|&point| around[point].push(triangle));
    }
    for point in (0..ROUNDS).flat_map(|_| first..points.len()).collect::<Vec<_>>() {
        let others = around[point].iter().flat_map(|&t| triangles[t]).filter(|&p| p != point);
        let (mut middle, mut count) = ([0.0; 2], 0.0);
        for other in others {
            middle = [middle[0] + points[other][0], middle[1] + points[other][1]];
            count += 1.0;
        }
        if count == 0.0 {
            continue;
        }
        let old = points[point];
        let worst = |points: &[[f64; 2]]| {
            let each = around[point].iter().map(|&t| shape(triangles[t].map(|p| points[p])));
            each.fold(f64::INFINITY, f64::min)
        };
        let before = worst(&points);
        points[point] = middle.map(|sum| sum / count);
        if worst(&points) < before {
            points[point] = old;
        }
    }
    let used = |point: &usize| !around[*point].is_empty();
    let kept: Vec<_> = (first..points.len()).filter(used).collect();
    let number = |p: usize| if p < first { p } else { first + kept.partition_point(|&k| k < p) };
    let triangles = triangles.iter().map(|corners| corners.map(number)).collect();
    Face { inner: kept.iter().map(|&p| points[p]).collect(), triangles }
}

/// Area per square of the sides: large for equilateral triangles, negative when turned over.
fn shape([a, b, c]: [[f64; 2]; 3]) -> f64 {
    let way = |p: [f64; 2], q: [f64; 2]| [q[0] - p[0], q[1] - p[1]];
    let square = |v: [f64; 2]| v[0] * v[0] + v[1] * v[1];
    let (u, v) = (way(a, b), way(a, c));
    (u[0] * v[1] - u[1] * v[0]) / (square(u) + square(v) + square(way(b, c)))
}
