//! Which cosines are needed.

use super::{Region, WaveCurve};
use crate::plate::Accuracy;
use std::f64::consts::PI;

/// Stretch of one direction that the cosines run over.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub start: f64,
    pub length: f64,
}

impl Span {
    /// Wavenumber [rad/m] of `half_waves` on the span.
    pub fn wavenumber(&self, half_waves: usize) -> f64 {
        half_waves as f64 * PI / self.length
    }

    /// Slope of ζ [1/m].
    pub fn slope(&self) -> f64 {
        2.0 / self.length
    }

    /// Position about the middle, ±1 at the ends.
    pub fn zeta(&self, x: f64) -> f64 {
        2.0 * (x - self.start) / self.length - 1.0
    }
}

/// Line functions of one parity (or of both) along one direction.
#[derive(Clone, Debug)]
pub(super) struct Class {
    /// Half waves on the span; the tilt, if any, comes after them.
    pub half_waves: Vec<usize>,
    pub tilt: bool,
}

/// Motion without bending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rigid {
    Shift,
    /// Linear in ζ of this axis.
    Tilt(usize),
}

/// Unknowns of one symmetry block: rigid motions, then waves.
#[derive(Clone, Debug)]
pub(super) struct BlockPlan {
    pub classes: [usize; 2],
    pub rigid: Vec<Rigid>,
    /// Half waves along x and y.
    pub waves: Vec<[usize; 2]>,
    /// All of them as pairs of functions of the two classes.
    pub products: Vec<(usize, usize)>,
}

impl BlockPlan {
    pub fn len(&self) -> usize {
        self.products.len()
    }
}

/// Box, classes and blocks: everything but the integrals.
#[derive(Clone, Debug)]
pub(in crate::plate) struct FreeFormPlan {
    pub(super) spans: [Span; 2],
    pub(super) classes: [Vec<Class>; 2],
    pub(super) blocks: Vec<BlockPlan>,
    /// Highest wavenumbers [rad/m] along x and y.
    pub(super) reach: [f64; 2],
    /// Angular frequency [rad/s] up to which it holds.
    pub(super) omega: f64,
}

/// Modes that the basis of a plate with cut-outs or re-entrant corners reaches at least: the fields there vary faster than
/// the waves of the few lowest modes.
const RE_ENTRANT_MODES: f64 = 350.0;

/// Ratio of the sides of the bounding box from which on the waves across get no shorter. Their stiffness, which grows with the fourth
/// power of it, would drown the bending along a sliver in rounding.
const SLENDER: f64 = 6.0;

impl FreeFormPlan {
    /// Plans the basis for all modes up to the angular frequency `omega` [rad/s].
    ///
    /// The box is wider than the panel by two thirds of [`Accuracy::margin`] half waves, and as many half waves are added to the plate's
    /// own; fewer where it has many ([`half_waves_beyond`]). Measured on a polygon without symmetry, from 40 to 460 modes: 4 leave
    /// 0.03 to 0.3 % at the top with free edges, thin or shear-deformable, and up to 1 % with clamped ones; two to ten times less below. 8 leave
    /// a tenth of that.
    pub fn new(region: &Region, omega: f64, accuracy: Accuracy) -> Self {
        let margin = accuracy.margin / 1.5;
        let curve = WaveCurve::new(region.section, region.omega_of_basis(omega));
        let [kx, ky] = curve.extent();
        let longest = region.size[0].max(region.size[1]);
        // Across a sliver the field is a low polynomial, which longer waves hold as well.
        let beyond = [0, 1].map(|axis| {
            let size = region.size[axis].max(longest / SLENDER);
            let own = [kx, ky][axis] * size / PI;
            // At re-entrant corners every further wave counts.
            let half_waves = if region.re_entrant { margin } else { half_waves_beyond(margin, own) };
            half_waves * PI / size
        });
        let reach = [kx + beyond[0], ky + beyond[1]];
        let spans = [0, 1].map(|axis| {
            let spare = margin * PI / reach[axis];
            Span { start: -0.5 * spare, length: region.size[axis] + spare }
        });
        let classes = [0, 1].map(|axis| {
            let most = (reach[axis] * spans[axis].length / PI) as usize;
            classes(most.max(2), region.mirrored[axis])
        });
        let inside = |[n, m]: [usize; 2]| {
            curve.contains(spans[0].wavenumber(n) - beyond[0], spans[1].wavenumber(m) - beyond[1])
        };
        let blocks = (0..classes[0].len())
            .flat_map(|i| (0..classes[1].len()).map(move |j| [i, j]))
            .map(|pair| block([&classes[0][pair[0]], &classes[1][pair[1]]], pair, inside))
            .collect();
        Self { spans, classes, blocks, reach, omega }
    }

    /// Unknowns of every block.
    pub fn sizes(&self) -> impl Iterator<Item = usize> {
        self.blocks.iter().map(BlockPlan::len)
    }

    /// Unknowns of the largest block.
    pub fn largest_block(&self) -> usize {
        self.sizes().max().unwrap_or(0)
    }

    /// Half the shortest wavelength [m] that the basis holds along x or y.
    pub fn half_wave(&self) -> f64 {
        PI / self.reach[0].max(self.reach[1])
    }

    /// Number of independent waves per area [m⁻²].
    pub fn waves_per_area(&self) -> f64 {
        let waves: usize = self.blocks.iter().map(|block| block.waves.len()).sum();
        waves as f64 / (self.spans[0].length * self.spans[1].length)
    }

    /// Most half waves along each direction.
    pub(super) fn most_half_waves(&self) -> [usize; 2] {
        [0, 1].map(|axis| {
            self.classes[axis].iter().flat_map(|class| class.half_waves.last().copied()).max().unwrap_or(0)
        })
    }
}

/// Half waves beyond the plate's own. What counts is how much shorter they are than its own, and the margin around the panel makes up for them
/// where waves are short: fewer will do where it has many.
fn half_waves_beyond(margin: f64, own: f64) -> f64 {
    const MANY: f64 = 2.5; // own half waves per half wave of margin
    margin * (MANY * margin / own.max(f64::MIN_POSITIVE)).min(1.0).powi(2)
}

impl Region<'_> {
    /// Angular frequency [rad/s] whose wave curve the basis fills.
    fn omega_of_basis(&self, omega: f64) -> f64 {
        if !self.re_entrant {
            return omega;
        }
        let modes = |omega: f64| self.area * WaveCurve::new(self.section, omega).area() / (4.0 * PI * PI);
        // The count of modes grows at least with the frequency.
        let (mut low, mut high) =
            (omega, omega * (RE_ENTRANT_MODES / modes(omega).max(f64::MIN_POSITIVE)).max(1.0));
        while high > 1.01 * low {
            let middle = (low * high).sqrt();
            if modes(middle) < RE_ENTRANT_MODES { low = middle } else { high = middle }
        }
        high
    }
}

/// All half waves up to `most` in one class, or even and odd ones apart.
fn classes(most: usize, mirrored: bool) -> Vec<Class> {
    if !mirrored {
        return vec![Class { half_waves: (0..=most).collect(), tilt: true }];
    }
    let parity =
        |odd: usize| Class { half_waves: (0..=most).filter(|n| n % 2 == odd).collect(), tilt: odd == 1 };
    vec![parity(0), parity(1)]
}

fn block([x, y]: [&Class; 2], classes: [usize; 2], inside: impl Fn([usize; 2]) -> bool) -> BlockPlan {
    let constant = |class: &Class| class.half_waves.first() == Some(&0);
    let candidates = [
        (constant(x) && constant(y), Rigid::Shift, (0, 0)),
        (x.tilt && constant(y), Rigid::Tilt(0), (x.half_waves.len(), 0)),
        (constant(x) && y.tilt, Rigid::Tilt(1), (0, y.half_waves.len())),
    ];
    let (rigid, mut products): (Vec<Rigid>, Vec<(usize, usize)>) =
        (candidates.into_iter().filter(|candidate| candidate.0))
            .map(|(_, rigid, product)| (rigid, product))
            .unzip();
    let pairs = (0..x.half_waves.len()).flat_map(|i| (0..y.half_waves.len()).map(move |j| (i, j)));
    let numbers = |&(i, j): &(usize, usize)| [x.half_waves[i], y.half_waves[j]];
    let wanted: Vec<(usize, usize)> =
        pairs.filter(|pair| numbers(pair) != [0, 0] && inside(numbers(pair))).collect();
    let waves = wanted.iter().map(numbers).collect();
    products.extend(wanted);
    BlockPlan { classes, rigid, waves, products }
}
