//! A flat piston in a closed box against a general boundary-element library.

use crate::baffled::air;
use crate::bodies::{QUARTER, direction, level, of_diaphragm, part};
use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_mesh::shapes::{Piston, Slab};
use panelwright_solver::boundary::Body;
use std::f64::consts::PI;

/// Written by `validation/recompute/piston_in_box.py`: side of its triangles, their number, k, distance, angle, and the pressure over
/// that of a point source of the same volume velocity in the middle of the piston.
const RECOMPUTED: &str = include_str!("../recompute/piston_in_box.csv");

/// Level and phase on the axis and at 45°.
pub fn problem() -> Problem {
    Problem {
        name: "piston in a box",
        source: "recomputed with bempp-cl 0.4.2 (linear elements, plane triangles, double precision) by \
                 validation/recompute/piston_in_box.py on two meshes; the finer one is compared, and the distance of the two printed",
        rows,
    }
}

/// One line of the file.
struct Line {
    triangles: f64,
    k: f64,
    distance: f64,
    angle: f64,
    ratio: Complex64,
}

fn lines() -> Vec<Line> {
    let line = |text: &str| {
        let values: Vec<f64> = text.split(',').map(|value| value.parse().expect("a number")).collect();
        let ratio = Complex64::new(values[5], values[6]);
        Line { triangles: values[1], k: values[2], distance: values[3], angle: values[4], ratio }
    };
    RECOMPUTED.lines().skip(1).map(line).collect()
}

/// 60 × 60 × 40 mm, a piston of 20 mm radius in a large face; elements of 5 mm.
fn body() -> Body {
    let piston = Piston { radius: 0.020, centre: [0.0; 2], ring: None };
    let outline = Outline::Rectangle { width: 0.060, height: 0.060 };
    let slab = Slab { piston: Some(piston), ..Slab::plain(outline, 0.040) };
    part(&slab.meshed(0.005).expect("a box"), QUARTER, slab.onto(0.005))
}

fn rows() -> Vec<Row> {
    let body = body();
    let lines = lines();
    let (coarse, fine) = lines.split_at(lines.len() / 2);
    assert!(coarse[0].triangles < fine[0].triangles, "the finer mesh comes last");
    coarse.iter().zip(fine).flat_map(|(coarse, fine)| compared(&body, coarse, fine)).collect()
}

fn compared(body: &Body, coarse: &Line, fine: &Line) -> [Row; 3] {
    let Line { k, distance, angle, ratio, .. } = *fine;
    let pressure = of_diaphragm(body, k).at(&[distance * direction(angle)])[0].pressure;
    let flow = PI * 0.020 * 0.020;
    let source = Complex64::new(0.0, k * air().impedance() * flow) * Complex64::cis(-k * distance)
        / (4.0 * PI * distance);
    let ours = pressure / source;
    let row = |quantity: &str, computed, expected, tolerance| Row {
        quantity: format!("{quantity}, k = {k:.1}/m, {distance} m, {angle}°"),
        computed,
        expected,
        tolerance: Tolerance::Absolute(tolerance),
    };
    [
        row("level [dB]", level(ours.norm()), level(ratio.norm()), 0.1),
        row("phase difference [°]", (ours / ratio).arg().to_degrees(), 0.0, 1.0),
        row("recomputed: coarse mesh [dB]", level(coarse.ratio.norm()), level(ratio.norm()), 0.1),
    ]
}
