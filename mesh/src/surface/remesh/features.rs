//! What must be kept of a surface: lines, their corners, and the regions between them.

use crate::surface::sides::{Sets, Side, by_edge, sides};
use crate::{Edge, Surface};
use std::collections::HashMap;

/// A line that turns by more than 45° in a point has a corner there.
const CORNER: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// What a point may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Move within a region.
    Free(u32),
    /// Move along a line.
    Line(u32),
    /// Stay.
    Corner,
}

/// Lines and regions of a surface.
pub struct Features {
    /// The line that every kept edge belongs to.
    pub lines: HashMap<Edge, u32>,
    /// How many lines there are.
    pub line_count: usize,
    /// The region that every triangle belongs to.
    pub regions: Vec<u32>,
    /// How many regions there are.
    pub region_count: usize,
    /// What every point may do.
    pub kinds: Vec<Kind>,
}

impl Features {
    /// Of a surface; `sharp` is the angle [rad] between neighbours above which their side is kept.
    pub fn of(surface: &Surface, sharp: f64) -> Self {
        let sides = sides(surface);
        let mut sets = Sets::singles(surface.triangles.len());
        let mut kept: Vec<Edge> = vec![];
        for run in by_edge(&sides) {
            match run {
                [a, b] if !is_kept(surface, a, b, sharp.cos()) => sets.join(a.triangle, b.triangle),
                _ => kept.push(run[0].edge),
            }
        }
        let (regions, region_count) = sets.numbered();
        let corners = corners(surface, &kept);
        let (numbers, line_count) = lines(&kept, &corners);
        let mut kinds = vec![Kind::Corner; surface.points.len()];
        for (triangle, points) in surface.triangles.iter().enumerate() {
            points.iter().for_each(|&point| kinds[point as usize] = Kind::Free(regions[triangle] as u32));
        }
        for (&[a, b], &line) in kept.iter().zip(&numbers) {
            [a, b].iter().for_each(|&point| kinds[point as usize] = Kind::Line(line as u32));
        }
        (0..kinds.len()).filter(|&point| corners[point]).for_each(|point| kinds[point] = Kind::Corner);
        let lines = kept.into_iter().zip(numbers.into_iter().map(|line| line as u32)).collect();
        Self {
            lines,
            line_count,
            regions: regions.into_iter().map(|r| r as u32).collect(),
            region_count,
            kinds,
        }
    }
}

fn is_kept(surface: &Surface, a: &Side, b: &Side, cosine: f64) -> bool {
    let (a, b) = (a.triangle as usize, b.triangle as usize);
    let (m, n) = (surface.area_vector(a), surface.area_vector(b));
    surface.patches[a] != surface.patches[b] || m.dot(&n) < cosine * m.norm() * n.norm()
}

/// Points where other than two lines meet, or where a line turns sharply.
fn corners(surface: &Surface, kept: &[Edge]) -> Vec<bool> {
    let mut partners: Vec<Vec<u32>> = vec![vec![]; surface.points.len()];
    for &[a, b] in kept {
        partners[a as usize].push(b);
        partners[b as usize].push(a);
    }
    let turns = |point: usize, a: u32, b: u32| {
        let way = |to: u32| surface.points[to as usize] - surface.points[point];
        -way(a).dot(&way(b)) < CORNER * way(a).norm() * way(b).norm()
    };
    let is_corner = |point: usize| match partners[point][..] {
        [] => false,
        [a, b] => turns(point, a, b),
        _ => true,
    };
    (0..surface.points.len()).map(is_corner).collect()
}

/// Numbers the lines: edges that meet in a point that is no corner are of one line.
fn lines(kept: &[Edge], corners: &[bool]) -> (Vec<usize>, usize) {
    let mut sets = Sets::singles(kept.len());
    let mut last: HashMap<u32, u32> = HashMap::new();
    for (number, edge) in kept.iter().enumerate() {
        for &point in edge.iter().filter(|&&point| !corners[point as usize]) {
            if let Some(other) = last.insert(point, number as u32) {
                sets.join(other, number as u32);
            }
        }
    }
    sets.numbered()
}
