//! Places where a foot fits.

use super::SearchError;
use crate::scene::{Attachments, Scene};
use ndarray::Array2;
use serde::Serialize;

/// How closely places are searched.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spacing {
    /// Distance between neighbouring places [m].
    pub step: f64,
    /// Least distance [m] of the foot's ring from the panel's rim, cut-outs included, and from everything else on the panel.
    pub clearance: f64,
}

impl Default for Spacing {
    /// 10 mm apart, 5 mm clear: the rim of an exciter's foot and its glue.
    fn default() -> Self {
        Self { step: 10e-3, clearance: 5e-3 }
    }
}

/// An upright rectangle on the panel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Rectangle {
    /// Lower left corner [m].
    pub corner: [f64; 2],
    /// Width and height [m].
    pub size: [f64; 2],
}

/// Where feet may stand, on a panel that has room for them. The default is everywhere.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Allowed {
    /// The whole ring of a foot lies within one of these; none means anywhere.
    pub regions: Vec<Rectangle>,
    /// No ring reaches into these.
    pub keep_out: Vec<Rectangle>,
    /// Centre [m] and diameter [m] of what is glued on already; the clearance counts from its rim.
    pub taken: Vec<([f64; 2], f64)>,
}

/// Places on a regular grid, symmetric about the middle of the panel's bounding box.
#[derive(Clone, Debug)]
pub struct PlaceGrid {
    /// Columns of the grid [m].
    pub x: Vec<f64>,
    /// Rows of the grid [m].
    pub y: Vec<f64>,
    /// Centres of the feet [m], column by column.
    pub positions: Vec<[f64; 2]>,
    /// Column and row of each place.
    cells: Vec<[usize; 2]>,
    /// Index of the place in each cell (columns, rows), if the foot fits there.
    index: Array2<Option<usize>>,
}

impl PlaceGrid {
    /// All places of `scene` for a foot of the given diameter [m].
    ///
    /// # Errors
    /// When there is none.
    pub fn new(scene: &Scene, foot: f64, spacing: Spacing) -> Result<Self, SearchError> {
        Self::within(scene, foot, spacing, &Allowed::default())
    }

    /// The places of [`new`](Self::new) that are `allowed`.
    ///
    /// # Errors
    /// When there is none.
    pub fn within(
        scene: &Scene,
        foot: f64,
        spacing: Spacing,
        allowed: &Allowed,
    ) -> Result<Self, SearchError> {
        let (width, height) = scene.panel.outline.bounding_box();
        let [x, y] = [width, height].map(|extent| centred(extent, spacing.step));
        let room = 0.5 * foot + spacing.clearance;
        let mut grid = Self {
            index: Array2::from_elem((x.len(), y.len()), None),
            x,
            y,
            positions: vec![],
            cells: vec![],
        };
        for cell in (0..grid.x.len()).flat_map(|i| (0..grid.y.len()).map(move |j| [i, j])) {
            let position = [grid.x[cell[0]], grid.y[cell[1]]];
            if fits(scene, position, room) && allowed.has(position, 0.5 * foot, room) {
                grid.index[cell] = Some(grid.positions.len());
                grid.positions.push(position);
                grid.cells.push(cell);
            }
        }
        match grid.positions.is_empty() {
            true => Err(SearchError::NoPlace { foot, clearance: spacing.clearance }),
            false => Ok(grid),
        }
    }

    /// Number of places.
    pub fn len(&self) -> usize {
        self.positions.len()
    }

    /// True when there is none; a grid that could be made has some.
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty()
    }

    /// Column and row of a place.
    pub fn cell(&self, place: usize) -> [usize; 2] {
        self.cells[place]
    }

    /// The mirror image of a place about the vertical middle, the horizontal one, or both; `None` where the foot does not fit.
    pub fn mirrored(&self, place: usize, [sideways, upright]: [bool; 2]) -> Option<usize> {
        let [i, j] = self.cells[place];
        let turned = |index: usize, count: usize, turn: bool| if turn { count - 1 - index } else { index };
        self.at(turned(i, self.x.len(), sideways), turned(j, self.y.len(), upright))
    }

    /// Place in a cell of the grid, if the foot fits there.
    pub fn at(&self, column: usize, row: usize) -> Option<usize> {
        self.index.get((column, row)).copied().flatten()
    }

    /// Up to eight neighbours of `place`: index and distance [m].
    pub fn neighbours(&self, place: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let [i, j] = self.cells[place];
        let around = |k: usize| k.saturating_sub(1)..=k + 1;
        let cells = around(i).flat_map(move |i| around(j).map(move |j| (i, j)));
        let here = self.positions[place];
        cells.filter_map(|(i, j)| self.at(i, j)).filter(move |&other| other != place).map(move |other| {
            let [x, y] = self.positions[other];
            (other, (x - here[0]).hypot(y - here[1]))
        })
    }

    /// The place nearest to `position` [m].
    pub fn nearest(&self, [x, y]: [f64; 2]) -> usize {
        let distance = |&place: &usize| (self.positions[place][0] - x).hypot(self.positions[place][1] - y);
        (0..self.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    }
}

impl Allowed {
    /// True when a ring of `radius` [m] about `position` may stand there, `room` [m] being its radius with the clearance.
    pub fn has(&self, position: [f64; 2], radius: f64, room: f64) -> bool {
        let within = |region: &Rectangle| {
            (0..2).all(|k| {
                let from_corner = position[k] - region.corner[k];
                from_corner >= radius && region.size[k] - from_corner >= radius
            })
        };
        let free = |rectangle: &Rectangle| from_box(position, rectangle.corner, rectangle.size) >= radius;
        let clear = |&(centre, diameter): &([f64; 2], f64)| {
            from_segment(position, [centre; 2]) >= room + 0.5 * diameter
        };
        (self.regions.is_empty() || self.regions.iter().any(within))
            && self.keep_out.iter().all(free)
            && self.taken.iter().all(clear)
    }
}

/// Multiples of `step` from the middle, inside `extent`.
fn centred(extent: f64, step: f64) -> Vec<f64> {
    let half = (0.5 * extent / step).floor() as i32;
    (-half..=half).map(|i| 0.5 * extent + f64::from(i) * step).collect()
}

/// True when `room` [m] around `position` is free.
pub(crate) fn fits(scene: &Scene, position: [f64; 2], room: f64) -> bool {
    scene.panel.outline.distance_inside(position) >= room && clear_of(&scene.attachments, position, room)
}

fn clear_of(attachments: &Attachments, position: [f64; 2], room: f64) -> bool {
    let Attachments { masses, hangs, patches, bars } = attachments;
    let rings = (masses.iter().map(|m| (m.position, m.diameter)))
        .chain(hangs.iter().map(|h| (h.position, h.diameter)));
    rings.into_iter().all(|(centre, diameter)| from_segment(position, [centre; 2]) >= room + 0.5 * diameter)
        && patches.iter().all(|p| from_box(position, p.corner, p.size) >= room)
        && bars.iter().all(|bar| from_segment(position, bar.ends) >= room)
}

/// Distance of a point from a straight line between two points.
fn from_segment([x, y]: [f64; 2], [[ax, ay], [bx, by]]: [[f64; 2]; 2]) -> f64 {
    let (dx, dy) = (bx - ax, by - ay);
    let square = dx * dx + dy * dy;
    let along = if square > 0.0 { (((x - ax) * dx + (y - ay) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
    (x - ax - along * dx).hypot(y - ay - along * dy)
}

/// Distance of a point from a rectangle; 0 inside.
fn from_box(point: [f64; 2], corner: [f64; 2], size: [f64; 2]) -> f64 {
    let beyond = |k: usize| (corner[k] - point[k]).max(point[k] - corner[k] - size[k]).max(0.0);
    beyond(0).hypot(beyond(1))
}
