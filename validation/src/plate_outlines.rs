//! Natural frequencies of isotropic plates of other outlines than rectangles.
//!
//! λ = ω L² √(m/D) with L the radius, the larger half axis, the leg along x, half the long side of the L; ν = 0.3. A double
//! eigenvalue counts once, and the worse of the two computed ones is compared.

use crate::plates::isotropic;
use crate::{Problem, Row, Tolerance};
use EdgeCondition::{Clamped, Free, SimplySupported};
use panelwright_mesh::{Contour, Outline};
use panelwright_solver::plate::{Accuracy, Modes, PlateModel};
use panelwright_solver::scene::{EdgeCondition, Edges, Panel, Stretch};
use std::f64::consts::TAU;

#[derive(Clone, Copy)]
enum Shape {
    /// Half axis 1 m along x and 1 m over this ratio along y.
    Ellipse(f64),
    /// Right angle at the origin, legs of 1 m along x and y.
    Triangle,
    /// Square of 2 m without its upper right quarter.
    Corner,
}

struct Case {
    name: &'static str,
    shape: Shape,
    condition: EdgeCondition,
    values: [f64; 8],
    tolerance: f64,
}

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 4] = [
    Problem {
        name: "circular plate",
        source: "Roots of the Bessel determinants: A. W. Leissa, Vibration of Plates, NASA SP-160 (1969), ch. 2. Recomputed with \
                 30 digits.",
        rows: || CASES[..3].iter().flat_map(rows).collect(),
    },
    Problem {
        name: "elliptical plate",
        source: "K. Y. Lam, K. M. Liew & S. T. Chow, J. Sound Vib. 154 (1992) 261; B. Singh & S. Chakraverty, J. Sound Vib. 152 (1992) \
                 149. Values recomputed by a converged polynomial Ritz series.",
        rows: || CASES[3..7].iter().flat_map(rows).collect(),
    },
    Problem {
        name: "right-angled triangular plate",
        source: "Supported: exact, π² (m² + n²) with m > n. Others: A. W. Leissa & N. A. Jaber, Int. J. Mech. Sci. 34 (1992) 605; \
                 D. J. Gorman, Free Vibration Analysis of Rectangular Plates, 1982. Values recomputed by a polynomial Ritz series, \
                 good to about 7e-5.",
        rows: || CASES[7..].iter().flat_map(rows).chain(clamped_leg()).collect(),
    },
    Problem {
        name: "free L-shaped plate, its error falling with the size of the basis",
        source: "No table relied on: conforming finite elements graded to the corner and extrapolated, good to 1e-5. The re-entrant \
                 corner makes every series converge algebraically, so three bases are shown with the error each may have.",
        rows: corner_rows,
    },
];

fn rows(case: &Case) -> Vec<Row> {
    let panel = panel(case.shape, Edges::all(case.condition));
    compared(
        (PlateModel::Thin, &panel),
        case.name,
        &format!("{:?}", case.condition),
        &case.values,
        6.0,
        case.tolerance,
    )
}

/// Clamped along the leg on the y axis, the third side of the triangle.
fn clamped_leg() -> Vec<Row> {
    let from = 1.0 + 2f64.sqrt();
    let leg = Stretch { contour: 0, from, to: from + 1.0, condition: Clamped };
    let panel = panel(Shape::Triangle, Edges { elsewhere: Free, stretches: vec![leg] });
    let expected = [
        6.162782336,
        23.4563952,
        32.65142548,
        56.14692997,
        76.41316171,
        99.29044689,
        111.8184735,
        134.2588315,
    ];
    compared((PlateModel::Thin, &panel), "right-angled triangle", "one leg clamped", &expected, 6.0, 1e-3)
}

fn corner_rows() -> Vec<Row> {
    let panel = panel(Shape::Corner, Edges::all(Free));
    let expected = [3.927216405, 4.250901342, 6.804995014, 8.403834023];
    // The smallest basis that a re-entrant outline gets holds 350 modes, 40 times λ4; the error falls slowly from there.
    [(40.0, 6e-3), (320.0, 5e-3), (640.0, 4e-3)]
        .into_iter()
        .flat_map(|(reach, tolerance)| {
            let basis = format!("basis to {reach} times λ4");
            compared((PlateModel::Thin, &panel), "L-shape", &basis, &expected, reach, tolerance)
        })
        .collect()
}

/// Eigenvalues beside the expected ones; the basis reaches `reach` times the highest.
pub(crate) fn compared(
    (model, panel): (PlateModel, &Panel),
    name: &str,
    how: &str,
    expected: &[f64],
    reach: f64,
    tolerance: f64,
) -> Vec<Row> {
    let highest = expected.iter().copied().fold(0.0, f64::max);
    let modes = Modes::solve_by(model, panel, reach * highest / TAU, Accuracy::REFERENCE);
    let modes = modes.expect("the unit plates are small");
    let elastic = modes.frequencies.iter().map(|f| TAU * f).filter(|&omega| omega > 0.0);
    (distinct(elastic).into_iter().zip(expected).enumerate())
        .map(|(i, (found, &expected))| {
            let worse = |a: f64, b: f64| if (a - expected).abs() > (b - expected).abs() { a } else { b };
            Row {
                quantity: format!("λ{} {name}, {how}", i + 1),
                computed: found.into_iter().fold(expected, worse),
                expected,
                tolerance: Tolerance::Relative(tolerance),
            }
        })
        .collect()
}

/// Groups of values closer than 1e-4, ascending.
fn distinct(values: impl Iterator<Item = f64>) -> Vec<Vec<f64>> {
    let mut groups: Vec<Vec<f64>> = vec![];
    for value in values {
        match groups.last_mut() {
            Some(group) if value < group[0] * (1.0 + 1e-4) => group.push(value),
            _ => groups.push(vec![value]),
        }
    }
    groups
}

/// A disc of radius 1 m.
pub(crate) fn disc(edges: Edges) -> Panel {
    panel(Shape::Ellipse(1.0), edges)
}

fn panel(shape: Shape, edges: Edges) -> Panel {
    let polygon = |points: &[[f64; 2]]| {
        Outline::of_contours(Contour::polygon(points), vec![]).expect("a sound polygon")
    };
    let outline = match shape {
        Shape::Ellipse(ratio) => Outline::Ellipse { width: 2.0, height: 2.0 / ratio },
        Shape::Triangle => polygon(&[[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]),
        Shape::Corner => polygon(&[[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]]),
    };
    Panel { outline, ..isotropic(1.0, 0.3, edges) }
}

const CASES: [Case; 10] = [
    Case {
        name: "disc",
        shape: Shape::Ellipse(1.0),
        condition: Clamped,
        values: [
            10.21582623,
            21.26039769,
            34.87703542,
            39.77114824,
            51.03003548,
            60.82867182,
            69.6658307,
            84.58264955,
        ],
        tolerance: 1e-6,
    },
    Case {
        name: "disc",
        shape: Shape::Ellipse(1.0),
        condition: Free,
        values: [
            5.358329788,
            9.00313735,
            12.43898817,
            20.47455011,
            21.8351627,
            33.49493159,
            35.26010832,
            38.44319824,
        ],
        tolerance: 3e-5,
    },
    Case {
        name: "disc",
        shape: Shape::Ellipse(1.0),
        condition: SimplySupported,
        values: [
            4.935149043,
            13.89816507,
            25.61329672,
            29.72000473,
            39.95731412,
            48.47892818,
            56.84160022,
            70.11703844,
        ],
        tolerance: 1e-6,
    },
    Case {
        name: "ellipse a/b = 2",
        shape: Shape::Ellipse(2.0),
        condition: Clamped,
        values: [
            27.37743902,
            39.49743184,
            55.97567379,
            69.85798711,
            76.99510422,
            88.04737452,
            102.6458259,
            109.9388507,
        ],
        tolerance: 1e-5,
    },
    Case {
        name: "ellipse a/b = 1.5",
        shape: Shape::Ellipse(1.5),
        condition: Clamped,
        values: [
            17.12949176,
            28.47177661,
            41.48692074,
            44.38963171,
            57.03449499,
            64.83157417,
            76.45771135,
            77.35450179,
        ],
        tolerance: 1e-5,
    },
    Case {
        name: "ellipse a/b = 1.5",
        shape: Shape::Ellipse(1.5),
        condition: Free,
        values: [
            6.476697813,
            7.986130605,
            16.07156268,
            16.50900195,
            17.54915543,
            29.00618788,
            29.2572166,
            30.33559499,
        ],
        tolerance: 1e-5,
    },
    Case {
        name: "ellipse a/b = 2",
        shape: Shape::Ellipse(2.0),
        condition: SimplySupported,
        values: [
            13.21345007,
            23.64099252,
            38.32558906,
            46.15039846,
            57.48181186,
            62.76400379,
            81.18979813,
            83.01327128,
        ],
        tolerance: 1e-5,
    },
    Case {
        name: "right-angled triangle",
        shape: Shape::Triangle,
        condition: Free,
        values: [
            19.06797066,
            29.12289298,
            45.39711172,
            49.47464722,
            72.34876419,
            84.05180134,
            99.93765593,
            123.4738193,
        ],
        tolerance: 1e-4,
    },
    Case {
        name: "right-angled triangle",
        shape: Shape::Triangle,
        condition: Clamped,
        values: [
            93.78917645,
            157.7863244,
            194.7653218,
            242.7963704,
            277.6705121,
            335.7654314,
            347.4019902,
            382.0100914,
        ],
        tolerance: 1e-4,
    },
    Case {
        name: "right-angled triangle",
        shape: Shape::Triangle,
        condition: SimplySupported,
        values: [
            49.34802201,
            98.69604401,
            128.3048572,
            167.7832748,
            197.392088,
            246.74011,
            256.6097144,
            286.2185276,
        ],
        tolerance: 1e-4,
    },
];
