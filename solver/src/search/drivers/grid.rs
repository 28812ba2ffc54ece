//! Places to hang a driver at.

use ndarray::Array2;

/// A regular grid of places of the driver's axis, in panel coordinates.
#[derive(Clone, Debug, PartialEq)]
pub struct DriverGrid {
    /// Columns [m], ascending.
    pub x: Vec<f64>,
    /// Rows [m], ascending.
    pub y: Vec<f64>,
}

impl DriverGrid {
    /// Over a panel of the extents `size` [m] and `margin` [m] beyond it on every side, symmetric about its middle, `step` [m] apart.
    pub fn around(size: [f64; 2], margin: f64, step: f64) -> Self {
        let [x, y] = size.map(|extent| {
            let half = ((0.5 * extent + margin) / step).floor().max(0.0) as i32;
            (-half..=half).map(|i| 0.5 * extent + f64::from(i) * step).collect()
        });
        Self { x, y }
    }

    /// With one more column and one more row, through this place: the last of all places.
    pub(super) fn and(&self, [x, y]: [f64; 2]) -> Self {
        let mut with = self.clone();
        with.x.push(x);
        with.y.push(y);
        with
    }

    /// How many columns and rows.
    pub fn shape(&self) -> (usize, usize) {
        (self.x.len(), self.y.len())
    }

    /// The place [m] of a column and row.
    pub(super) fn at(&self, (column, row): (usize, usize)) -> [f64; 2] {
        [self.x[column], self.y[row]]
    }

    /// All places [m], column by column.
    pub fn places(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.x.iter().flat_map(|&x| self.y.iter().map(move |&y| [x, y]))
    }

    /// A value for every place, (columns, rows).
    pub fn map<T>(&self, mut of: impl FnMut([f64; 2]) -> T) -> Array2<T> {
        Array2::from_shape_fn(self.shape(), |(i, j)| of([self.x[i], self.y[j]]))
    }
}
