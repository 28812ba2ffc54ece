//! Which variations of a panel are looked at.
//!
//! An Owen-scrambled Sobol sequence (A. B. Owen, Randomly permuted (t,m,s)-nets and (t,s)-sequences, 1995; B. Burley, Practical
//! hash-based Owen scrambling, J. Computer Graphics Techniques 9 (2020) no. 4) fills the box of all factors and positions far more
//! evenly than chance: every factor by itself is stratified. The seed is fixed, so the same scene always meets the same variations.

use crate::scene::{Scene, Spread};
use panelwright_mesh::Outline;

/// Seed of the sequence.
pub(super) const SEED: u32 = 20_251;
/// Longest sequence and most dimensions of one seed; beyond them the next seed goes on.
const LENGTH: usize = 1 << 16;
const DIMENSIONS: usize = 256;

/// One way in which the built panel may differ from the described one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Variation {
    /// Factors on the stiffness along x, along y, in twist, in shear, and of the supports: the order of the energy parts.
    pub stiffness: [f64; 5],
    /// Factor on the mass per area.
    pub surface_mass: f64,
    /// Factor on the loss factors.
    pub loss: f64,
    /// Where each exciter, then each mass and each hang sits [m].
    pub positions: Vec<[f64; 2]>,
}

impl Variation {
    /// The panel as described.
    pub fn nominal(scene: &Scene) -> Self {
        Self {
            stiffness: [1.0; 5],
            surface_mass: 1.0,
            loss: 1.0,
            positions: feet(scene).map(|(position, _)| position).collect(),
        }
    }

    /// Variation `index` of the sequence.
    pub fn at(scene: &Scene, index: usize) -> Self {
        let spread: &Spread = &scene.spread;
        let u = |dimension: usize| coordinate(index, dimension);
        let parts = [spread.along_x, spread.along_y, spread.twist, spread.shear, spread.supports];
        let moved = |(port, (position, diameter)): (usize, ([f64; 2], f64))| {
            let play = play(&scene.panel.outline, position, 0.5 * diameter, spread.position);
            [0, 1].map(|axis| position[axis] + play * (2.0 * u(8 + 2 * port + axis) - 1.0))
        };
        let thickness = spread.thickness.range.at(u(7));
        // What holds the panel does not know how thick it is.
        let follows = |part: usize| spread.thickness.stiffness.get(part).map_or(1.0, |&e| thickness.powf(e));
        let surface_mass = spread.surface_mass.at(u(5)) * thickness.powf(spread.thickness.surface_mass);
        Self {
            stiffness: std::array::from_fn(|part| parts[part].at(u(part)) * follows(part)),
            surface_mass,
            loss: spread.loss.at(u(6)),
            positions: feet(scene).enumerate().map(moved).collect(),
        }
    }
}

/// Position and diameter [m] of every exciter, mass and hang, in the order of the ports.
pub(super) fn feet(scene: &Scene) -> impl Iterator<Item = ([f64; 2], f64)> + '_ {
    let exciters = scene.exciters.iter().map(|e| (e.position, e.foot_diameter));
    let masses = scene.attachments.masses.iter().map(|m| (m.position, m.diameter));
    exciters.chain(masses).chain(scene.attachments.hangs.iter().map(|h| (h.position, h.diameter)))
}

/// All variations of a scene, as many as its spread asks for.
pub(super) fn variations(scene: &Scene) -> Vec<Variation> {
    (0..scene.spread.samples).map(|index| Variation::at(scene, index)).collect()
}

/// A coordinate of the sequence, 0 to 1.
fn coordinate(index: usize, dimension: usize) -> f64 {
    let seed = SEED + (dimension / DIMENSIONS) as u32 + 1000 * (index / LENGTH) as u32;
    f64::from(sobol_burley::sample((index % LENGTH) as u32, (dimension % DIMENSIONS) as u32, seed))
}

/// How far a foot of `radius` at `position` can be off in x and y without reaching over the edge, at most `tolerance` [m].
fn play(outline: &Outline, position: [f64; 2], radius: f64, tolerance: f64) -> f64 {
    let room = (outline.distance_inside(position) - radius) * std::f64::consts::FRAC_1_SQRT_2;
    tolerance.min(room).max(0.0)
}
