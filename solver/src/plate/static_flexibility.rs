//! The plate's static flexibility without its rigid-body motion.

use super::line_tables::LineTables;
use super::model::plate_energy;
use super::probes::Probes;
use super::product_basis::{BlockPlan, Line, Plan};
use super::reduced::{Reduced, Sheared};
use super::rigid::Motion;
use super::shapes::Directions;
use super::{Accuracy, Footprint};
use crate::linalg::{LapackFailure, cholesky, nearly_cholesky, solve_lower};
use crate::scene::{Panel, PlateSection};
use ndarray::{Array1, Array2, Axis as Along, s};
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};

/// Factorised stiffness, over a wider range of wavenumbers than the modes need where that can be factorised.
#[derive(Debug)]
pub(super) struct StaticFlexibility {
    x: Directions,
    y: Directions,
    blocks: Vec<StaticBlock>,
    beyond: Beyond,
    /// Number of wave-like products per area [m⁻²].
    mean_density: f64,
}

#[derive(Debug)]
pub(super) struct StaticBlock {
    /// Classes along x and y.
    classes: [usize; 2],
    /// Functions (i along x, j along y) of those classes.
    products: Vec<(usize, usize)>,
    /// Number of rigid products, which come first.
    rigid: usize,
    /// Share of the rigid product in each elastic one: rotary inertia couples them.
    tilt: Option<Array1<f64>>,
    /// Rigid motions (motions, products) that strips leave unresisted.
    loose: Array2<f64>,
    /// Stiffness that has been added against them [s⁻²].
    added: f64,
    /// Lower Cholesky factor of stiffness over surface mass.
    factor: Array2<f64>,
}

/// Flexibility of an interior point from waves beyond the range of the basis.
#[derive(Debug)]
pub(super) struct Beyond {
    /// By bending [m/N].
    bending: f64,
    /// By shear: `1/(2π S)` [m/N], 0 for a thin plate.
    shear: f64,
    /// Where the range ends [rad/m].
    from: f64,
    /// Radius over which a point spreads [m].
    smallest_radius: f64,
}

/// Largest block that is worth factorising for the static correction of a thin plate, and of one whose shear angles have to be
/// condensed first.
const LARGEST_BLOCK: [usize; 2] = [3000, 1000];

/// Most functions along one side that are worth making orthonormal for it.
const LONGEST_LINE: usize = 600;

impl StaticFlexibility {
    /// Covers frequencies up to [`wider_reach`] times `up_to` [Hz], or just those of the modes.
    pub fn new(panel: &Panel, up_to: f64) -> Self {
        // Far beyond the modes a basis may be too rough to be told from a dependent one; theirs is known to be sound.
        (wider_reach(panel, up_to).and_then(|reach| Self::factorised(panel, reach * up_to).ok()))
            .or_else(|| Self::factorised(panel, up_to).ok())
            .expect("the modes were solved in this basis")
    }

    fn factorised(panel: &Panel, up_to: f64) -> Result<Self, LapackFailure> {
        let plan = Plan::new(panel, TAU * up_to, Accuracy::PREDICTION);
        let (x, y) = plan.lines()?;
        let energy = plate_energy(panel);
        let blocks: Vec<StaticBlock> = (plan.blocks.par_iter())
            .map(|block| {
                let lines = (&x[block.x_class].1, &y[block.y_class].1);
                let reduced = Reduced::new(block, lines, &energy)?;
                StaticBlock::new(block, lines, &reduced)
            })
            .collect::<Result<_, LapackFailure>>()?;
        let directions = |lines: Vec<Line>| Directions::new(lines.into_iter().map(|line| line.0).collect());
        Ok(Self::assembled(panel, plan.waves(), [directions(x), directions(y)], blocks))
    }

    /// From factorised blocks of a basis with so many products that are `waves` along both sides.
    pub fn assembled(panel: &Panel, waves: usize, [x, y]: [Directions; 2], blocks: Vec<StaticBlock>) -> Self {
        let mean_density = waves as f64 / panel.outline.area();
        let beyond = Beyond::new(&panel.section, mean_density);
        Self { x, y, blocks, beyond, mean_density }
    }

    /// Memory [bytes].
    pub fn bytes(&self) -> usize {
        self.blocks.iter().map(|block| 8 * block.factor.len()).sum()
    }

    /// Flexibility [m/N] between footprints: (footprints, footprints).
    pub fn between(&self, footprints: &[Footprint], surface_mass: f64) -> Array2<f64> {
        let probes = Probes::new(&self.x, &self.y, footprints);
        let parts: Vec<Array2<f64>> = (self.blocks.par_iter())
            .map(|block| block.flexibility(self.rows(block, &probes)) / surface_mass)
            .collect();
        let beyond = self.beyond.between(footprints, &self.density(&probes));
        parts.into_iter().fold(beyond, |sum, part| sum + part)
    }

    /// Flexibility [m/N] of each footprint by itself: the diagonal of [`between`](Self::between).
    pub fn own(&self, footprints: &[Footprint], surface_mass: f64) -> Vec<f64> {
        let probes = Probes::new(&self.x, &self.y, footprints);
        let mut own = self.beyond.own(footprints, &self.density(&probes));
        for block in &self.blocks {
            let found = block.own_flexibility(self.rows(block, &probes));
            own.iter_mut().zip(found).for_each(|(sum, part)| *sum += part / surface_mass);
        }
        own
    }

    /// How much of the mean density of waves is present at every point of the footprints: nothing at a held edge. The
    /// surplus at a free edge is carried by polynomials, which reach further up, and does not count.
    fn density(&self, probes: &Probes) -> Vec<f64> {
        let parts: Vec<Vec<f64>> = self
            .blocks
            .par_iter()
            .map(|block| probes.square_sums(self.cells(block).skip(block.rigid)))
            .collect();
        let at_point = |point: usize| parts.iter().map(|part| part[point]).sum::<f64>();
        (0..probes.points()).map(|point| (at_point(point) / self.mean_density).min(1.0)).collect()
    }

    /// A block's products as functions along both sides.
    fn cells(&self, block: &StaticBlock) -> impl Iterator<Item = (usize, usize)> {
        let [x0, y0] = [self.x.offset(block.classes[0]), self.y.offset(block.classes[1])];
        block.products.iter().map(move |&(i, j)| (x0 + i, y0 + j))
    }

    /// A block's products averaged over the footprints of `probes`: (footprints, products).
    fn rows(&self, block: &StaticBlock, probes: &Probes) -> Array2<f64> {
        probes.rows(self.cells(block), block.products.len())
    }
}

/// Top frequency of a basis for the static flexibility that reaches further than the modes', over theirs; `None` where none can be
/// factorised.
fn wider_reach(panel: &Panel, up_to: f64) -> Option<f64> {
    REACHES.into_iter().find(|&reach| fits(panel, reach * up_to))
}

/// True when there is a wider reach: when the least of them fits.
pub(super) fn reaches_wider(panel: &Panel, up_to: f64) -> bool {
    fits(panel, REACHES[2] * up_to)
}

/// Top frequencies over that of the modes, the best first.
const REACHES: [f64; 3] = [3.0, 2.0, 1.5];

/// True when a basis up to the frequency `up_to` [Hz] can be factorised.
fn fits(panel: &Panel, up_to: f64) -> bool {
    let largest = LARGEST_BLOCK[usize::from(panel.section.shear.is_some())];
    let plan = Plan::new(panel, TAU * up_to, Accuracy::PREDICTION);
    plan.largest_block() <= largest && plan.longest_line() <= LONGEST_LINE
}

impl StaticBlock {
    /// Factorises the stiffness of a block.
    pub fn new(
        block: &BlockPlan,
        (x, y): (&LineTables, &LineTables),
        Reduced { stiffness, shear }: &Reduced,
    ) -> Result<Self, LapackFailure> {
        let rigid = usize::from(block.rigid);
        let tilt = (shear.as_ref().filter(|_| block.rigid))
            .map(|Sheared { mass, .. }| mass.slice(s![1.., 0]).to_owned() / mass[(0, 0)]);
        let mut factor = stiffness.slice(s![rigid.., rigid..]).as_standard_layout().into_owned();
        let loose = loose_products(block, x, y);
        let added = factor.diag().mean().unwrap_or(0.0);
        factor += &(loose.t().dot(&loose) * added);
        let factor = nearly_cholesky(&factor, added, cholesky)?; // a strip that holds next to nothing leaves rounding
        let classes = [block.x_class, block.y_class];
        Ok(Self { classes, products: block.products.clone(), rigid, tilt, loose, added, factor })
    }

    /// Flexibility times surface mass between products given by rows, rigid motions left out.
    fn flexibility(&self, rows: Array2<f64>) -> Array2<f64> {
        let (elastic, along) = self.solved(rows);
        elastic.dot(&elastic.t()) - along.dot(&along.t())
    }

    /// Its diagonal.
    fn own_flexibility(&self, rows: Array2<f64>) -> Vec<f64> {
        let (elastic, along) = self.solved(rows);
        let squares =
            |of: &Array2<f64>| -> Vec<f64> { of.rows().into_iter().map(|row| row.dot(&row)).collect() };
        squares(&elastic).iter().zip(squares(&along)).map(|(all, along)| all - along).collect()
    }

    /// Rows whose products are the flexibility, and those whose products it holds too much: loose rigid motions against the stiffness added.
    fn solved(&self, rows: Array2<f64>) -> (Array2<f64>, Array2<f64>) {
        let mut elastic = rows.slice(s![.., self.rigid..]).as_standard_layout().into_owned();
        if let Some(tilt) = &self.tilt {
            elastic -= &rows.slice(s![.., ..1]).dot(&tilt.view().insert_axis(Along(0)));
        }
        let mut along = elastic.dot(&self.loose.t());
        if !along.is_empty() {
            along /= self.added.sqrt();
        }
        solve_lower(&self.factor, &mut elastic).expect("a Cholesky factor has no zero on its diagonal");
        (elastic, along)
    }
}

/// Loose rigid motions in a block's products, orthonormal: (motions, products).
fn loose_products(block: &BlockPlan, x: &LineTables, y: &LineTables) -> Array2<f64> {
    let ([x0, x1], [y0, y1]) = (x.linear(), y.linear());
    let mut rows = Array2::zeros((block.loose.len(), block.bending().len()));
    for (mut row, &[shift, along_x, along_y]) in rows.rows_mut().into_iter().zip(&block.loose as &Vec<Motion>)
    {
        for (value, &(i, j)) in row.iter_mut().zip(block.bending()) {
            *value = shift * x0[i] * y0[j] + along_x * x1[i] * y0[j] + along_y * x0[i] * y1[j];
        }
    }
    for n in 0..rows.nrows() {
        for m in 0..n {
            let shared = rows.row(n).dot(&rows.row(m));
            let other = rows.row(m).to_owned();
            rows.row_mut(n).scaled_add(-shared, &other);
        }
        let norm = rows.row(n).dot(&rows.row(n)).sqrt();
        rows.row_mut(n).map_inplace(|value| *value /= norm);
    }
    rows
}

impl Beyond {
    /// Beyond the range of a basis with `density` wave-like products per area [m⁻²], which fill a circle (or the plate's own
    /// curve) of area `4π² density` in the plane of wavenumbers.
    ///
    /// An infinite plate adds `1/(4π²) ∫dθ ∫ k dk / (D(θ) k⁴)`, the integral from its curve `k⁴ = m ω²/D(θ)` outwards: that
    /// is `q/ω` with `q = ⟨D^−½⟩ / (4π √m)`, and N products fill the curve of `ω = density / (m q)` (from the plate equation
    /// in wavenumber space; the whole integral is in Cremer, Heckl & Petersson, Structure-Borne Sound, 3rd ed. 2005, ch. 5).
    /// Shear adds `∫ J₀²(ka) / (2π S k) dk` for a ring of radius a, with `S = √(S1 S2)`, the mean over directions of `1/S(θ)`. For a
    /// point it would diverge like the logarithm of its size: plate theory knows no load narrower than the plate is thick, so
    /// no radius counts as smaller than half the thickness.
    pub fn new(section: &PlateSection, density: f64) -> Self {
        const STEPS: usize = 256;
        let root = |i: usize| section.stiffness_at(TAU * i as f64 / STEPS as f64).sqrt().recip();
        let mean = (0..STEPS).map(root).sum::<f64>() / STEPS as f64;
        let density = density.max(f64::MIN_POSITIVE);
        Self {
            bending: (mean / (4.0 * PI)).powi(2) / density,
            shear: section.shear.map_or(0.0, |[s1, s2]| (TAU * (s1 * s2).sqrt()).recip()),
            from: (4.0 * PI * density).sqrt(),
            smallest_radius: 0.5 * section.thickness,
        }
    }

    /// Flexibility [m/N] between footprints whose points see the given shares of the mean density of waves.
    pub fn between(&self, footprints: &[Footprint], density: &[f64]) -> Array2<f64> {
        let mut flexibility = shared_points(footprints, density) * self.bending;
        for (n, shear) in self.by_shear(footprints, density).into_iter().enumerate() {
            flexibility[(n, n)] += shear;
        }
        flexibility
    }

    /// Flexibility [m/N] of each footprint by itself; its points are distinct.
    pub fn own(&self, footprints: &[Footprint], density: &[f64]) -> Vec<f64> {
        let bending = |(footprint, seen): (&Footprint, &[f64])| {
            let squares = footprint.weights.iter().zip(seen).map(|(w, density)| w * w * density);
            self.bending * squares.sum::<f64>()
        };
        (by_footprint(footprints, density).map(bending))
            .zip(self.by_shear(footprints, density))
            .map(|(b, s)| b + s)
            .collect()
    }

    /// What shear adds to the flexibility of each footprint by itself [m/N].
    fn by_shear(&self, footprints: &[Footprint], density: &[f64]) -> Vec<f64> {
        if self.shear == 0.0 {
            return vec![0.0; footprints.len()];
        }
        let of = |(footprint, own): (&Footprint, &[f64])| {
            let seen: f64 = footprint.weights.iter().zip(own).map(|(w, d)| w * d).sum();
            let radius = radius_of(footprint).max(self.smallest_radius);
            self.shear * seen * ring_tail(self.from * radius)
        };
        by_footprint(footprints, density).map(of).collect()
    }
}

/// Every footprint with its part of what there is per point.
fn by_footprint<'a>(
    footprints: &'a [Footprint],
    density: &'a [f64],
) -> impl Iterator<Item = (&'a Footprint, &'a [f64])> {
    footprints.iter().scan(density, |left, footprint| {
        let (own, rest) = left.split_at(footprint.points.len());
        *left = rest;
        Some((footprint, own))
    })
}

/// Mean distance of a footprint's points from their centre [m].
fn radius_of(footprint: &Footprint) -> f64 {
    let mean = |axis: usize| -> f64 {
        footprint.points.iter().zip(&footprint.weights).map(|(point, weight)| weight * point[axis]).sum()
    };
    let [x, y] = [mean(0), mean(1)];
    (footprint.points.iter().zip(&footprint.weights))
        .map(|(point, weight)| weight * (point[0] - x).hypot(point[1] - y))
        .sum()
}

/// `∫ J₀²(t)/t dt` from `start` to infinity.
///
/// Far out J₀² averages `1/(πt)`, which leaves `1/(π t)` of the integral (NIST Handbook of Mathematical Functions, 2010, § 10.17).
fn ring_tail(start: f64) -> f64 {
    const FAR: f64 = 30.0;
    const STEPS: usize = 600;
    if start >= FAR {
        return (PI * start).recip();
    }
    // Midpoint rule over the logarithm.
    let span = (FAR / start.max(1e-12)).ln();
    let step = span / STEPS as f64;
    let inner: f64 = (0..STEPS).map(|i| bessel_j0(FAR * (-(i as f64 + 0.5) * step).exp()).powi(2)).sum();
    inner * step + (PI * FAR).recip()
}

/// `J₀(t) = 1/2π ∫ cos(t sin θ) dθ` by the trapezoidal rule, exact to rounding for t well below the number of steps
/// (NIST Handbook 2010, § 10.9).
fn bessel_j0(t: f64) -> f64 {
    const STEPS: usize = 64;
    (0..STEPS).map(|i| (t * (PI * i as f64 / STEPS as f64).sin()).cos()).sum::<f64>() / STEPS as f64
}

/// `Σ wₚ w_q densityₚ` over the points p, q that two footprints share: very short waves do not correlate between different
/// points. `density` runs over all points of all footprints.
fn shared_points(footprints: &[Footprint], density: &[f64]) -> Array2<f64> {
    let starts: Vec<usize> =
        footprints.iter().scan(0, |next, f| Some(std::mem::replace(next, *next + f.points.len()))).collect();
    Array2::from_shape_fn((footprints.len(), footprints.len()), |(f, g)| {
        let (own, other) = (&footprints[f], &footprints[g]);
        let mut sum = 0.0;
        for (i, (p, w)) in own.points.iter().zip(&own.weights).enumerate() {
            let shared = other.points.iter().zip(&other.weights).filter(|(q, _)| *q == p);
            sum += shared.map(|(_, v)| w * v * density[starts[f] + i]).sum::<f64>();
        }
        sum
    })
}
