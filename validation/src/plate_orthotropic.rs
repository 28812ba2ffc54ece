//! Natural frequencies of orthotropic rectangular plates.
//!
//! Values are ω a² √(m/Dx). Stiffnesses relative to Dx: Dy, D1 = ν Dy (coupling), Dk = G h³/12 (twisting).

use crate::plates::{edges, elastic_eigenvalues, square_section};
use crate::{Problem, Row, Tolerance};

struct Case {
    edges: &'static str,
    aspect: f64,
    /// Dy, D1, Dk over Dx.
    stiffness: [f64; 3],
    values: [f64; 10],
    tolerance: f64,
}

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 2] = [
    Problem {
        name: "orthotropic plate, four simply supported sides",
        source: "ω = π² √([Dx m⁴/a⁴ + 2H m²n²/(a²b²) + Dy n⁴/b⁴]/m), H = D1 + 2 Dk: A. W. Leissa, Vibration of Plates, NASA SP-160 \
                 (1969), ch. 9, after Hearmon. Recomputed in closed form.",
        rows: || NAVIER.iter().flat_map(rows).collect(),
    },
    Problem {
        name: "orthotropic plate, free or clamped all round",
        source: "Theory: A. W. Leissa, Vibration of Plates, NASA SP-160 (1969), ch. 9; no table relied on. Recomputed by a converged \
                 polynomial Ritz series, checked by bicubic Hermite finite elements.",
        rows: || ALL_ALIKE.iter().flat_map(rows).collect(),
    },
];

fn rows(case: &Case) -> Vec<Row> {
    let [dy, d1, dk] = case.stiffness;
    let panel = square_section(case.aspect, [1.0, dy, d1, dk], edges(case.edges, case.aspect));
    let computed = elastic_eigenvalues(&panel, &case.values, 8.0);
    (computed.into_iter().zip(case.values).enumerate())
        .map(|(i, (computed, expected))| Row {
            quantity: format!("λ{} {}, a/b = {}, Dy/Dx = {dy}", i + 1, case.edges, case.aspect),
            computed,
            expected,
            tolerance: Tolerance::Relative(case.tolerance),
        })
        .collect()
}

const NAVIER: [Case; 2] = [
    Case {
        edges: "SSSS",
        aspect: 1.0,
        stiffness: [0.1, 0.03, 0.08],
        values: [
            12.00689197,
            20.03310897,
            34.9222253,
            41.42883276,
            48.02756787,
            56.42099871,
            60.66395519,
            80.13243589,
            84.32593697,
            90.73597067,
        ],
        tolerance: 1e-9,
    },
    Case {
        edges: "SSSS",
        aspect: 1.5,
        stiffness: [0.5, 0.1, 0.15],
        values: [
            22.78842286,
            50.06453509,
            68.87541458,
            91.15369145,
            98.56333198,
            134.7119655,
            147.1303642,
            166.8609069,
            167.2981646,
            200.2581404,
        ],
        tolerance: 1e-9,
    },
];

const ALL_ALIKE: [Case; 3] = [
    Case {
        edges: "FFFF",
        aspect: 1.0,
        stiffness: [0.1, 0.03, 0.08],
        values: [
            6.424319446,
            7.046162046,
            14.85027083,
            19.41951669,
            22.34610354,
            25.83028066,
            27.53888077,
            35.06744719,
            38.25357877,
            45.92447754,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "FFFF",
        aspect: 1.5,
        stiffness: [0.5, 0.1, 0.15],
        values: [
            13.37477745,
            22.12035871,
            35.04119183,
            35.59271199,
            44.33735923,
            61.622765,
            69.10332955,
            73.28817733,
            97.82103593,
            105.8890201,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "CCCC",
        aspect: 1.0,
        stiffness: [0.1, 0.03, 0.08],
        values: [
            24.62830534,
            33.04412067,
            49.13574556,
            63.68710634,
            70.46547549,
            72.60609868,
            83.47253476,
            102.9376116,
            103.6935334,
            122.8445239,
        ],
        tolerance: 1e-6,
    },
];
