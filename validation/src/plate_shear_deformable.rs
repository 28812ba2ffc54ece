//! Natural frequencies of shear-deformable isotropic square plates with rotary inertia.
//!
//! λ* = (ω b²/π²) √(ρh/D), ν = 0.3, shear factor κ, rotary inertia ρh³/12; edge letters as in `plate_isotropic`. Simply supported
//! means the hard kind: nothing turns along the edge.

use crate::plates::{edges, elastic_eigenvalues_by, isotropic};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::plate::{Accuracy, Modes, PlateModel};
use panelwright_solver::scene::{Panel, PlateSection};
use std::f64::consts::PI;

struct Case {
    edges: &'static str,
    thickness: f64,
    shear_factor: f64,
    values: &'static [f64],
}

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 3] = [
    Problem {
        name: "thick plate, hard simple supports",
        source: "R. D. Mindlin, A. Schacknow & H. Deresiewicz, J. Appl. Mech. 23 (1956) 430–436; K. M. Liew, Y. Xiang & S. Kitipornchai, \
                 Comput. Struct. 49 (1993) 1–29; S. H. Hashemi & M. Arsanjani, Int. J. Solids Struct. 42 (2005) 819–853. Recomputed in \
                 closed form (bending branch).",
        rows: || rows(&SUPPORTED, 1e-6),
    },
    Problem {
        name: "thick plate, clamped, free and cantilevered",
        source: "K. M. Liew, Y. Xiang & S. Kitipornchai, Comput. Struct. 49 (1993) 1–29 (κ = 5/6); D. J. Dawe & O. L. Roufaeil, J. Sound \
                 Vib. 69 (1980) 345–359 (κ = 0.8601). Recomputed by a converged polynomial Ritz series, checked by finite elements of \
                 order 4.",
        rows: || rows(&HELD, 5e-5),
    },
    Problem {
        name: "thick plate, order of convergence",
        source: "No table: the observed order of the error of λ*1 against the finest basis, in half waves per side. Five \
                 and a half was found when this row was written; another order means another basis.",
        rows: || ["CCCC", "FFFF"].into_iter().map(order_row).collect(),
    },
];

/// The order between 8 and 27 half waves per side, h/b = 0.1.
fn order_row(edges: &'static str) -> Row {
    let panel = thick(&Case { edges, thickness: 0.1, shear_factor: 5.0 / 6.0, values: &[] });
    let first = |margin: f64| {
        let accuracy = Accuracy { margin, ..Accuracy::REFERENCE };
        let modes = Modes::solve_by(PlateModel::ShearDeformable, &panel, 6.5, accuracy);
        let found = modes.expect("the unit plates are small");
        found.frequencies.iter().copied().find(|&f| f > 0.0).expect("an elastic mode lies below")
    };
    let exact = first(48.0);
    let [coarse, fine] = [6.0, 24.0].map(|margin| first(margin) / exact - 1.0);
    // About two and a half half waves of its own come on top of the margin.
    Row {
        quantity: format!("order of the error of λ*1, {edges}, h/b = 0.1"),
        computed: (coarse / fine).ln() / (26.5f64 / 8.5).ln(),
        expected: 5.5,
        tolerance: Tolerance::Absolute(1.5),
    }
}

fn rows(cases: &[Case], tolerance: f64) -> Vec<Row> {
    cases.iter().flat_map(|case| case_rows(case, tolerance)).collect()
}

/// b = 1 m, D = 1 N·m, 1 kg/m².
fn thick(case: &Case) -> Panel {
    let panel = isotropic(1.0, 0.3, edges(case.edges, 1.0));
    let h = case.thickness;
    // S = κ G h with G = E/2(1+ν) and E = 12 (1−ν²) D/h³.
    let shear = case.shear_factor * 6.0 * (1.0 - 0.3) / (h * h);
    let section =
        PlateSection { thickness: h, shear: Some([shear; 2]), rotary_inertia: h * h / 12.0, ..panel.section };
    Panel { section, ..panel }
}

fn case_rows(case: &Case, tolerance: f64) -> Vec<Row> {
    let expected: Vec<f64> = case.values.iter().map(|value| value * PI * PI).collect();
    let computed = elastic_eigenvalues_by(PlateModel::ShearDeformable, &thick(case), &expected, 4.0);
    (computed.into_iter().zip(case.values).enumerate())
        .map(|(i, (computed, &expected))| Row {
            quantity: format!(
                "λ*{} {}, h/b = {}, κ = {:.4}",
                i + 1,
                case.edges,
                case.thickness,
                case.shear_factor
            ),
            computed: computed / (PI * PI),
            expected,
            tolerance: Tolerance::Relative(tolerance),
        })
        .collect()
}

const SUPPORTED: [Case; 2] = [
    Case {
        edges: "SSSS",
        thickness: 0.1,
        shear_factor: 5.0 / 6.0,
        values: &[
            1.93168504,
            4.608358963,
            4.608358963,
            7.071647661,
            8.616152163,
            8.616152163,
            10.80931134,
            10.80931134,
            13.53866638,
            13.53866638,
        ],
    },
    Case {
        edges: "SSSS",
        thickness: 0.2,
        shear_factor: 5.0 / 6.0,
        values: &[
            1.767911915,
            3.865622666,
            3.865622666,
            5.587871104,
            6.600596893,
            6.600596893,
            7.973671547,
            7.973671547,
            9.601786279,
            9.601786279,
        ],
    },
];

const HELD: [Case; 6] = [
    Case {
        edges: "CCCC",
        thickness: 0.1,
        shear_factor: 5.0 / 6.0,
        values: &[
            3.295398055,
            6.285821241,
            6.285821241,
            8.809770706,
            10.37877319,
            10.47782742,
            12.55290122,
            12.55290122,
        ],
    },
    Case {
        edges: "CCCC",
        thickness: 0.2,
        shear_factor: 5.0 / 6.0,
        values: &[
            2.687452776,
            4.690727806,
            4.690727806,
            6.298489491,
            7.176682292,
            7.275906527,
            8.51543854,
            8.51543854,
        ],
    },
    Case {
        edges: "FFFF",
        thickness: 0.1,
        shear_factor: 5.0 / 6.0,
        values: &[
            1.288695731,
            1.91936857,
            2.363265338,
            3.234337985,
            3.234337985,
            5.608214586,
            5.608214586,
            5.644812136,
        ],
    },
    Case {
        edges: "FFFF",
        thickness: 0.2,
        shear_factor: 5.0 / 6.0,
        values: &[
            1.18557368,
            1.763013219,
            2.147360178,
            2.793778042,
            2.793778042,
            4.570042012,
            4.582997399,
            4.582997399,
        ],
    },
    Case {
        edges: "CFFF",
        thickness: 0.1,
        shear_factor: 5.0 / 6.0,
        values: &[
            0.3475968433,
            0.8166756427,
            2.035417255,
            2.583608726,
            2.861722833,
            4.81581905,
            5.483053524,
            5.776709565,
        ],
    },
    Case {
        edges: "CCCC",
        thickness: 0.1,
        shear_factor: 0.8601,
        values: &[
            3.303743621,
            6.310206948,
            6.310206948,
            8.850962728,
            10.43368498,
            10.53250914,
            12.62459196,
            12.62459196,
        ],
    },
];
