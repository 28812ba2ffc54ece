//! Butterworth poles.

use std::f64::consts::PI;

/// The factors of `Π (p − p_k)` with `p_k = exp(jπ (2k + n − 1) / 2n)`, k = 1 … n: pairs `1 + 2 sin(π (2k − 1) / 2n) p + p²`, and `1 + p`
/// for an odd order n. Ascending powers of p; |H| = 1/√2 at |p| = 1.
///
/// Source: S. Butterworth, Wireless Engineer 7 (1930) 536–541; poles as in any text on filters.
pub(super) fn factors(order: usize) -> Vec<[f64; 3]> {
    let angle = |k: usize| PI * (2 * k - 1) as f64 / (2 * order) as f64;
    let pairs = (1..=order / 2).map(|k| [1.0, 2.0 * angle(k).sin(), 1.0]);
    let single = (order % 2 == 1).then_some([1.0, 1.0, 0.0]);
    pairs.chain(single).collect()
}

/// The factors of a Linkwitz–Riley filter: those of a Butterworth of half the `order` twice; `1 + p` twice is one section.
///
/// Source: S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2–8.
pub(super) fn squared(order: usize) -> Vec<[f64; 3]> {
    let once = factors(order / 2);
    let twice = |factor: &[f64; 3]| match factor[2] == 0.0 {
        true => vec![[1.0, 2.0, 1.0]],
        false => vec![*factor; 2],
    };
    once.iter().flat_map(twice).collect()
}
