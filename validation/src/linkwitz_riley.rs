//! Linkwitz–Riley and Butterworth pairs: published levels, and sums that are flat.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::filters::Chain;
use panelwright_solver::scene::{Alignment, Filters, PassFilter};

const CORNER: f64 = 2000.0;
const RATIOS: [f64; 5] = [0.25, 0.5, 1.0, 2.0, 4.0];
/// Level of the low-pass of order 4 [dB], closed form `−20 log10(1 + x⁴)`.
const LEVELS: [f64; 5] = [-0.03386316039, -0.5265787744, -6.020599913, -24.60897843, -48.19866247];
/// Phase of the sum of order 4 [°], that of the all-pass (s² − √2 s + 1) / (s² + √2 s + 1).
const PHASES: [f64; 5] = [-41.32528801, -86.62771332, -180.0, -273.3722867, -318.674712];

/// Pairs of filters at one corner.
pub fn problem() -> Problem {
    Problem {
        name: "Linkwitz-Riley and Butterworth pairs",
        source: "S. H. Linkwitz, Active crossover networks for noncoincident drivers, J. Audio Eng. Soc. 24 (1976) 2-8; closed forms",
        rows,
    }
}

fn pair(alignment: Alignment, order: usize) -> [Chain; 2] {
    let pass = Some(PassFilter { alignment, order, corner: CORNER });
    let low = Filters { low_pass: pass, ..Filters::default() };
    let high = Filters { high_pass: pass, ..Filters::default() };
    [Chain::new(&low), Chain::new(&high)]
}

fn row(quantity: String, computed: f64, expected: f64, tolerance: f64) -> Row {
    Row { quantity, computed, expected, tolerance: Tolerance::Absolute(tolerance) }
}

fn rows() -> Vec<Row> {
    let mut rows = order_four();
    rows.extend(order_two());
    rows.extend([2, 4, 6, 8].map(linkwitz_riley_sum));
    rows.extend((1..=8).map(butterworth_power));
    rows.extend([1, 3, 5, 7].map(butterworth_sum));
    rows
}

fn order_four() -> Vec<Row> {
    let [low, high] = pair(Alignment::LinkwitzRiley, 4);
    let level = |(x, expected): (f64, f64)| {
        let computed = 20.0 * low.response(CORNER * x).norm().log10();
        row(format!("order 4: low-pass at {x} f_c [dB]"), computed, expected, 5e-9)
    };
    let phase = |(x, expected): (f64, f64)| {
        let sum = low.response(CORNER * x) + high.response(CORNER * x);
        // The sum turns from 0 to −360°: half a turn taken off before, added after, keeps −180° away from the jump of the argument.
        let computed = (-sum).arg().to_degrees() - 180.0;
        row(format!("order 4: phase of the sum at {x} f_c [°]"), computed, expected, 5e-7)
    };
    let levels = RATIOS.into_iter().zip(LEVELS).map(level);
    levels.chain(RATIOS.into_iter().zip(PHASES).map(phase)).collect()
}

fn order_two() -> Vec<Row> {
    let [low, high] = pair(Alignment::LinkwitzRiley, 2);
    let (low, high) = (low.response(CORNER), high.response(CORNER));
    vec![
        row("order 2: low-pass at f_c [dB]".into(), 20.0 * low.norm().log10(), -6.020599913, 5e-10),
        row("order 2: both at f_c, one reversed".into(), (low - high).norm(), 1.0, 1e-12),
        row("order 2: both at f_c, none reversed".into(), (low + high).norm(), 0.0, 1e-12),
    ]
}

/// Six decades about the corner.
fn frequencies() -> impl Iterator<Item = f64> {
    (-60..=60).map(|i| CORNER * 10f64.powf(f64::from(i) / 20.0))
}

/// The value of `of` that lies furthest from 0.
fn furthest(of: impl Fn(f64) -> f64) -> f64 {
    frequencies().map(of).fold(0.0, |worst: f64, value| if value.abs() > worst.abs() { value } else { worst })
}

fn linkwitz_riley_sum(order: usize) -> Row {
    let [low, high] = pair(Alignment::LinkwitzRiley, order);
    let sign = if order % 4 == 2 { -1.0 } else { 1.0 };
    let level = |f: f64| 20.0 * (low.response(f) + sign * high.response(f)).norm().log10();
    row(format!("Linkwitz-Riley {order}: sum, furthest from 0 dB"), furthest(level), 0.0, 1e-10)
}

fn butterworth_power(order: usize) -> Row {
    let [low, high] = pair(Alignment::Butterworth, order);
    let level = |f: f64| 10.0 * (low.response(f).norm_sqr() + high.response(f).norm_sqr()).log10();
    row(format!("Butterworth {order}: power of both, furthest from 0 dB"), furthest(level), 0.0, 1e-10)
}

fn butterworth_sum(order: usize) -> Row {
    let [low, high] = pair(Alignment::Butterworth, order);
    let level = |f: f64| 20.0 * (low.response(f) + high.response(f)).norm().log10();
    row(format!("Butterworth {order}: sum, furthest from 0 dB"), furthest(level), 0.0, 1e-10)
}
