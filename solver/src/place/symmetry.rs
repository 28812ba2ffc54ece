//! Mirror images of the recommendation: equal only where panel, parts and seats are symmetric.

use super::bench::Bench;
use super::findings::{Arrangement, Mirrored};

/// Names of the images, and which coordinates they turn.
const IMAGES: [(&str, [bool; 2]); 3] =
    [("left to right", [true, false]), ("top to bottom", [false, true]), ("both ways", [true, true])];

/// The mirror images of `best` where all its feet fit.
pub(super) fn mirrored(bench: &Bench, best: &Arrangement) -> Vec<Mirrored> {
    let (width, height) = bench.scene.panel.outline.bounding_box();
    let image = |turn: [bool; 2]| -> Vec<[f64; 2]> {
        let turned = |p: &[f64; 2]| {
            [if turn[0] { width - p[0] } else { p[0] }, if turn[1] { height - p[1] } else { p[1] }]
        };
        best.positions.iter().map(turned).collect()
    };
    let (names, images): (Vec<&str>, Vec<Vec<[f64; 2]>>) = (IMAGES.into_iter())
        .map(|(how, turn)| (how, image(turn)))
        .filter(|(_, image)| image.iter().all(|&place| bench.free(place)))
        .unzip();
    let arrangements = bench.arrangements(images);
    names.into_iter().zip(arrangements).map(|(how, arrangement)| Mirrored { how, arrangement }).collect()
}
