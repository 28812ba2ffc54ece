//! Dead spots: connected quiet regions of a map.

use super::findings::{BandMap, DeadSpot, OutputMap};
use super::level::ratio;
use ndarray::Array2;

/// Depth below the mean [dB] at which levels are cut off: a computed null deeper than this is rounding, not acoustics.
const DEEPEST: f64 = 80.0;

/// Furthest that interpolation may deepen a spot below its deepest map point [dB].
const DEEPENING: f64 = 3.0;

/// Connected regions of a map whose band level lies more than `threshold_db` [dB] under the plane's energy mean, by falling
/// depth × area.
///
/// Map points are joined through shared cell sides. The contour runs linearly between map points (marching squares on
/// decibels), so area and extent resolve parts of a cell. The deepest point is the minimum of a quadratic through the
/// mean square at the deepest map point and its neighbours. Depths end at 80 dB. A spot that falls between map points is
/// not found: keep the spacing well below the wavelength.
///
/// `within` (two opposite corners [m]) limits the search, so that the fall of level beyond the panel's edges is not called
/// dead: pass the panel's bounding box, or `None` for the whole map.
/// Our own definition; no standard defines one.
pub fn dead_spots(map: &OutputMap, threshold_db: f64, within: Option<([f64; 2], [f64; 2])>) -> Vec<DeadSpot> {
    let mut spots: Vec<DeadSpot> =
        map.bands.iter().flat_map(|band| spots_in_band(map, band, threshold_db, within)).collect();
    spots.sort_by(|a, b| (b.depth * b.area).total_cmp(&(a.depth * a.area)));
    spots
}

fn spots_in_band(
    map: &OutputMap,
    band: &BandMap,
    threshold_db: f64,
    within: Option<([f64; 2], [f64; 2])>,
) -> Vec<DeadSpot> {
    if !band.mean.is_finite() || threshold_db.is_nan() || threshold_db >= DEEPEST {
        return vec![];
    }
    let Some(plane) = Plane::cropped(map, band, within) else { return vec![] };
    let (labels, count) = plane.regions(-threshold_db);
    let mut regions = vec![Region::default(); count];
    plane.measure(&labels, -threshold_db, &mut regions);
    plane.find_deepest(&labels, &mut regions);
    let spot = |region: Region| {
        let (position, level) = plane.refined(region.deepest);
        DeadSpot {
            band: band.band,
            position,
            area: region.area,
            extent: [0, 1].map(|axis| region.high[axis] - region.low[axis]),
            depth: -level,
            stability: None,
        }
    };
    regions.into_iter().map(spot).collect()
}

/// Levels relative to the map's mean [dB] on the searched part of the plane.
struct Plane {
    x: Vec<f64>,
    y: Vec<f64>,
    level: Array2<f64>,
}

#[derive(Clone, Debug)]
struct Region {
    deepest: (usize, usize),
    deepest_level: f64,
    area: f64,
    low: [f64; 2],
    high: [f64; 2],
}

impl Default for Region {
    fn default() -> Self {
        let (low, high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        Self { deepest: (0, 0), deepest_level: f64::INFINITY, area: 0.0, low, high }
    }
}

impl Plane {
    /// The part of the map inside `within`, with interpolated points on the limits.
    fn cropped(map: &OutputMap, band: &BandMap, within: Option<([f64; 2], [f64; 2])>) -> Option<Self> {
        let (a, b) = within.unwrap_or(([f64::NEG_INFINITY; 2], [f64::INFINITY; 2]));
        let x = cropped_nodes(&map.x, a[0].min(b[0]), a[0].max(b[0]))?;
        let y = cropped_nodes(&map.y, a[1].min(b[1]), a[1].max(b[1]))?;
        // What is not of the plane is not dead.
        let relative_to_mean =
            |level: f64| if level.is_nan() { 0.0 } else { (level - band.mean).max(-DEEPEST) };
        let relative = band.level.mapv(relative_to_mean);
        let level = Array2::from_shape_fn((x.len(), y.len()), |(i, j)| {
            let ((ix, sx), (iy, sy)) = (locate(&map.x, x[i]), locate(&map.y, y[j]));
            let along_y = |ix: usize| mix(relative[[ix, iy]], relative[[ix, iy + 1]], sy);
            mix(along_y(ix), along_y(ix + 1), sx)
        });
        Some(Self { x, y, level })
    }

    /// Labels of the regions below `threshold`, joined through cell sides, and how many there are.
    fn regions(&self, threshold: f64) -> (Array2<Option<usize>>, usize) {
        let (nx, ny) = self.level.dim();
        let mut labels = Array2::from_elem((nx, ny), None);
        let mut count = 0;
        for seed in (0..nx).flat_map(|i| (0..ny).map(move |j| (i, j))) {
            let mut open = vec![seed];
            let mut grown = false;
            while let Some((i, j)) = open.pop() {
                if self.level[(i, j)] >= threshold || labels[(i, j)].is_some() {
                    continue;
                }
                (labels[(i, j)], grown) = (Some(count), true);
                open.extend((i > 0).then(|| (i - 1, j)));
                open.extend((j > 0).then(|| (i, j - 1)));
                open.extend((i + 1 < nx).then_some((i + 1, j)));
                open.extend((j + 1 < ny).then_some((i, j + 1)));
            }
            count += usize::from(grown);
        }
        (labels, count)
    }

    /// Adds area and extent of every cell's part below `threshold` to its region.
    fn measure(&self, labels: &Array2<Option<usize>>, threshold: f64, regions: &mut [Region]) {
        let (nx, ny) = self.level.dim();
        for (i, j) in (0..nx - 1).flat_map(|i| (0..ny - 1).map(move |j| (i, j))) {
            let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
            for (label, polygon) in self.below(corners, labels, threshold) {
                regions[label].add(&polygon);
            }
        }
    }

    /// The parts of a cell below `threshold`. Two quiet corners across a diagonal are not joined.
    fn below(
        &self,
        corners: [(usize, usize); 4],
        labels: &Array2<Option<usize>>,
        threshold: f64,
    ) -> Vec<(usize, Vec<[f64; 2]>)> {
        let label = corners.map(|c| labels[c]);
        let position = corners.map(|(i, j)| [self.x[i], self.y[j]]);
        let level = corners.map(|c| self.level[c]);
        let crossing = |a: usize, b: usize| {
            let share = (threshold - level[a]) / (level[b] - level[a]);
            [0, 1].map(|axis| mix(position[a][axis], position[b][axis], share))
        };
        let diagonal = label[0].is_some() == label[2].is_some()
            && label[1].is_some() == label[3].is_some()
            && label[0].is_some() != label[1].is_some();
        let quiet = || (0..4).filter_map(|a| Some((a, label[a]?)));
        if diagonal {
            let triangle = |a: usize| vec![position[a], crossing(a, (a + 1) % 4), crossing(a, (a + 3) % 4)];
            return quiet().map(|(a, label)| (label, triangle(a))).collect();
        }
        let mut polygon = vec![];
        for a in 0..4 {
            let next = (a + 1) % 4;
            polygon.extend(label[a].map(|_| position[a]));
            polygon.extend((label[a].is_some() != label[next].is_some()).then(|| crossing(a, next)));
        }
        quiet().next().map(|(_, label)| (label, polygon)).into_iter().collect()
    }

    fn find_deepest(&self, labels: &Array2<Option<usize>>, regions: &mut [Region]) {
        for (index, label) in labels.indexed_iter() {
            let Some(region) = label.map(|l| &mut regions[l]) else { continue };
            if self.level[index] < region.deepest_level {
                (region.deepest, region.deepest_level) = (index, self.level[index]);
            }
        }
    }

    /// Position [m] and relative level [dB] of the minimum near the map point `(i, j)`.
    fn refined(&self, (i, j): (usize, usize)) -> ([f64; 2], f64) {
        let energy = |i: usize, j: usize| ratio(self.level[(i, j)]);
        let centre = energy(i, j);
        let x = Stencil::around(&self.x, i, |n| energy(n, j));
        let y = Stencil::around(&self.y, j, |n| energy(i, n));
        let mixed = if x.fixed() || y.fixed() {
            0.0
        } else {
            (energy(i + 1, j + 1) - energy(i + 1, j - 1) - energy(i - 1, j + 1) + energy(i - 1, j - 1))
                / (x.width() * y.width())
        };
        let determinant = x.curvature * y.curvature - mixed * mixed;
        let (dx, dy) = if determinant > 0.0 && x.curvature > 0.0 {
            (
                x.limit((mixed * y.slope - y.curvature * x.slope) / determinant),
                y.limit((mixed * x.slope - x.curvature * y.slope) / determinant),
            )
        } else {
            (x.limit(-x.slope / x.curvature), y.limit(-y.slope / y.curvature))
        };
        let lowest = centre
            + x.slope * dx
            + y.slope * dy
            + 0.5 * (x.curvature * dx * dx + y.curvature * dy * dy)
            + mixed * dx * dy;
        let level = 10.0 * lowest.clamp(centre * ratio(-DEEPENING), centre).log10();
        ([self.x[i] + dx, self.y[j] + dy], level.max(-DEEPEST))
    }
}

impl Region {
    fn add(&mut self, polygon: &[[f64; 2]]) {
        let next = polygon.iter().cycle().skip(1);
        let twice: f64 = polygon.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum();
        self.area += 0.5 * twice.abs();
        for vertex in polygon {
            self.low = [0, 1].map(|axis| self.low[axis].min(vertex[axis]));
            self.high = [0, 1].map(|axis| self.high[axis].max(vertex[axis]));
        }
    }
}

/// Derivatives of a quadratic through a node and its two neighbours along one axis. On the border of the map nothing moves.
struct Stencil {
    before: f64,
    after: f64,
    slope: f64,
    curvature: f64,
}

impl Stencil {
    fn around(nodes: &[f64], i: usize, value: impl Fn(usize) -> f64) -> Self {
        if i == 0 || i + 1 == nodes.len() {
            return Self { before: 0.0, after: 0.0, slope: 0.0, curvature: 1.0 };
        }
        let (before, after) = (nodes[i] - nodes[i - 1], nodes[i + 1] - nodes[i]);
        let backward = (value(i) - value(i - 1)) / before;
        let forward = (value(i + 1) - value(i)) / after;
        let slope = (backward * after + forward * before) / (before + after);
        Self { before, after, slope, curvature: 2.0 * (forward - backward) / (before + after) }
    }

    fn fixed(&self) -> bool {
        self.width() == 0.0
    }

    fn width(&self) -> f64 {
        self.before + self.after
    }

    /// Keeps a step within half a cell; a step that is not a number (flat stencil) becomes none.
    fn limit(&self, step: f64) -> f64 {
        if step.is_nan() { 0.0 } else { step.clamp(-0.5 * self.before, 0.5 * self.after) }
    }
}

fn mix(a: f64, b: f64, share: f64) -> f64 {
    a + share * (b - a)
}

/// Limits of the search and the nodes between them; `None` if nothing is left or a node axis has no width.
fn cropped_nodes(nodes: &[f64], low: f64, high: f64) -> Option<Vec<f64>> {
    let (low, high) = (low.max(*nodes.first()?), high.min(*nodes.last()?));
    let sliver = 1e-9 * (high - low);
    let inner = nodes.iter().copied().filter(|&n| n > low + sliver && n < high - sliver);
    (high > low).then(|| std::iter::once(low).chain(inner).chain([high]).collect())
}

/// Cell of `at` and its share of the way through; `at` lies between the first and the last node.
fn locate(nodes: &[f64], at: f64) -> (usize, f64) {
    let cell = nodes.partition_point(|&n| n <= at).saturating_sub(1).min(nodes.len() - 2);
    (cell, (at - nodes[cell]) / (nodes[cell + 1] - nodes[cell]))
}

#[cfg(test)]
#[path = "dead_spots_tests.rs"]
mod tests;
