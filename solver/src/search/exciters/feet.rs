//! Mode shapes under feet.

use crate::plate::{Footprint, Modes};
use ndarray::{Array1, Array2, Axis, Zip};
use rayon::prelude::*;
use std::collections::HashMap;

/// Feet that one thread looks at together.
const GROUP: usize = 128;
/// Distance [m] below which places are the same.
const SAME: f64 = 1e-9;

/// Feet of one diameter at many places, one force at a time.
#[derive(Clone, Debug)]
pub struct Feet {
    /// Centres [m].
    pub positions: Vec<[f64; 2]>,
    /// Mass-normalised shapes averaged over each foot (places, modes), kg^−½.
    pub shapes: Array2<f64>,
    /// Static flexibility of the modes left out under each foot [m/N].
    pub residual: Vec<f64>,
}

impl Feet {
    /// Rings of the given diameter [m] about `positions` [m].
    pub fn at(modes: &Modes, diameter: f64, positions: &[[f64; 2]]) -> Self {
        let rings = |some: &[[f64; 2]]| -> Vec<Footprint> {
            some.iter().map(|&centre| Footprint::ring(centre, diameter)).collect()
        };
        let folded = Folded::of(modes, positions);
        let groups: Vec<_> =
            folded.distinct.par_chunks(GROUP).map(|some| modes.bare_with_residual(&rings(some))).collect();
        let (bare, residual): (Vec<_>, Vec<_>) = groups.into_iter().unzip();
        let residual = residual.concat();
        Self {
            positions: positions.to_vec(),
            shapes: modes.from_bare(folded.unfolded(&bare, &modes.bare_parities())),
            residual: folded.images.iter().map(|image| residual[image.of]).collect(),
        }
    }

    /// Those at some of the places, in the given order.
    pub fn select(&self, places: &[usize]) -> Self {
        Self {
            positions: places.iter().map(|&place| self.positions[place]).collect(),
            shapes: self.shapes.select(Axis(0), places),
            residual: places.iter().map(|&place| self.residual[place]).collect(),
        }
    }

    /// Number of places.
    pub fn len(&self) -> usize {
        self.positions.len()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty()
    }
}

/// Places of which no two are mirror images of each other on a panel that is its own: it gives way alike under both, and each of its modes moves alike or
/// opposed there.
struct Folded {
    distinct: Vec<[f64; 2]>,
    /// What every place is the image of.
    images: Vec<Image>,
}

/// One of the distinct places, mirrored in the middle lines of x and y or not.
struct Image {
    of: usize,
    mirrored: [bool; 2],
}

impl Folded {
    fn of(modes: &Modes, positions: &[[f64; 2]]) -> Self {
        let mirrors = modes.mirrors();
        let mut seen = HashMap::new();
        let mut distinct = vec![];
        let image = |position: &[f64; 2]| {
            let mirrored = [0, 1].map(|axis| mirrors[axis].is_some_and(|middle| position[axis] > middle));
            let nearer = |axis: usize| match mirrors[axis].filter(|_| mirrored[axis]) {
                Some(middle) => 2.0 * middle - position[axis],
                None => position[axis],
            };
            let place = [0, 1].map(nearer);
            let of = *seen.entry(place.map(|along| (along / SAME).round() as i64)).or_insert_with(|| {
                distinct.push(place);
                distinct.len() - 1
            });
            Image { of, mirrored }
        };
        let images = positions.iter().map(image).collect();
        Self { distinct, images }
    }

    /// Shapes at all places (places, modes) from those at the distinct ones, group after group.
    fn unfolded(&self, groups: &[Array2<f64>], parities: &[[i8; 2]]) -> Array2<f64> {
        let signs = |axis: usize| parities.iter().map(move |parity| f64::from(parity[axis])).collect();
        let signs: [Array1<f64>; 2] = [signs(0), signs(1)];
        let mut shapes = Array2::zeros((self.images.len(), parities.len()));
        Zip::from(shapes.rows_mut()).and(&Array1::from_iter(&self.images)).par_for_each(|mut row, image| {
            row.assign(&groups[image.of / GROUP].row(image.of % GROUP));
            for axis in (0..2).filter(|&axis| image.mirrored[axis]) {
                row *= &signs[axis];
            }
        });
        shapes
    }
}
