//! Points put in order so that neighbours stay together.

use nalgebra::Vector3;

/// Indices of the points, halved along their longest extent until no part is larger than `largest`; the lower half of every cut holds a
/// multiple of `whole` points. Ordered, and the same on every run.
pub(super) fn bisected(points: &[Vector3<f64>], largest: usize, whole: usize) -> Vec<Vec<usize>> {
    parts(points, (0..points.len()).collect(), largest.max(1), whole)
}

fn parts(points: &[Vector3<f64>], mut own: Vec<usize>, largest: usize, whole: usize) -> Vec<Vec<usize>> {
    if own.len() <= largest {
        return vec![own];
    }
    let extent = |along: usize| {
        let places = own.iter().map(|&point| points[point][along]);
        let (low, high) =
            places.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        high - low
    };
    let longest = (0..3).max_by(|&a, &b| extent(a).total_cmp(&extent(b))).unwrap_or(0);
    own.sort_by(|&a, &b| points[a][longest].total_cmp(&points[b][longest]).then(a.cmp(&b)));
    let upper = own.split_off((own.len() / 2).next_multiple_of(whole));
    [own, upper].into_iter().flat_map(|half| parts(points, half, largest, whole)).collect()
}
