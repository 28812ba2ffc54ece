//! Short Fourier sums over one axis.

use crate::sincos::cosine_sine;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use num_complex::Complex64;

const LANES: usize = 8;

/// `Σ_n strengths[n] · exp(+j 2π turns_per_metre · nodes[n])` for every entry of `turns_per_metre` [1/m].
pub(super) fn fourier_sums(
    nodes: &[f64],
    strengths: &[Complex64],
    turns_per_metre: &[f64],
) -> Vec<Complex64> {
    let padded = nodes.len().next_multiple_of(LANES);
    let mut x = nodes.to_vec();
    let mut re: Vec<f64> = strengths.iter().map(|q| q.re).collect();
    let mut im: Vec<f64> = strengths.iter().map(|q| q.im).collect();
    for values in [&mut x, &mut re, &mut im] {
        values.resize(padded, 0.0);
    }
    turns_per_metre
        .iter()
        .map(|&turns| {
            let [re, im] = fourier_sum(&x, &re, &im, turns);
            Complex64::new(re, im)
        })
        .collect()
}

#[multiversion(targets = "simd")]
fn fourier_sum(x: &[f64], re: &[f64], im: &[f64], turns_per_metre: f64) -> [f64; 2] {
    if target_cfg_f!(target_feature = "fma") {
        fourier_lanes::<true>(x, re, im, turns_per_metre)
    } else {
        fourier_lanes::<false>(x, re, im, turns_per_metre)
    }
}

#[inline(always)]
fn fourier_lanes<const FMA: bool>(x: &[f64], re: &[f64], im: &[f64], turns_per_metre: f64) -> [f64; 2] {
    let fused = |a: f64, b: f64, c: f64| if FMA { a.mul_add(b, c) } else { a * b + c };
    let (mut sum_re, mut sum_im) = ([0.0; LANES], [0.0; LANES]);
    let strengths = re.chunks_exact(LANES).zip(im.chunks_exact(LANES));
    for (x, (re, im)) in x.chunks_exact(LANES).zip(strengths) {
        let mut turns = [0.0; LANES];
        for lane in 0..LANES {
            turns[lane] = x[lane] * turns_per_metre;
        }
        let [cosine, sine] = cosine_sine::<FMA, LANES>(turns);
        for lane in 0..LANES {
            sum_re[lane] = fused(re[lane], cosine[lane], fused(-im[lane], sine[lane], sum_re[lane]));
            sum_im[lane] = fused(im[lane], cosine[lane], fused(re[lane], sine[lane], sum_im[lane]));
        }
    }
    [sum_re.iter().sum(), sum_im.iter().sum()]
}
