//! The plate as the free-form solver sees it: a boundary, a section and supports.

use crate::scene::{EdgeCondition, Edges, Panel, PlateSection};
use panelwright_mesh::RimPoint;
use std::f64::consts::PI;
use std::num::NonZeroUsize;

/// Nodes along the boundary, so many on every piece of at most this length [m].
type Rim<'a> = Box<dyn Fn(f64, NonZeroUsize) -> Vec<RimPoint> + Sync + 'a>;

/// A plate of any outline; the lower left corner of its bounding box is the origin.
pub(in crate::plate) struct Region<'a> {
    /// Width and height of the bounding box [m].
    pub size: [f64; 2],
    /// Area [m²].
    pub area: f64,
    pub section: &'a PlateSection,
    pub edges: &'a Edges,
    /// True when outline and supports are mirrored about the vertical and the horizontal middle line.
    pub mirrored: [bool; 2],
    /// True when there are cut-outs or re-entrant corners.
    pub re_entrant: bool,
    rim: Rim<'a>,
}

impl<'a> Region<'a> {
    pub fn of(panel: &'a Panel) -> Self {
        let (width, height) = panel.outline.bounding_box();
        let rim = |longest, count| panel.outline.rim(longest, count);
        Self::new(
            [width, height],
            panel.outline.area(),
            panel.outline.mirror_symmetry(),
            (&panel.section, &panel.edges),
            Box::new(rim),
        )
    }

    pub fn new(
        size: [f64; 2],
        area: f64,
        outline_mirrored: [bool; 2],
        (section, edges): (&'a PlateSection, &'a Edges),
        rim: Rim<'a>,
    ) -> Self {
        let mut region =
            Self { size, area, section, edges, mirrored: outline_mirrored, re_entrant: false, rim };
        let coarse = region.rim(0.05 * size[0].max(size[1]), 6);
        region.re_entrant = turns_back(&coarse);
        region.mirrored =
            [0, 1].map(|axis| outline_mirrored[axis] && region.supports_mirrored(axis, &coarse));
        region
    }

    /// Gauss nodes along the boundary.
    pub fn rim(&self, longest: f64, count: usize) -> Vec<RimPoint> {
        (self.rim)(longest, NonZeroUsize::new(count).unwrap_or(NonZeroUsize::MIN))
    }

    /// Condition at a point of the rim.
    pub fn condition(&self, point: &RimPoint) -> EdgeCondition {
        self.edges.at(point.contour, point.along)
    }

    /// Sum of `value(condition, tangent angle)` over the length of the rim.
    pub fn along_rim(&self, value: impl Fn(EdgeCondition, f64) -> f64) -> f64 {
        let rim = self.rim(0.05 * self.size[0].max(self.size[1]), 6);
        let at = |point: &RimPoint| {
            point.weight * value(self.condition(point), point.normal[0].atan2(-point.normal[1]))
        };
        rim.iter().map(at).sum()
    }

    /// True when no function that is odd about the middle line sees the supports: every moment of every kind of support with
    /// such a function vanishes.
    fn supports_mirrored(&self, axis: usize, rim: &[RimPoint]) -> bool {
        const WAVES: usize = 12;
        let mut kinds: Vec<EdgeCondition> = vec![];
        for point in rim {
            let condition = self.condition(point);
            if !kinds.contains(&condition) {
                kinds.push(condition);
            }
        }
        let share = |point: &RimPoint, axis: usize| point.position[axis] / self.size[axis] - 0.5;
        kinds.len() <= 1
            || kinds.iter().all(|kind| {
                let own: Vec<_> = rim.iter().filter(|point| self.condition(point) == *kind).collect();
                let length: f64 = own.iter().map(|point| point.weight).sum();
                let moment = |n: usize, m: usize| -> f64 {
                    let odd = |point: &RimPoint| (n as f64 * PI * share(point, axis)).sin();
                    let any = |point: &RimPoint| (m as f64 * PI * (share(point, 1 - axis) + 0.5)).cos();
                    own.iter().map(|point| point.weight * odd(point) * any(point)).sum()
                };
                let mut pairs = (1..=WAVES).flat_map(|n| (0..WAVES).map(move |m| (n, m)));
                pairs.all(|(n, m)| moment(n, m).abs() < 1e-6 * length)
            })
    }
}

/// True when the outline turns right somewhere or has a cut-out: it is not convex.
fn turns_back(rim: &[RimPoint]) -> bool {
    let turn = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    rim.iter().any(|point| point.contour > 0)
        || rim.windows(2).any(|pair| turn(pair[0].normal, pair[1].normal) < -1e-6)
}
