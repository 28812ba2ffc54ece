//! Radiation of the modes of a simply supported square panel.

use crate::baffled::{air, cells, gauss, moving};
use crate::{Problem, Row, Tolerance};
use panelwright_solver::radiation::{radiated_power, surface_pressure};
use std::f64::consts::{PI, TAU};

/// Radiation efficiency and reactance of the modes sin(mπx/a) sin(nπy/a).
pub fn problem() -> Problem {
    Problem {
        name: "modes of a panel, radiation efficiency and reactance",
        source: "C. E. Wallace, J. Acoust. Soc. Am. 51 (1972) 946-952; reactance: H. G. Davies, J. Sound Vib. 15 (1971). Recomputed by \
                 Gauss quadrature of |V(kx, ky)|² over the hemisphere and by the autocorrelation integral, which agree to 4e-11. The \
                 reactance here is summed over cells, 20 per wavelength; their size leaves an error of 0.005 ρc.",
        rows: || efficiencies().into_iter().chain(reactances()).collect(),
    }
}

/// Acoustic over bending wavenumber.
const RATIOS: [f64; 12] = [0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0];

/// m, n and the radiation efficiency σ = P/(ρcS⟨v²⟩) at each of [`RATIOS`].
const EFFICIENCY: [(f64, f64, [f64; 12]); 6] = [
    (
        1.0,
        1.0,
        [
            0.005152212582,
            0.02051277871,
            0.08053321123,
            0.2990365548,
            0.5950470352,
            0.8931742703,
            1.021909871,
            1.129138474,
            1.211648032,
            1.287613065,
            1.304705184,
            1.163116821,
        ],
    ),
    (
        1.0,
        2.0,
        [
            3.303855716e-05,
            0.0005229588747,
            0.008014803983,
            0.1079550079,
            0.4103647576,
            0.8704148447,
            1.09706731,
            1.283386032,
            1.410398772,
            1.479897866,
            1.371091731,
            1.145881423,
        ],
    ),
    (
        2.0,
        2.0,
        [
            2.082848353e-07,
            1.311090242e-05,
            0.0007851639905,
            0.03848025463,
            0.2799274668,
            0.8350532601,
            1.151451304,
            1.410749888,
            1.564811094,
            1.582575287,
            1.342979771,
            1.1608266,
        ],
    ),
    (
        3.0,
        1.0,
        [
            0.002802699517,
            0.01047455467,
            0.03195942012,
            0.05709309883,
            0.2106794965,
            0.7622429628,
            1.119031222,
            1.422578045,
            1.606506288,
            1.630577811,
            1.355978465,
            1.160947452,
        ],
    ),
    (
        11.0,
        1.0,
        [
            0.001940090168,
            0.00371001095,
            0.01421612276,
            0.03379347312,
            0.06256000811,
            0.1331160278,
            0.494382858,
            2.337251653,
            2.524424629,
            1.665176927,
            1.345601775,
            1.155686126,
        ],
    ),
    (
        11.0,
        11.0,
        [
            1.539010234e-05,
            2.977852299e-05,
            0.0001895770756,
            0.001255588548,
            0.005686653505,
            0.178841357,
            0.4143662298,
            2.678424909,
            2.373226108,
            1.667374749,
            1.342501211,
            1.154264666,
        ],
    ),
];

/// m, n and the reactance X/(ρc) per ∫v² dS.
const REACTANCE: [(f64, f64, [f64; 12]); 6] = [
    (
        1.0,
        1.0,
        [
            0.09074332752,
            0.1801496059,
            0.3497790043,
            0.6208034574,
            0.760592307,
            0.7582350776,
            0.7117124952,
            0.6430710836,
            0.5596431756,
            0.4229356298,
            0.2156797841,
            0.02543203262,
        ],
    ),
    (
        1.0,
        2.0,
        [
            0.06434210456,
            0.1305386442,
            0.2743835861,
            0.6131981274,
            0.9237461712,
            1.021648152,
            0.960530693,
            0.8368681551,
            0.6734801375,
            0.4138808731,
            0.1129494836,
            0.02746890619,
        ],
    ),
    (
        2.0,
        2.0,
        [
            0.05894922397,
            0.1188342524,
            0.2460460533,
            0.5689397404,
            0.9738955966,
            1.192690219,
            1.130440086,
            0.9531634751,
            0.7066073347,
            0.3435932615,
            0.06051663367,
            0.01984999625,
        ],
    ),
    (
        3.0,
        1.0,
        [
            0.06623023629,
            0.1304467296,
            0.2496730608,
            0.5101470408,
            0.9273312816,
            1.243292274,
            1.208433394,
            1.028798406,
            0.7578960102,
            0.3504454132,
            0.04189502087,
            0.01833955294,
        ],
    ),
    (
        11.0,
        1.0,
        [
            0.05563360724,
            0.109414267,
            0.2204951428,
            0.454074663,
            0.7599787917,
            1.308214055,
            2.238463708,
            2.112888296,
            0.3921125955,
            0.08947790243,
            0.01404763049,
            0.005530048258,
        ],
    ),
    (
        11.0,
        11.0,
        [
            0.05130804229,
            0.1030661761,
            0.2095722288,
            0.4515551849,
            0.7964093041,
            1.412696398,
            2.104906253,
            2.380706304,
            0.2366855806,
            0.05732069888,
            0.01302627723,
            0.003405779082,
        ],
    ),
];

fn bending_wavenumber(m: f64, n: f64) -> f64 {
    PI * m.hypot(n)
}

fn efficiencies() -> Vec<Row> {
    let rows = |&(m, n, values): &(f64, f64, [f64; 12])| {
        let lattice = gauss(1.0, 1.0, [48, 48]);
        let row = move |(ratio, expected): (f64, f64)| {
            let surface = moving(&lattice, ratio * bending_wavenumber(m, n), |[x, y]| {
                (m * PI * x).sin() * (n * PI * y).sin()
            });
            Row {
                quantity: format!("σ({m}, {n}), k/k_b = {ratio}"),
                computed: radiated_power(&surface, &air()) / (0.25 * air().impedance()),
                expected,
                tolerance: Tolerance::Relative(1e-6),
            }
        };
        RATIOS.into_iter().zip(values).map(row).collect::<Vec<_>>()
    };
    EFFICIENCY.iter().flat_map(rows).collect()
}

fn reactances() -> Vec<Row> {
    let rows = |&(m, n, values): &(f64, f64, [f64; 12])| {
        let row = move |(ratio, expected): (f64, f64)| {
            let count = (20.0 * bending_wavenumber(m, n) * ratio.max(1.0) / TAU).ceil().max(48.0) as usize;
            let lattice = cells(1.0, 1.0, [count; 2]);
            let surface = moving(&lattice, ratio * bending_wavenumber(m, n), |[x, y]| {
                (m * PI * x).sin() * (n * PI * y).sin()
            });
            let force = (surface_pressure(&surface, &air()) * &surface.velocity).sum();
            let square = surface.velocity.mapv(|v| v.norm_sqr()).sum();
            Row {
                quantity: format!("X({m}, {n})/(ρc), k/k_b = {ratio}"),
                computed: force.im / square / air().impedance(),
                expected,
                tolerance: Tolerance::Absolute(5e-3),
            }
        };
        RATIOS.into_iter().zip(values).map(row).collect::<Vec<_>>()
    };
    REACTANCE.iter().flat_map(rows).collect()
}
