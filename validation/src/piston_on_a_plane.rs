//! A piston on an infinite rigid plane, by boundary elements and the plane's image.

use crate::baffled::air;
use crate::bodies::{EIGHTH, direction, disc, level, of_diaphragm, part};
use crate::{Problem, Row, Tolerance};
use panelwright_mesh::shapes::DIAPHRAGM;
use panelwright_solver::boundary::SurfaceField;
use std::f64::consts::PI;

/// Impedance, level on the axis and pattern.
pub fn problem() -> Problem {
    Problem {
        name: "piston in an infinite plane, by its image",
        source: "A. D. Pierce, Acoustics (1981/1989) § 5-3; L. L. Beranek & T. J. Mellow, Acoustics: Sound Fields and Transducers (2012) \
                 ch. 13: R = 1 − J₁(2ka)/ka, X = H₁(2ka)/ka, 2 J₁(x)/x; on the axis 2 sin[k(√(z² + a²) − z)/2]. Recomputed with 30 digits. \
                 The top of a rigid disc moves on the plane: values are extrapolated linearly from heights of 4 % and 2 % of the radius.",
        rows,
    }
}

/// ka, R and X over ρcπa², and the level [dB] re the axis at 30°, 60° and 90°.
const VALUES: [(f64, [f64; 2], [f64; 3]); 3] = [
    (1.0, [0.4232751922, 0.6467637283], [-0.2728626831, -0.8274387762, -1.109348018]),
    (2.0, [1.033021664, 0.5348633307], [-1.109348018, -3.490796334, -4.780627341]),
    (5.0, [0.9913054508, 0.1783664984], [-8.009428046, -21.53381118, -17.65247547]),
];

fn rows() -> Vec<Row> {
    let bodies = [0.04, 0.02].map(|height| {
        let lathe = disc(1.0, 2.0 * height);
        (height, part(&lathe.meshed(0.2).expect("a disc"), EIGHTH, lathe.onto(0.2)))
    });
    let rows = |&(ka, impedance, pattern): &(f64, [f64; 2], [f64; 3])| {
        let fields: [(f64, SurfaceField); 2] = [0, 1].map(|i| (bodies[i].0, of_diaphragm(&bodies[i].1, ka)));
        let flat = |of: &dyn Fn(f64, &SurfaceField) -> f64| {
            let [high, low] = [0, 1].map(|i| of(fields[i].0, &fields[i].1));
            2.0 * low - high
        };
        let unit = air().impedance();
        let force = |field: &SurfaceField| {
            4.0 * field.integrated(|patch, _, _| f64::from(patch == DIAPHRAGM)) / (unit * PI)
        };
        let row = |quantity: String, computed, expected, tolerance| Row {
            quantity: format!("{quantity}, ka = {ka}"),
            computed,
            expected,
            tolerance: Tolerance::Absolute(tolerance),
        };
        let size = 0.01 * impedance[0].hypot(impedance[1]);
        let mut rows = vec![
            row("R/(ρcπa²)".into(), flat(&|_, field| force(field).re), impedance[0], size),
            row("X/(ρcπa²)".into(), flat(&|_, field| force(field).im), impedance[1], size),
        ];
        for z in [0.5, 2.0] {
            let at = |height: f64, field: &SurfaceField| {
                field.at(&[(z + height) * direction(0.0)])[0].pressure.norm() / unit
            };
            let exact = 2.0 * (0.5 * ka * (z.hypot(1.0) - z)).sin().abs();
            rows.push(row(format!("|p|/(ρcu) at z = {z} a"), flat(&at), exact, 0.01));
        }
        for (angle, expected) in [30.0, 60.0, 90.0].into_iter().zip(pattern) {
            let far = |_: f64, field: &SurfaceField| {
                let found = field.far(&[direction(angle), direction(0.0)]);
                level(found[0].norm() / found[1].norm())
            };
            rows.extend(
                (expected > -20.0).then(|| row(format!("pattern [dB], {angle}°"), flat(&far), expected, 0.2)),
            );
        }
        rows
    };
    VALUES.iter().flat_map(rows).collect()
}
