//! The binary form.

use super::{FARTHEST, Facet, MOST_FACETS, StlFault, normal};
use crate::Surface;

const HEADER: usize = 80;
const FACET: usize = 50;
/// Header of what is written; must not start with "solid".
const TITLE: &[u8] = b"binary STL; corners run counter-clockwise seen from outside";

/// The number of facets that the header says, if there is one.
pub fn count(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEADER..HEADER + 4)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

/// Length in bytes of a file with `count` facets.
pub fn length(count: u32) -> u64 {
    (HEADER + 4) as u64 + FACET as u64 * u64::from(count)
}

/// The count, if it is one that is read.
pub fn accepted(count: u32) -> Result<usize, StlFault> {
    let count = count as usize;
    if count > MOST_FACETS { Err(StlFault::TooMany { count }) } else { Ok(count) }
}

/// False when the first facet is there and holds what no exporter writes: then the file is something else altogether.
pub fn plausible(bytes: &[u8]) -> bool {
    let number = |value: &f32| value.is_finite() && (*value == 0.0 || (1e-20..1e20).contains(&value.abs()));
    bytes.get(HEADER + 4..HEADER + 4 + FACET).is_none_or(|facet| numbers(facet).iter().all(number))
}

/// Why a file whose header says `count` facets has another length.
pub fn wrong_length(bytes: &[u8], count: u32) -> StlFault {
    let (expected, expected_bytes, found_bytes) = (count as usize, length(count), bytes.len() as u64);
    if expected_bytes < found_bytes {
        return StlFault::TooLong { expected, expected_bytes, found_bytes };
    }
    let found = (bytes.len() - HEADER - 4) / FACET;
    StlFault::CutShort { expected, found, expected_bytes, found_bytes }
}

/// All facets of a file whose length fits its count.
pub fn facets(bytes: &[u8], count: usize, unit: f64) -> Result<Vec<Facet>, StlFault> {
    let facets = bytes[HEADER + 4..].chunks_exact(FACET).take(count);
    facets.enumerate().map(|(i, facet)| corners(facet, i + 1, unit)).collect()
}

fn corners(facet: &[u8], number: usize, unit: f64) -> Result<Facet, StlFault> {
    let numbers = numbers(facet).map(f64::from);
    let bad = numbers[3..].iter().find(|value| !value.is_finite() || (unit * **value).abs() > FARTHEST);
    if let Some(&value) = bad {
        return Err(StlFault::Coordinate { facet: number, line: None, value });
    }
    let corner = |i: usize| [0, 1, 2].map(|k| numbers[3 * i + k]);
    Ok(Facet { corners: [1, 2, 3].map(corner), solid: 0 })
}

/// The twelve numbers of a facet; those that are missing are 0.
fn numbers(facet: &[u8]) -> [f32; 12] {
    let mut numbers = [0.0; 12];
    for (number, bytes) in numbers.iter_mut().zip(facet.chunks_exact(4)) {
        *number = f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]);
    }
    numbers
}

/// Bytes of a file.
pub fn write(surface: &Surface, unit: f64) -> Vec<u8> {
    let count = surface.triangles.len();
    let mut bytes = Vec::with_capacity(HEADER + 4 + FACET * count);
    bytes.extend(TITLE);
    bytes.resize(HEADER, b' ');
    bytes.extend((count as u32).to_le_bytes());
    for triangle in 0..count {
        let corners = surface.corners(triangle).map(|corner| corner / unit);
        for value in [normal(surface, triangle)].iter().chain(&corners).flat_map(|vector| vector.iter()) {
            bytes.extend((*value as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}
