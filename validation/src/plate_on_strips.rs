//! Natural frequencies of thin isotropic plates on elastic edges.
//!
//! λ = ω a² √(ρh/D), ν = 0.3; all four edges on springs against deflection, K* = K a³/D, and against rotation, R* = R a/D.

use crate::plates::{elastic_eigenvalues, isotropic};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::scene::{EdgeCondition, Edges, Strip};

struct Case {
    aspect: f64,
    stiffness: f64,
    rotational: f64,
    values: [f64; 10],
}

/// The problem of this file.
pub(crate) const PROBLEM: Problem = Problem {
    name: "plate on elastic edges",
    source: "Class of P. A. A. Laura & R. O. Grossi (1981) and W. L. Li et al., J. Sound Vib. 321 (2009) 254–269. Recomputed by a \
             converged polynomial Ritz series, checked by bicubic Hermite finite elements (not the case with rotational springs).",
    rows: || CASES.iter().flat_map(rows).collect(),
};

fn rows(case: &Case) -> Vec<Row> {
    // D = 1 N·m and a = 1 m: the starred values are the SI ones.
    let strip = Strip { stiffness: case.stiffness, rotational: case.rotational, loss_factor: 0.0 };
    let panel = isotropic(case.aspect, 0.3, Edges::all(EdgeCondition::Strip(strip)));
    (elastic_eigenvalues(&panel, &case.values, 8.0).into_iter().zip(case.values).enumerate())
        .map(|(i, (computed, expected))| Row {
            quantity: format!(
                "λ{} a/b = {}, K* = {}, R* = {}",
                i + 1,
                case.aspect,
                case.stiffness,
                case.rotational
            ),
            computed,
            expected,
            tolerance: Tolerance::Relative(1e-5),
        })
        .collect()
}

const CASES: [Case; 5] = [
    Case {
        aspect: 1.0,
        stiffness: 10.0,
        rotational: 0.0,
        values: [
            5.927821404,
            8.812584574,
            8.812584574,
            17.01334074,
            22.09920826,
            26.30306849,
            36.58037384,
            36.58037393,
            61.94774539,
            61.94774544,
        ],
    },
    Case {
        aspect: 1.0,
        stiffness: 100.0,
        rotational: 0.0,
        values: [
            13.00484805,
            24.66283007,
            24.66283007,
            33.54336566,
            37.0024514,
            40.84965038,
            49.51598637,
            49.51598637,
            69.56554373,
            69.56554378,
        ],
    },
    Case {
        aspect: 1.0,
        stiffness: 1000.0,
        rotational: 0.0,
        values: [
            18.11741079,
            42.96772188,
            42.96772188,
            63.10207332,
            77.5478594,
            78.99543879,
            93.86722063,
            93.86722067,
            116.8504121,
            116.8504121,
        ],
    },
    Case {
        aspect: 1.5,
        stiffness: 50.0,
        rotational: 0.0,
        values: [
            13.51716716,
            20.08355178,
            22.82720879,
            32.21141531,
            32.63105906,
            53.84751735,
            56.73509879,
            63.39162477,
            72.31832329,
            90.43268833,
        ],
    },
    Case {
        aspect: 1.5,
        stiffness: 100.0,
        rotational: 10.0,
        values: [
            19.61113517,
            27.29077563,
            34.03910324,
            43.13572459,
            45.00982122,
            65.08844365,
            80.16314131,
            83.35951151,
            91.02803633,
            105.6127028,
        ],
    },
];
