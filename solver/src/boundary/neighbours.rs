//! Which elements are so close that the plain rule does not do, and how they touch.

use super::element::{Ball, Element, Order, WHOLE};
use super::mirrors::Image;
use super::touching_rule::Touch;
use rayon::prelude::*;

/// Distance of the middles over the sum of the radii from which on the plain rule serves.
pub(super) const FAR: f64 = 2.0;

/// How two elements lie to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Relation {
    /// Common corners come first in both orders.
    Touching(Touch, [Order; 2]),
    /// Close, but apart.
    Apart,
}

/// An element and the image of another one (or of itself) near it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Neighbours {
    pub tested: usize,
    pub source: usize,
    /// Index of the source's image.
    pub image: usize,
    pub relation: Relation,
}

/// All neighbours with `source ≥ tested`, ordered. The others are these with the roles exchanged, as the images of an image are the original.
pub(super) fn neighbours(elements: &[Element], corners: &[[u32; 3]], images: &[Image]) -> Vec<Neighbours> {
    let balls: Vec<Ball> = elements.iter().map(|element| element.ball(&WHOLE)).collect();
    let of_element = |tested: usize| {
        let mut found = vec![];
        for source in tested..elements.len() {
            for (image, reflection) in images.iter().enumerate() {
                let ball = Ball { middle: reflection.of(balls[source].middle), ..balls[source] };
                if balls[tested].separation(&ball) >= FAR {
                    continue;
                }
                let fixed = |corner: usize| reflection.fixes(elements[source].nodes[corner]);
                let relation = relation(&corners[tested], &corners[source], fixed);
                found.push(Neighbours { tested, source, image, relation });
            }
        }
        found
    };
    (0..elements.len()).into_par_iter().flat_map_iter(of_element).collect()
}

/// `fixed` says whether a corner of the source is where its image is.
fn relation(tested: &[u32; 3], source: &[u32; 3], fixed: impl Fn(usize) -> bool) -> Relation {
    let common: Vec<[usize; 2]> = (0..3)
        .flat_map(|i| (0..3).map(move |j| [i, j]))
        .filter(|&[i, j]| tested[i] == source[j] && fixed(j))
        .collect();
    let first = |which: usize| match common[..] {
        [a] => Order([a[which], (a[which] + 1) % 3, (a[which] + 2) % 3]),
        [a, b] => Order([a[which], b[which], 3 - a[which] - b[which]]),
        _ => Order([0, 1, 2]),
    };
    match common.len() {
        0 => Relation::Apart,
        1 => Relation::Touching(Touch::Corner, [first(0), first(1)]),
        2 => Relation::Touching(Touch::Side, [first(0), first(1)]),
        _ => Relation::Touching(Touch::Same, [first(0), first(1)]),
    }
}
