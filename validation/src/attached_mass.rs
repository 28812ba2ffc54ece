//! Point masses fixed to a panel lower its natural frequencies as published.

use crate::plates::{edges, isotropic};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::drive::{PanelPorts, natural_modes};
use panelwright_solver::plate::{Accuracy, Modes};
use panelwright_solver::scene::{Attachments, PointMass};
use std::f64::consts::TAU;

/// λ = ω a² √(ρh/D) of a plate that carries a mass of `ratio` times its own.
struct Loaded {
    edges: &'static str,
    aspect: f64,
    ratio: f64,
    /// Place of the mass in units of the sides.
    place: [f64; 2],
    lambdas: &'static [f64],
    tolerance: f64,
}

const CENTRE: [f64; 2] = [0.5, 0.5];

/// Values and tolerances: simply supported from the exact single series, clamped and free from graded finite elements (5e-5).
const LOADED: &[Loaded] = &[
    Loaded {
        edges: "SSSS",
        aspect: 1.0,
        ratio: 0.1,
        place: CENTRE,
        lambdas: &[
            16.59071282,
            49.34802201,
            49.34802201,
            75.28089509,
            78.95683521,
            98.69604401,
            128.3048572,
            128.3048572,
        ],
        tolerance: 1e-5,
    },
    Loaded {
        edges: "SSSS",
        aspect: 1.0,
        ratio: 0.5,
        place: CENTRE,
        lambdas: &[11.06958074, 49.34802201, 49.34802201, 59.54563114, 78.95683521, 98.69604401],
        tolerance: 1e-5,
    },
    Loaded {
        edges: "SSSS",
        aspect: 1.0,
        ratio: 1.0,
        place: CENTRE,
        lambdas: &[8.473749661, 49.34802201, 49.34802201, 56.29753565, 78.95683521, 98.69604401],
        tolerance: 1e-5,
    },
    Loaded {
        edges: "CCCC",
        aspect: 1.0,
        ratio: 0.3,
        place: CENTRE,
        lambdas: &[
            20.55192057,
            73.3936868,
            73.39368785,
            87.81980548,
            108.2162101,
            131.580944,
            165.0002817,
            165.0002838,
        ],
        tolerance: 5e-5,
    },
    Loaded {
        edges: "FFFF",
        aspect: 1.0,
        ratio: 0.25,
        place: CENTRE,
        lambdas: &[
            13.4681952,
            18.81269875,
            19.59612863,
            34.80087048,
            34.80087734,
            52.63011059,
            61.0929985,
            61.09300353,
        ],
        tolerance: 5e-5,
    },
    Loaded {
        edges: "FFFF",
        aspect: 1.25,
        ratio: 0.05,
        place: [0.5, 0.5],
        lambdas: &[
            16.80684778,
            20.78964302,
            33.36289869,
            40.45745443,
            47.47534714,
            61.64701593,
            75.58808351,
            78.59107429,
        ],
        tolerance: 5e-5,
    },
];

/// Isotropic plate, ν = 0.3, with a point mass.
pub const PROBLEM: Problem = Problem {
    name: "Plate with a point mass fixed to it",
    source: "method: C. L. Amba-Rao, J. Appl. Mech. 31 (1964) 550; simply supported: recomputed from the exact single \
             series (2000 terms and tail), clamped and free: by graded finite elements, extrapolated (5e-5)",
    rows: || LOADED.iter().flat_map(rows_of).collect(),
};

fn rows_of(case: &Loaded) -> Vec<Row> {
    let panel = isotropic(case.aspect, 0.3, edges(case.edges, case.aspect));
    let height = 1.0 / case.aspect;
    let mass = PointMass {
        name: "mass".into(),
        position: [case.place[0], case.place[1] * height],
        mass: case.ratio * height,
        diameter: 0.0,
    };
    let modes = Modes::solve_with(&panel, 10000.0 / TAU, Accuracy::PREDICTION).expect("a small plate");
    let attachments = Attachments { masses: vec![mass], ..Attachments::default() };
    let ports = PanelPorts::under(&[], &attachments, &modes, 0.0);
    let found = natural_modes(&[], &ports, case.lambdas.len() + 3).expect("converges").frequencies;
    let elastic = found.into_iter().filter(|&f| f > 0.0);
    let row = |(computed, (index, &expected)): (f64, (usize, &f64))| Row {
        quantity: format!(
            "λ{}, {} edges, a/b = {}, mass ratio {}",
            index + 1,
            case.edges,
            case.aspect,
            case.ratio
        ),
        computed: TAU * computed,
        expected,
        tolerance: Tolerance::Relative(case.tolerance),
    };
    elastic.zip(case.lambdas.iter().enumerate()).map(row).collect()
}
