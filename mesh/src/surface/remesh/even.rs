//! Points move along the surface to even the triangles out.

use super::features::Kind;
use super::original::{Original, is_gentle};
use super::quality::smallest_angle;
use super::work::{Work, normal};
use nalgebra::Vector3;

/// Passes over all points.
const PASSES: usize = 2;
/// Moves shorter than this share of the shortest side are not worth it.
const WORTH: f64 = 0.02;
/// Moves up to this share of the shortest side along the surface need not be compared with the original.
const SHORT: f64 = 0.15;
/// Smallest angle [rad], 35°, above which a move need not widen it.
const WIDE: f64 = 0.61;

/// Moves free points towards the middle of their neighbourhood and points of lines between their neighbours on the line.
pub fn out(work: &mut Work, original: &Original) {
    for _ in 0..PASSES {
        for point in 0..work.points.len() as u32 {
            if let Some(place) =
                better(work, original, point).filter(|&place| improves(work, original, point, place))
            {
                work.points[point as usize] = place;
            }
        }
    }
}

fn better(work: &Work, original: &Original, point: u32) -> Option<Vector3<f64>> {
    match work.kinds[point as usize] {
        Kind::Corner => None,
        Kind::Line(line) => {
            let on_line = |other: &u32| work.lines.get(&crate::edge(point, *other)) == Some(&line);
            let ends: Vec<_> = work.neighbours(point).into_iter().filter(on_line).collect();
            let &[a, b] = ends.as_slice() else { return None };
            Some(original.on_line(line, 0.5 * (work.at(a) + work.at(b))))
        }
        Kind::Free(region) => {
            let (mut middle, mut total, mut across) = (Vector3::zeros(), 0.0, Vector3::zeros());
            for (_, corners) in work.fan(point) {
                let places = work.places(corners);
                let normal = normal(places);
                let area = normal.norm();
                middle += area * (places[0] + places[1] + places[2]) / 3.0;
                total += area;
                across += normal;
            }
            let across = across.try_normalize(0.0)?;
            let step = middle / total - work.at(point);
            let along = step - across * step.dot(&across);
            along
                .iter()
                .all(|value| value.is_finite())
                .then(|| original.in_region(region, work.at(point) + along, across))
        }
    }
}

/// True if the move is worth it, the smallest angle around the point widens, or stays wide, and all its triangles fit.
fn improves(work: &mut Work, original: &Original, point: u32, place: Vector3<f64>) -> bool {
    let fan: Vec<_> = work.fan(point).collect();
    let old = work.at(point);
    let shortest =
        work.neighbours(point).iter().map(|&other| work.length([point, other])).fold(f64::INFINITY, f64::min);
    let share = (place - old).norm() / shortest;
    if share.is_nan() || share < WORTH {
        return false;
    }
    let before: Vec<_> = fan.iter().map(|(_, corners)| work.places(*corners)).collect();
    work.points[point as usize] = place;
    let after: Vec<_> = fan.iter().map(|(_, corners)| work.places(*corners)).collect();
    work.points[point as usize] = old;
    let smallest =
        |all: &[[Vector3<f64>; 3]]| all.iter().map(|c| smallest_angle(*c)).fold(f64::INFINITY, f64::min);
    smallest(&after) >= smallest(&before).min(WIDE)
        && fan.iter().zip(before.iter().zip(&after)).all(|((triangle, _), (before, after))| {
            let region = work.regions[*triangle as usize];
            if share < SHORT { is_gentle(*before, *after) } else { original.fits(region, *before, *after) }
        })
}
