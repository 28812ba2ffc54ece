//! Two exciters on a free plywood-like plate against an independent solution without modes.

use crate::{Problem, Row, Tolerance};
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_solver::drive::{Motion, PanelPorts, solve};
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{
    Attachments, Back, Channel, EdgeCondition, Edges, Exciter, LossCurve, Mount, Panel, PlateSection, Wiring,
};

/// Written by `validation/recompute/coupled_exciter.py`; 25 frequencies, in series and in parallel.
const RECOMPUTED: &str = include_str!("../recompute/coupled_exciter.csv");

/// Deviation accepted where the local flexibility under a foot hardly matters.
const FAR: f64 = 1e-4;
/// Deviation accepted of the motion of the foot itself.
const NEAR: f64 = 1e-3;

/// Complex curves of the file, in the order of its columns.
const CURVES: [(&str, f64); 7] = [
    ("impedance", FAR),
    ("current 1", FAR),
    ("current 2", FAR),
    ("foot velocity 1", NEAR),
    ("foot velocity 2", NEAR),
    ("magnet velocity 1", FAR),
    ("magnet velocity 2", FAR),
];
const EXCURSIONS: [(&str, f64); 2] = [("excursion 1", NEAR), ("excursion 2", NEAR)];

/// One line of the file.
struct Line {
    frequency: f64,
    curves: [Complex64; 7],
    excursions: [f64; 2],
}

/// Two coupled exciters, series and parallel.
pub const PROBLEM: Problem = Problem {
    name: "Two coupled exciters on a free orthotropic plate",
    source: "independent recomputation: graded quintic B-spline Ritz, magnets and coils in one system, sparse LU per \
             frequency, no modes (validation/recompute/coupled_exciter.py); on a coarser grid its foot velocities differ \
             by up to 4e-4, the rest by 6e-6. Invented data",
    rows,
};

fn rows() -> Vec<Row> {
    let panel = panel();
    // Four times the highest frequency compared.
    let modes = Modes::solve(&panel, 20e3).expect("a small plate");
    let ports = PanelPorts::under(
        &exciters(),
        &Attachments::default(),
        &modes,
        panel.section.bending_loss.at(1000.0),
    );
    [("series", Wiring::Series), ("parallel", Wiring::Parallel)]
        .into_iter()
        .flat_map(|(name, wiring)| compare(name, wiring, &ports))
        .collect()
}

/// The impedance in numbers at three frequencies, and the largest complex deviation (phase included) of each curve.
fn compare(name: &str, wiring: Wiring, ports: &PanelPorts) -> Vec<Row> {
    let lines = lines(name);
    let frequencies: Vec<f64> = lines.iter().map(|l| l.frequency).collect();
    let motion = solve(&frequencies, &exciters(), &[channel(wiring)], ports);
    let mut rows: Vec<Row> =
        [0, 12, 24].into_iter().flat_map(|i| impedance(name, &motion, i, &lines[i])).collect();
    for (k, (curve, limit)) in CURVES.iter().enumerate() {
        let deviation = |(i, l): (usize, &Line)| (computed(&motion, i)[k] / l.curves[k] - 1.0).norm();
        rows.push(largest(&format!("{name}: {curve}"), *limit, lines.iter().enumerate().map(deviation)));
    }
    for (e, (curve, limit)) in EXCURSIONS.iter().enumerate() {
        let deviation =
            |(i, l): (usize, &Line)| (motion.exciters[e].excursion[i] / l.excursions[e] - 1.0).abs();
        rows.push(largest(&format!("{name}: {curve}"), *limit, lines.iter().enumerate().map(deviation)));
    }
    rows
}

/// The worst of the deviations; one that is not a number stays so.
fn largest(curve: &str, limit: f64, deviations: impl Iterator<Item = f64>) -> Row {
    Row {
        quantity: format!("{curve}, largest |computed/recomputed − 1| over 25 frequencies"),
        computed: deviations.fold(0.0, |worst, d| if d <= worst { worst } else { d }),
        expected: 0.0,
        tolerance: Tolerance::Absolute(limit),
    }
}

/// Magnitude [Ω] and phase [°] at one frequency.
fn impedance(name: &str, motion: &Motion, index: usize, line: &Line) -> [Row; 2] {
    let (z, expected) = (motion.channels[0].impedance[index], line.curves[0]);
    let label = format!("{name}: impedance at {} Hz", line.frequency);
    [
        Row {
            quantity: format!("{label}, magnitude [Ω]"),
            computed: z.norm(),
            expected: expected.norm(),
            tolerance: Tolerance::Relative(FAR),
        },
        Row {
            quantity: format!("{label}, phase [°]"),
            computed: z.arg().to_degrees(),
            expected: expected.arg().to_degrees(),
            tolerance: Tolerance::Absolute(0.01),
        },
    ]
}

/// The curves of [`CURVES`] at one frequency.
fn computed(motion: &Motion, i: usize) -> [Complex64; 7] {
    let [a, b] = [&motion.exciters[0], &motion.exciters[1]];
    [
        motion.channels[0].impedance[i],
        a.current[i],
        b.current[i],
        a.foot_velocity[i],
        b.foot_velocity[i],
        a.magnet_velocity[i],
        b.magnet_velocity[i],
    ]
}

/// The lines of the file for one wiring.
fn lines(wiring: &str) -> Vec<Line> {
    let of_wiring = |line: &str| {
        let (name, numbers) = line.split_once(',')?;
        (name == wiring).then(|| parse(numbers))
    };
    RECOMPUTED.lines().skip(1).filter_map(of_wiring).collect()
}

fn parse(numbers: &str) -> Line {
    let x: Vec<f64> = numbers.split(',').map(|n| n.parse().expect("the script writes numbers")).collect();
    Line {
        frequency: x[0],
        curves: std::array::from_fn(|k| Complex64::new(x[1 + 2 * k], x[2 + 2 * k])),
        excursions: [x[15], x[16]],
    }
}

fn panel() -> Panel {
    let (e1, e2, shear, nu12, thickness): (f64, f64, f64, f64, f64) = (7.0e9, 2.5e9, 0.45e9, 0.05, 4e-3);
    let (scale, contraction) = (thickness.powi(3) / 12.0, 1.0 - nu12 * nu12 * e2 / e1);
    Panel {
        outline: Outline::Rectangle { width: 0.76, height: 0.52 },
        section: PlateSection {
            d11: e1 * scale / contraction,
            d12: nu12 * e2 * scale / contraction,
            d22: e2 * scale / contraction,
            d66: shear * scale,
            surface_mass: 450.0 * thickness,
            thickness,
            shear: None,
            rotary_inertia: 0.0,
            bending_loss: LossCurve::constant(0.02),
            shear_loss: LossCurve::constant(0.02),
        },
        edges: Edges::all(EdgeCondition::Free),
        back: Back::Baffled,
    }
}

fn channel(wiring: Wiring) -> Channel {
    Channel {
        name: "A".into(),
        voltage: 2.83,
        gain: 1.0,
        delay: 0.0,
        filters: Default::default(),
        source_resistance: 0.15,
        wiring,
        exciters: vec![0, 1],
    }
}

fn exciters() -> [Exciter; 2] {
    let first = Exciter {
        name: "first".into(),
        position: [0.290, 0.215],
        coil_resistance: 3.6,
        coil_inductance: 0.06e-3,
        force_factor: 2.6,
        moving_mass: 1.3e-3,
        foot_diameter: 25e-3,
        suspension_stiffness: 11e3,
        suspension_loss_factor: 0.15,
        magnet_mass: 0.120,
        mount: Mount::Floating,
        reversed: false,
        rated_power: None,
        rated_excursion: None,
    };
    let second = Exciter {
        name: "second, leads swapped".into(),
        position: [0.515, 0.330],
        coil_resistance: 6.8,
        coil_inductance: 0.12e-3,
        force_factor: 4.1,
        moving_mass: 2.1e-3,
        foot_diameter: 32e-3,
        suspension_stiffness: 7.5e3,
        suspension_loss_factor: 0.08,
        magnet_mass: 0.205,
        reversed: true,
        ..first.clone()
    };
    [first, second]
}
