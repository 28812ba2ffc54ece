//! Speed of sound, density and absorption of air.

use crate::{Problem, Row, Tolerance};
use panelwright_solver::air::Air;

/// Absorption of moist air and state of dry air.
pub fn problem() -> Problem {
    Problem {
        name: "air",
        source: "ISO 9613-1:1993, equations (3) to (5) and annexes A and B, evaluated independently at exact octave mid-band frequencies; the \
                 rounded values of ISO 9613-2:1996, table 2, are reproduced for 10 and 20 °C at 70 %. Density: ideal gas, \
                 R = 287.058 J/(kg·K).",
        rows: || absorption().into_iter().chain(relaxation()).chain(dry_air()).collect(),
    }
}

/// `(°C, relative humidity, dB/km at 63 Hz … 8 kHz)`.
const ABSORPTION: [(f64, f64, [f64; 8]); 3] = [
    (
        20.0,
        0.5,
        [
            0.122811063,
            0.4453468539,
            1.318048127,
            2.733464018,
            4.664731874,
            9.855241708,
            29.41924777,
            103.9122274,
        ],
    ),
    (
        20.0,
        0.7,
        [
            0.08969226838,
            0.339472486,
            1.132366562,
            2.797920359,
            4.977810847,
            9.01641894,
            22.91116734,
            76.6205516,
        ],
    ),
    (
        10.0,
        0.7,
        [
            0.1216894028,
            0.4109502693,
            1.043367341,
            1.927862104,
            3.657685723,
            9.663945365,
            32.77012961,
            116.8820445,
        ],
    ),
];

/// `(°C, c [m/s], ρ [kg/m³])` of dry air at 101.325 kPa.
const DRY_AIR: [(f64, f64, f64); 3] =
    [(0.0, 331.2858849, 1.292247655), (20.0, 343.2, 1.204084759), (25.0, 346.1144545, 1.183892159)];

fn at(celsius: f64, humidity: f64) -> Air {
    Air::new(celsius + 273.15, humidity, 101_325.0)
}

fn row(quantity: String, computed: f64, expected: f64) -> Row {
    Row { quantity, computed, expected, tolerance: Tolerance::Relative(1e-8) }
}

fn absorption() -> Vec<Row> {
    let rows = |&(celsius, humidity, values): &(f64, f64, [f64; 8])| {
        let of = move |(octave, expected): (i32, f64)| {
            let frequency = 1000.0 * 10f64.powf(0.3 * f64::from(octave));
            let decibels = 8.686e3 * at(celsius, humidity).absorption(frequency);
            row(
                format!("absorption [dB/km], {celsius} °C, {:.0} %, {frequency:.0} Hz", 100.0 * humidity),
                decibels,
                expected,
            )
        };
        (-4..4).zip(values).map(of).collect::<Vec<_>>()
    };
    ABSORPTION.iter().flat_map(rows).collect()
}

fn relaxation() -> Vec<Row> {
    let [oxygen, nitrogen] = at(20.0, 0.5).relaxation_frequencies();
    vec![
        row("relaxation frequency of oxygen [Hz], 20 °C, 50 %".into(), oxygen, 35413.85962),
        row("relaxation frequency of nitrogen [Hz], 20 °C, 50 %".into(), nitrogen, 331.8504944),
    ]
}

fn dry_air() -> Vec<Row> {
    let rows = |&(celsius, speed, density): &(f64, f64, f64)| {
        let air = at(celsius, 0.0);
        [
            row(format!("speed of sound [m/s], dry, {celsius} °C"), air.sound_speed, speed),
            row(format!("density [kg/m³], dry, {celsius} °C"), air.density, density),
        ]
    };
    let impedance = row("ρc [Pa·s/m], dry, 20 °C".into(), at(20.0, 0.0).impedance(), 413.2418892);
    DRY_AIR.iter().flat_map(rows).chain([impedance]).collect()
}
