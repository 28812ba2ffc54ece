//! Products of a large matrix with a few vectors: bound by reading the matrix, which a general product would first copy into blocks.

use multiversion::multiversion;
use ndarray::{Array2, ArrayView2};

/// From so many vectors on a general product is faster.
const MANY: usize = 12;
/// Values summed side by side: enough for the processor to begin new sums while earlier ones are under way.
const LANES: usize = 64;

/// `matrix · vectorsᵀ`: (rows, length) and (vectors, length) → (rows, vectors).
pub(super) fn times(matrix: &Array2<f32>, vectors: ArrayView2<f32>) -> Array2<f32> {
    if vectors.nrows() >= MANY {
        return matrix.dot(&vectors.t());
    }
    let vectors = vectors.as_standard_layout();
    let rows = matrix.as_slice().expect("made in rows");
    let all = vectors.as_slice().expect("in rows now");
    let mut products = Array2::zeros((matrix.nrows(), vectors.nrows()));
    let length = matrix.ncols().max(1);
    for (row, mut sums) in rows.chunks_exact(length).zip(products.rows_mut()) {
        for (n, pair) in all.chunks(2 * length).enumerate() {
            let (one, other) = pair.split_at(length);
            let [first, second] = two_sums(row, [one, if other.is_empty() { one } else { other }]);
            sums[2 * n] = first;
            if !other.is_empty() {
                sums[2 * n + 1] = second;
            }
        }
    }
    products
}

/// `row · one` and `row · other`, in a fixed order.
#[multiversion(targets = "simd")]
fn two_sums(row: &[f32], [one, other]: [&[f32]; 2]) -> [f32; 2] {
    let (rows, left) = row.as_chunks::<LANES>();
    let ((ones, one_left), (others, other_left)) = (one.as_chunks::<LANES>(), other.as_chunks::<LANES>());
    let mut sums = [[0.0f32; LANES]; 2];
    for ((row, one), other) in rows.iter().zip(ones).zip(others) {
        let [by_one, by_other] = &mut sums;
        add_products(by_one, row, one);
        add_products(by_other, row, other);
    }
    let rest = |of: &[f32]| left.iter().zip(of).map(|(a, b)| a * b).sum::<f32>();
    [sums[0].iter().sum::<f32>() + rest(one_left), sums[1].iter().sum::<f32>() + rest(other_left)]
}

#[inline(always)]
fn add_products(sums: &mut [f32; LANES], row: &[f32; LANES], vector: &[f32; LANES]) {
    for ((sum, a), b) in sums.iter_mut().zip(row).zip(vector) {
        *sum += a * b;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Small whole numbers, which single precision adds exactly.
    #[test]
    fn products_are_those_of_the_matrix() {
        let value = |i: usize, j: usize| ((7 * i + 3 * j) % 11) as f32 - 5.0;
        for (rows, length, vectors) in
            [(5, 37, 1), (3, 64, 2), (4, 16, 3), (2, 15, 5), (3, 40, 13), (2, 3, 0)]
        {
            let matrix = Array2::from_shape_fn((rows, length), |(i, j)| value(i, j));
            let several = Array2::from_shape_fn((vectors, length), |(i, j)| value(j, i + 2));
            assert_eq!(times(&matrix, several.view()), matrix.dot(&several.t()), "{rows} {length} {vectors}");
        }
    }
}
