//! Static flexibility of a free-form plate without its rigid-body motion.

use super::reduction::{Held, Reduction};
use super::{FreeFormPlan, Integrals, Region};
use crate::linalg::{LapackFailure, solve_lower};
use crate::plate::probes::Probes;
use crate::plate::shapes::Directions;
use crate::plate::static_flexibility::Beyond;
use crate::plate::{Accuracy, Footprint};
use crate::scene::Panel;
use ndarray::Array2;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Factorised stiffness, over a wider range of wavenumbers than the modes need where that can be factorised.
#[derive(Debug)]
pub(in crate::plate) struct FreeFormStatics {
    x: Directions,
    y: Directions,
    blocks: Vec<StaticBlock>,
    surface_mass: f64,
    /// Flexibility beyond the range.
    beyond: Beyond,
    /// Number of independent waves per area [m⁻²].
    mean_density: f64,
}

#[derive(Debug)]
struct StaticBlock {
    /// Columns of (all x functions, all y functions) of the picked functions, and their scale.
    cells: Vec<(usize, usize)>,
    scale: Vec<f64>,
    held: Held,
}

/// Largest block that is worth factorising for the static correction of a thin plate, and of one whose rotations have to be
/// condensed first.
const LARGEST_BLOCK: [usize; 2] = [2200, 1000];

impl FreeFormPlan {
    /// A wider range that is worth factorising for the statics of modes up to the angular frequency `omega` [rad/s]: at most
    /// twice, none for large plates.
    pub(super) fn wider(region: &Region, omega: f64) -> Option<Self> {
        let largest = LARGEST_BLOCK[usize::from(region.section.shear.is_some())];
        let plan = |reach: f64| Self::new(region, omega * reach, Accuracy::PREDICTION);
        [2.0, 1.5].into_iter().map(plan).find(|plan| plan.largest_block() <= largest)
    }
}

impl FreeFormStatics {
    /// Covers frequencies up to at most twice `up_to` [Hz], fewer for large plates.
    ///
    /// # Errors
    /// When a factorisation fails.
    pub fn new(panel: &Panel, up_to: f64) -> Result<Self, LapackFailure> {
        let (region, omega) = (Region::of(panel), TAU * up_to);
        let plan = FreeFormPlan::wider(&region, omega)
            .unwrap_or_else(|| FreeFormPlan::new(&region, omega, Accuracy::PREDICTION));
        let integrals = Integrals::new(&region, &plan);
        let held = (plan.blocks.par_iter())
            .map(|block| Reduction::new(&integrals, block)?.held(omega))
            .collect::<Result<Vec<_>, LapackFailure>>()?;
        Ok(Self::of_blocks(&region, &plan, held))
    }

    /// Memory [bytes], roughly: a factor and what is condensed beside it.
    pub fn bytes(&self) -> usize {
        self.blocks.iter().map(|block| 16 * block.cells.len().pow(2)).sum()
    }

    /// From the factorised stiffness of every block of a plan.
    pub(super) fn of_blocks(region: &Region, plan: &FreeFormPlan, held: Vec<Held>) -> Self {
        let [x, y] = plan.lines().map(Directions::new);
        let blocks = (plan.blocks.iter().zip(held))
            .map(|(block, held)| {
                let (x0, y0) = (x.offset(block.classes[0]), y.offset(block.classes[1]));
                let cell = |i: usize| (x0 + block.products[i].0, y0 + block.products[i].1);
                let (cells, scale) = held.deflection.places().map(|(i, scale)| (cell(i), scale)).unzip();
                StaticBlock { cells, scale, held }
            })
            .collect();
        let mean_density = plan.waves_per_area();
        let beyond = Beyond::new(region.section, mean_density);
        Self { x, y, blocks, surface_mass: region.section.surface_mass, beyond, mean_density }
    }

    /// Flexibility [m/N] between footprints: (footprints, footprints).
    pub fn between(&self, footprints: &[Footprint]) -> Array2<f64> {
        let parts: Vec<Array2<f64>> = (self.rows(footprints).into_par_iter().zip(&self.blocks))
            .map(|(mut rows, block)| {
                solve_lower(&block.held.factor, &mut rows)
                    .expect("a Cholesky factor has no zero on its diagonal");
                rows.dot(&rows.t()) / self.surface_mass
            })
            .collect();
        let beyond = self.beyond.between(footprints, &self.density(footprints));
        parts.into_iter().fold(beyond, |sum, part| sum + part)
    }

    /// Flexibility [m/N] of each footprint by itself: the diagonal of [`between`](Self::between).
    pub fn own(&self, footprints: &[Footprint]) -> Vec<f64> {
        let mut own = self.beyond.own(footprints, &self.density(footprints));
        for (mut rows, block) in self.rows(footprints).into_iter().zip(&self.blocks) {
            solve_lower(&block.held.factor, &mut rows)
                .expect("a Cholesky factor has no zero on its diagonal");
            own.iter_mut().zip(rows.rows()).for_each(|(sum, row)| *sum += row.dot(&row) / self.surface_mass);
        }
        own
    }

    /// Orthonormal bending functions of every block averaged over the footprints: (footprints, functions).
    fn rows(&self, footprints: &[Footprint]) -> Vec<Array2<f64>> {
        let probes = Probes::new(&self.x, &self.y, footprints);
        self.blocks.par_iter().map(|block| block.rows(&probes)).collect()
    }

    /// How much of the mean density of waves is present at every point of the footprints.
    fn density(&self, footprints: &[Footprint]) -> Vec<f64> {
        let points = single_points(footprints);
        let rows = self.rows(&points);
        let at_point = |p: usize| rows.iter().map(|rows| rows.row(p).dot(&rows.row(p))).sum::<f64>();
        (0..points.len()).map(|p| (at_point(p) / self.mean_density).min(1.0)).collect()
    }
}

impl StaticBlock {
    fn rows(&self, probes: &Probes) -> Array2<f64> {
        let mut rows = probes.rows(self.cells.iter().copied(), self.cells.len());
        for (mut column, scale) in rows.columns_mut().into_iter().zip(&self.scale) {
            column *= *scale;
        }
        self.held.elastic(&mut rows).expect("the factor of picked functions is regular")
    }
}

/// All points of some footprints as footprints of their own.
fn single_points(footprints: &[Footprint]) -> Vec<Footprint> {
    footprints
        .iter()
        .flat_map(|footprint| footprint.points.iter().map(|&point| Footprint::point(point)))
        .collect()
}
