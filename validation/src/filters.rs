//! Crossover filters and equaliser bands against an independent computation.

use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_solver::filters::Chain;
use panelwright_solver::scene::{Alignment, BandShape, EqualiserBand, Filters, PassFilter, Realisation};

const RECOMPUTED: &str = include_str!("../recompute/filters.csv");

/// Filters and bands, analogue and digital.
pub fn problem() -> Problem {
    Problem {
        name: "crossover filters of orders 1 to 8 and equaliser bands, analogue and at 48 kHz",
        source: "Recomputed with scipy (recompute/filters.py): its own poles, bilinear transform and evaluation. S. Butterworth, Wireless \
                 Engineer 7 (1930) 536; W. E. Thomson, Proc. IEE 96 III (1949) 487; S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2",
        rows,
    }
}

/// One line of the file.
struct Line<'a> {
    kind: &'a str,
    /// Order, corner [Hz], gain [dB], quality factor, sample rate [Hz].
    figures: [f64; 5],
    frequency: f64,
    response: Complex64,
    delay: Option<f64>,
}

fn line(text: &str) -> Line<'_> {
    let fields: Vec<&str> = text.split(',').collect();
    let number = |i: usize| fields[i].parse::<f64>().ok();
    let needed = |i: usize| number(i).expect("a number in each column but the last");
    Line {
        kind: fields[0],
        figures: [1, 2, 3, 4, 5].map(needed),
        frequency: needed(6),
        response: Complex64::new(needed(7), needed(8)),
        delay: number(9),
    }
}

fn filters(line: &Line) -> Filters {
    let [order, corner, gain_db, q, sample_rate] = line.figures;
    let made = match sample_rate > 0.0 {
        true => Realisation::Digital { sample_rate, biquads: vec![] },
        false => Realisation::Analogue,
    };
    let shape = match line.kind {
        "peaking" => BandShape::Peaking { gain_db, q },
        "low-shelf" => BandShape::LowShelf { gain_db, q },
        "high-shelf" => BandShape::HighShelf { gain_db, q },
        "notch" => BandShape::Notch { q },
        "all-pass" => BandShape::AllPass { q },
        pass => return passing(pass, order as usize, corner, made),
    };
    Filters { made, equaliser: vec![EqualiserBand { frequency: corner, shape }], ..Filters::default() }
}

fn passing(kind: &str, order: usize, corner: f64, made: Realisation) -> Filters {
    let alignment = match kind.rsplit_once('-').map(|(name, _)| name) {
        Some("butterworth") => Alignment::Butterworth,
        Some("bessel") => Alignment::Bessel,
        _ => Alignment::LinkwitzRiley,
    };
    let pass = Some(PassFilter { alignment, order, corner });
    match kind.ends_with("high") {
        true => Filters { made, high_pass: pass, ..Filters::default() },
        false => Filters { made, low_pass: pass, ..Filters::default() },
    }
}

/// For each filter how far the response is off at worst over its frequencies, relative, and of digital ones the group delay.
fn rows() -> Vec<Row> {
    let lines: Vec<Line> = RECOMPUTED.lines().skip(1).map(line).collect();
    lines.chunk_by(|a, b| (a.kind, a.figures) == (b.kind, b.figures)).flat_map(of_one_filter).collect()
}

fn of_one_filter(lines: &[Line]) -> Vec<Row> {
    let [order, .., sample_rate] = lines[0].figures;
    let chain = Chain::new(&filters(&lines[0]));
    let name = format!("{} {order}{}", lines[0].kind, if sample_rate > 0.0 { ", digital" } else { "" });
    let worst = |deviations: &mut dyn Iterator<Item = f64>| deviations.fold(0.0, f64::max);
    let row = |what: &str, computed: f64| Row {
        quantity: format!("{name}: {what} off by at most"),
        computed,
        expected: 0.0,
        tolerance: Tolerance::Absolute(1e-9),
    };
    let response = |line: &Line| (chain.response(line.frequency) / line.response - 1.0).norm();
    let delay = |line: &Line| Some((chain.group_delay(line.frequency) / line.delay? - 1.0).abs());
    let mut rows = vec![row("response", worst(&mut lines.iter().map(response)))];
    if lines.iter().any(|line| line.delay.is_some()) {
        rows.push(row("group delay", worst(&mut lines.iter().filter_map(delay))));
    }
    rows
}
