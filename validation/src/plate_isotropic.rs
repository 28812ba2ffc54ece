//! Natural frequencies of isotropic rectangular plates with classical edges.
//!
//! λ = ω a² √(ρh/D), a along x; edge letters in Leissa's order x = 0, y = 0, x = a, y = b (S simply supported, C clamped,
//! F free). Rigid-body modes are left out. The expected values are recomputed, not the printed tables: Leissa's own
//! 36-term Ritz values are upper bounds, up to 1 % high for free plates.

use crate::plates::{edges, elastic_eigenvalues, isotropic};
use crate::{Problem, Row, Tolerance};

struct Case {
    edges: &'static str,
    aspect: f64,
    poisson: f64,
    values: [f64; 10],
    tolerance: f64,
}

/// The problems of this file.
pub(crate) const PROBLEMS: [Problem; 4] = [
    Problem {
        name: "plate, four simply supported sides",
        source: "Navier: λ = π² (m² + n² (a/b)²); A. W. Leissa, The free vibration of rectangular plates, J. Sound Vib. 31 (1973) \
                 257–293. Recomputed in closed form.",
        rows: || rows(&NAVIER, 8.0),
    },
    Problem {
        name: "plate, two opposite sides simply supported",
        source: "Lévy's characteristic equations in A. W. Leissa, J. Sound Vib. 31 (1973) 257–293. Recomputed as roots of \
                 those equations (bracketing), checked by a Ritz series to 3e-10.",
        rows: || rows(&LEVY, 8.0),
    },
    Problem {
        name: "plate, all sides clamped or all free",
        source: "Cases of A. W. Leissa, J. Sound Vib. 31 (1973) 257–293; ν = 0.225 is W. Ritz, Ann. Phys. 333 (1909) 737–786. \
                 Recomputed by a converged polynomial Ritz series, checked by bicubic Hermite finite elements.",
        rows: || rows(&ALL_ALIKE, 8.0),
    },
    Problem {
        name: "plate, clamped and free sides meeting",
        source: "Cases of A. W. Leissa, J. Sound Vib. 31 (1973) 257–293. Recomputed by bicubic Hermite finite elements on meshes \
                 graded to the corners, extrapolated; a polynomial Ritz series agrees to 1e-5.",
        rows: || rows(&MIXED, 50.0),
    },
];

fn rows(cases: &[Case], reach: f64) -> Vec<Row> {
    cases.iter().flat_map(|case| case_rows(case, reach)).collect()
}

fn case_rows(case: &Case, reach: f64) -> Vec<Row> {
    let panel = isotropic(case.aspect, case.poisson, edges(case.edges, case.aspect));
    let computed = elastic_eigenvalues(&panel, &case.values, reach);
    (computed.into_iter().zip(case.values).enumerate())
        .map(|(i, (computed, expected))| Row {
            quantity: format!("λ{} {}, a/b = {}, ν = {}", i + 1, case.edges, case.aspect, case.poisson),
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
        poisson: 0.3,
        values: [
            19.7392088,
            49.34802201,
            49.34802201,
            78.95683521,
            98.69604401,
            98.69604401,
            128.3048572,
            128.3048572,
            167.7832748,
            167.7832748,
        ],
        tolerance: 1e-9,
    },
    Case {
        edges: "SSSS",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            32.0762143,
            61.68502751,
            98.69604401,
            111.0330495,
            128.3048572,
            177.6528792,
            180.1202803,
            209.7290935,
            239.3379067,
            246.74011,
        ],
        tolerance: 1e-9,
    },
];

const LEVY: [Case; 4] = [
    Case {
        edges: "SCSC",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            28.95085037,
            54.74307075,
            69.32701374,
            94.58527817,
            102.2161912,
            129.0955372,
            140.2045045,
            154.7757036,
            170.3464626,
            199.8105325,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "SCSC",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            56.34806481,
            78.98358264,
            123.1719092,
            146.2676972,
            170.1112122,
            189.1219419,
            212.8168759,
            276.0012037,
            276.0124955,
            280.1610642,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "SFSF",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            9.631384872,
            16.13477702,
            36.72564201,
            38.94495869,
            46.73814707,
            70.74010799,
            75.28338258,
            87.98669465,
            96.04050526,
            111.025379,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "SFSF",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            9.558175744,
            21.61919794,
            38.72140622,
            54.8443492,
            65.79221385,
            87.62615705,
            103.9665121,
            105.1608309,
            152.7784203,
            156.257668,
        ],
        tolerance: 1e-6,
    },
];

const ALL_ALIKE: [Case; 5] = [
    Case {
        edges: "CCCC",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            35.98519112,
            73.39384553,
            73.39384553,
            108.2165017,
            131.5807726,
            132.2047902,
            165.0004062,
            165.0004062,
            210.5218397,
            210.5218397,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "CCCC",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            60.7610986,
            93.83346741,
            148.7797191,
            149.6742279,
            179.5610824,
            226.8239569,
            232.0306719,
            281.9147546,
            306.1791685,
            311.9323003,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "FFFF",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            13.46819745,
            19.59613743,
            24.27020098,
            34.800891,
            34.800891,
            61.09323409,
            61.09323409,
            63.68613244,
            69.26540543,
            77.17169992,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "FFFF",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            20.09553578,
            21.41326396,
            46.34697362,
            49.90993873,
            57.71347507,
            67.02973774,
            85.85481538,
            98.83367423,
            120.0280517,
            135.1038571,
        ],
        tolerance: 1e-6,
    },
    Case {
        edges: "FFFF",
        aspect: 1.0,
        poisson: 0.225,
        values: [
            14.1160784,
            20.38682413,
            23.87793685,
            35.97681641,
            35.97681641,
            61.36935045,
            61.36935045,
            65.64491213,
            71.63071181,
            77.48221275,
        ],
        tolerance: 1e-6,
    },
];

/// Corner singularities make every method converge algebraically here; the references themselves are good to 3e-5.
const MIXED: [Case; 3] = [
    Case {
        edges: "CFFF",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            3.471004231,
            8.506199323,
            21.2839094,
            27.19869452,
            30.95421077,
            54.18356534,
            61.25342184,
            64.1421576,
            70.96082311,
            92.92691273,
        ],
        tolerance: 1e-4,
    },
    Case {
        edges: "CFFF",
        aspect: 1.5,
        poisson: 0.3,
        values: [
            3.453380634,
            11.65583914,
            21.46519995,
            39.32437212,
            53.54151394,
            61.61224773,
            80.21209448,
            85.32073405,
            119.5813576,
            133.8604151,
        ],
        tolerance: 1e-4,
    },
    Case {
        edges: "CFCF",
        aspect: 1.0,
        poisson: 0.3,
        values: [
            22.16545223,
            26.40203494,
            43.59034319,
            61.16973651,
            67.1654662,
            79.81237446,
            87.58551468,
            120.0916984,
            124.4502113,
            126.6989456,
        ],
        tolerance: 1e-4,
    },
];
