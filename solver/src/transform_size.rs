//! Lengths that fast Fourier transforms like.

/// Smallest product of 2, 3 and 5 that is at least `minimum`.
pub(crate) fn transform_size(minimum: usize) -> usize {
    let is_good = |&n: &usize| {
        let mut rest = n;
        for factor in [2, 3, 5] {
            while rest.is_multiple_of(factor) {
                rest /= factor;
            }
        }
        rest == 1
    };
    (minimum..).find(is_good).unwrap_or(minimum)
}
