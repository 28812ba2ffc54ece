//! Products of a large matrix with a few vectors: bound by reading the matrix, which a general product would first copy into blocks.

use ndarray::{Array2, ArrayView2};

/// From so many vectors on a general product is faster.
const MANY: usize = 12;

/// `matrix · vectorsᵀ`: (rows, length) and (vectors, length) → (rows, vectors).
pub(super) fn times(matrix: &Array2<f32>, vectors: ArrayView2<f32>) -> Array2<f32> {
    if vectors.nrows() >= MANY {
        return matrix.dot(&vectors.t());
    }
    let mut products = Array2::zeros((matrix.nrows(), vectors.nrows()));
    for (mut column, vector) in products.columns_mut().into_iter().zip(vectors.rows()) {
        column.assign(&matrix.dot(&vector));
    }
    products
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
