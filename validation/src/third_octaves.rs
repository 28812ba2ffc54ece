//! Third-octave bands.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::listening::fractional_octaves;

/// Exact mid-bands from 25 Hz to 20 kHz [Hz].
const CENTRES: [f64; 30] = [
    25.11886432,
    31.6227766,
    39.81071706,
    50.11872336,
    63.09573445,
    79.43282347,
    100.0,
    125.8925412,
    158.4893192,
    199.5262315,
    251.1886432,
    316.227766,
    398.1071706,
    501.1872336,
    630.9573445,
    794.3282347,
    1000.0,
    1258.925412,
    1584.893192,
    1995.262315,
    2511.886432,
    3162.27766,
    3981.071706,
    5011.872336,
    6309.573445,
    7943.282347,
    10000.0,
    12589.25412,
    15848.93192,
    19952.62315,
];

/// Edges of the same bands [Hz]; the upper edge of one is the lower edge of the next.
const EDGES: [f64; 31] = [
    22.38721139,
    28.18382931,
    35.48133892,
    44.66835922,
    56.23413252,
    70.79457844,
    89.12509381,
    112.2018454,
    141.2537545,
    177.827941,
    223.8721139,
    281.8382931,
    354.8133892,
    446.6835922,
    562.3413252,
    707.9457844,
    891.2509381,
    1122.018454,
    1412.537545,
    1778.27941,
    2238.721139,
    2818.382931,
    3548.133892,
    4466.835922,
    5623.413252,
    7079.457844,
    8912.509381,
    11220.18454,
    14125.37545,
    17782.7941,
    22387.21139,
];

/// Third-octave bands from 25 Hz to 20 kHz: mid-bands and edges to nine digits, and the numbers on their labels.
pub fn problem() -> Problem {
    Problem {
        name: "third-octave bands",
        source: "IEC 61260-1:2014, eq. (1)-(2), (4)-(5), recomputed in closed form; labels ISO 266:1997",
        rows,
    }
}

fn rows() -> Vec<Row> {
    let bands = fractional_octaves(3, 25.0, 20e3);
    let row = |quantity: String, computed: f64, expected: f64| Row {
        quantity,
        computed,
        expected,
        tolerance: Tolerance::Relative(1e-9),
    };
    let mut rows =
        vec![row("number of bands, 25 Hz to 20 kHz".into(), bands.len() as f64, CENTRES.len() as f64)];
    for (i, band) in bands.iter().enumerate().take(CENTRES.len()) {
        rows.push(row(format!("{} Hz mid-band [Hz]", band.nominal), band.centre, CENTRES[i]));
        rows.push(row(format!("{} Hz lower edge [Hz]", band.nominal), band.lower, EDGES[i]));
        rows.push(row(format!("{} Hz upper edge [Hz]", band.nominal), band.upper, EDGES[i + 1]));
    }
    rows
}
