//! Products of line functions under footprints.

use super::Footprint;
use super::shapes::Directions;
use ndarray::{Array2, ArrayView1, Axis as Along, s};
use std::collections::HashMap;
use std::ops::Range;

/// Line functions at the points of footprints.
pub(super) struct Probes<'a> {
    footprints: &'a [Footprint],
    x: Abscissae,
    y: Abscissae,
}

/// Line functions along one side at the coordinates of points, of which many may be the same.
struct Abscissae {
    /// (distinct coordinates, functions).
    table: Array2<f64>,
    /// Row of each point.
    rows: Vec<usize>,
}

impl Abscissae {
    /// Derivatives of an `order` at `coordinates` [m].
    fn new(directions: &Directions, coordinates: impl Iterator<Item = f64>, order: usize) -> Self {
        let (mut distinct, mut known) = (vec![], HashMap::new());
        let rows = coordinates
            .map(|x| {
                *known.entry(x.to_bits()).or_insert_with(|| {
                    distinct.push(x);
                    distinct.len() - 1
                })
            })
            .collect();
        Self { table: directions.table(&distinct, order), rows }
    }

    fn row(&self, point: usize) -> ArrayView1<'_, f64> {
        self.table.row(self.rows[point])
    }

    /// Some functions at the points, each row times the factor of its point: (points, functions).
    fn at(
        &self,
        points: Range<usize>,
        functions: Range<usize>,
        factors: impl Fn(usize) -> f64,
    ) -> Array2<f64> {
        let mut part = Array2::zeros((points.len(), functions.len()));
        for (own, (mut row, point)) in part.rows_mut().into_iter().zip(points).enumerate() {
            row.assign(&self.row(point).slice(s![functions.clone()]));
            row *= factors(own);
        }
        part
    }
}

impl<'a> Probes<'a> {
    pub fn new(x: &Directions, y: &Directions, footprints: &'a [Footprint]) -> Self {
        Self::derived(x, y, footprints, [0, 0])
    }

    /// Derivatives of `orders` along x and y.
    pub fn derived(x: &Directions, y: &Directions, footprints: &'a [Footprint], orders: [usize; 2]) -> Self {
        let along =
            |axis: usize| footprints.iter().flat_map(move |print| print.points.iter().map(move |p| p[axis]));
        let [x, y] = [(x, 0), (y, 1)].map(|(side, axis)| Abscissae::new(side, along(axis), orders[axis]));
        Self { footprints, x, y }
    }

    /// Number of footprints.
    pub fn len(&self) -> usize {
        self.footprints.len()
    }

    /// Number of points.
    pub fn points(&self) -> usize {
        self.x.rows.len()
    }

    /// Products of line functions averaged over each footprint: (footprints, cells).
    pub fn rows(&self, cells: impl Iterator<Item = (usize, usize)>, count: usize) -> Array2<f64> {
        let cells: Vec<(usize, usize)> = cells.collect();
        let [from_x, from_y] =
            [bounds(cells.iter().map(|cell| cell.0)), bounds(cells.iter().map(|cell| cell.1))];
        let mut rows = Array2::zeros((self.footprints.len(), count));
        let mut points = 0..0;
        for (mut row, footprint) in rows.axis_iter_mut(Along(0)).zip(self.footprints) {
            points = points.end..points.end + footprint.points.len();
            let x = self.x.at(points.clone(), from_x.clone(), |point| footprint.weights[point]);
            let products = x.t().dot(&self.y.at(points.clone(), from_y.clone(), |_| 1.0));
            for (value, &(i, j)) in row.iter_mut().zip(&cells) {
                *value = products[(i - from_x.start, j - from_y.start)];
            }
        }
        rows
    }

    /// `Σ products²` over `cells` at every point of every footprint.
    pub fn square_sums(&self, cells: impl Iterator<Item = (usize, usize)>) -> Vec<f64> {
        let cells: Vec<(usize, usize)> = cells.collect();
        let mut taken = Array2::zeros((self.x.table.ncols(), self.y.table.ncols()));
        cells.into_iter().for_each(|cell| taken[cell] = 1.0);
        let [x, y] = [&self.x.table, &self.y.table].map(|table| table.mapv(|value| value * value));
        let across = y.dot(&taken.t());
        (self.x.rows.iter().zip(&self.y.rows)).map(|(&i, &j)| x.row(i).dot(&across.row(j))).collect()
    }
}

/// From the least to the greatest of `indices`.
fn bounds(indices: impl Iterator<Item = usize>) -> Range<usize> {
    indices
        .fold(None, |range: Option<Range<usize>>, i| match range {
            None => Some(i..i + 1),
            Some(range) => Some(range.start.min(i)..range.end.max(i + 1)),
        })
        .unwrap_or(0..0)
}
