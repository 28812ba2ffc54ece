//! A made-up scene with made-up findings: every field filled, smooth and plausible to look at, but computed by no
//! solver. For tests of what is written and drawn, never as a reference value.

use ndarray::{Array1, Array2};
use num_complex::Complex64;
use panelwright_mesh::Outline;
use panelwright_solver::Warning;
use panelwright_solver::air::Air;
use panelwright_solver::drive::{ChannelLoad, NaturalModes, PowerBalance};
use panelwright_solver::listening::*;
use panelwright_solver::scene::*;
use std::f64::consts::{PI, TAU};
use std::sync::OnceLock;

const WIDTH: f64 = 0.76;
const HEIGHT: f64 = 0.52;
const POINTS: usize = 400;
const VARIATIONS: usize = 64;
const SPOTS: [[f64; 2]; 2] = [[0.31, 0.23], [0.47, 0.30]];

/// The scene: a tea room's hanging panel, all numbers invented.
pub fn scene() -> Scene {
    Scene {
        title: "Specimen: tea room by the harbour".into(),
        panel: Panel {
            outline: Outline::Rectangle { width: WIDTH, height: HEIGHT },
            section: PlateSection {
                d11: 38.0,
                d12: 3.1,
                d22: 15.5,
                d66: 5.2,
                surface_mass: 1.72,
                thickness: 0.004,
                shear: Some([5.9e5; 2]),
                rotary_inertia: 2.3e-6,
                bending_loss: LossCurve::constant(0.022),
                shear_loss: LossCurve::constant(0.022),
            },
            edges: Edges::all(EdgeCondition::Free),
            back: Back::Baffled,
        },
        attachments: attachments(),
        exciters: vec![exciter("left", SPOTS[0]), exciter("right", SPOTS[1])],
        channels: vec![Channel {
            name: "amplifier".into(),
            voltage: 2.83,
            gain: 1.0,
            delay: 0.0,
            filters: Default::default(),
            source_resistance: 0.1,
            wiring: Wiring::Series,
            exciters: vec![0, 1],
        }],
        air: Air {
            temperature: 293.15,
            humidity: 0.5,
            static_pressure: 101_325.0,
            density: 1.199,
            sound_speed: 343.4,
        },
        spread: Spread::none(),
        receivers: Receivers {
            floor: None,
            seats: vec![
                Seat { name: "table 1".into(), position: [0.38, 0.26, 2.0] },
                Seat { name: "window bench".into(), position: [-0.9, 0.1, 2.6] },
                Seat { name: "counter <1.5 m>".into(), position: [1.6, 0.4, 3.4] },
            ],
            map: MapPlane { distance: 0.1, margin: 0.1, spacing: 0.02 },
            arc: PolarArc { distance: 1.0, step: PI / 90.0 },
        },
        frequencies: frequencies(),
    }
}

fn exciter(name: &str, position: [f64; 2]) -> Exciter {
    Exciter {
        name: name.into(),
        position,
        coil_resistance: 3.6,
        coil_inductance: 0.08e-3,
        force_factor: 3.4,
        moving_mass: 1.9e-3,
        foot_diameter: 25.4e-3,
        suspension_stiffness: 14e3,
        suspension_loss_factor: 0.08,
        magnet_mass: 0.112,
        mount: Mount::Floating,
        reversed: false,
        rated_power: Some(10.0),
        rated_excursion: Some(0.8e-3),
    }
}

fn frequencies() -> Vec<f64> {
    (0..POINTS).map(|i| 20.0 * 1000f64.powf(i as f64 / (POINTS - 1) as f64)).collect()
}

/// A number between −1 and 1 that looks random and never changes.
fn noise(seed: f64) -> f64 {
    ((seed * 12.9898).sin() * 43_758.545_3).fract()
}

fn bands() -> Vec<Band> {
    const LABELS: [f64; 10] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];
    let band = |index: i32| {
        let centre = 10f64.powf(f64::from(index) / 10.0);
        let half = 10f64.powf(0.05);
        let nominal = LABELS[index.rem_euclid(10) as usize] * 10f64.powi(index.div_euclid(10));
        Band { centre, lower: centre / half, upper: centre * half, nominal }
    };
    (14..=42).map(band).collect()
}

/// Something like a sum of plate modes at a point for one frequency.
fn ripple([x, y]: [f64; 2], frequency: f64) -> f64 {
    let mut sum = Complex64::new(0.05, 0.0);
    for m in 0..11 {
        for n in 0..8 {
            let natural = 18.0 * (f64::from(m * m) + 1.6 * f64::from(n * n) + 2.0);
            let shape = |p: [f64; 2]| {
                (PI * f64::from(m) * p[0] / WIDTH).cos() * (PI * f64::from(n) * p[1] / HEIGHT).cos()
            };
            let drive = shape(SPOTS[0]) + shape(SPOTS[1]);
            let ratio = frequency / natural;
            sum += drive * shape([x, y]) / Complex64::new(1.0 - ratio * ratio, 0.12 * ratio) * ratio
                / f64::from(m + n + 2);
        }
    }
    20.0 * (sum.norm() + 1e-3).log10()
}

fn curve(frequencies: &[f64], seed: f64, strength: f64) -> Vec<f64> {
    let level = |&f: &f64| {
        let slope = 82.0 - 40.0 / (1.0 + (f / 90.0).powi(3)) - 14.0 / (1.0 + (9000.0 / f).powi(4));
        slope
            + strength * ripple([0.12 + 0.07 * seed, 0.4 - 0.05 * seed], f).clamp(-30.0, 12.0) * 0.5
            + noise(f + seed) * strength
    };
    frequencies.iter().map(level).collect()
}

fn blurred(values: &[f64], reach: usize) -> Vec<f64> {
    let mean = |i: usize| {
        let part = &values[i.saturating_sub(reach)..(i + reach + 1).min(values.len())];
        part.iter().sum::<f64>() / part.len() as f64
    };
    (0..values.len()).map(mean).collect()
}

fn seat(seat: &Seat, index: usize, frequencies: &[f64]) -> SeatFindings {
    let level = curve(frequencies, index as f64, 1.0);
    let pressure = level.iter().zip(frequencies).map(|(l, f)| {
        Complex64::from_polar(20e-6 * 10f64.powf(l / 20.0), -TAU * f * seat.position[2] / 343.4)
    });
    let smoothed = [24, 12, 6, 3, 2, 1].map(|fraction: u32| {
        let level = blurred(&level, (20.0 / f64::from(fraction)).ceil() as usize);
        SmoothedLevel { fraction, band: Some(band_about(&level, 1.0 / f64::from(fraction))), level }
    });
    let third_octaves = bands().into_iter().map(|band| {
        let place = frequencies.iter().position(|f| *f >= band.centre).unwrap_or(POINTS - 1);
        BandLevel { band, level: smoothed[3].level[place] }
    });
    let usable = |drop: f64, lower: f64| UsableBand {
        drop,
        reference: 80.4,
        lower: Some(lower),
        upper: Some(if drop > 8.0 { 20e3 } else { 13_400.0 }),
        lower_open: false,
        upper_open: drop > 8.0,
        lower_spread: Some(spread_about(lower, 0.1 * lower)),
    };
    SeatFindings {
        name: seat.name.clone(),
        position: seat.position,
        pressure: pressure.collect(),
        band: Some(band_about(&level, 1.0)),
        third_octaves: third_octaves.collect(),
        usable: vec![usable(6.0, 96.0), usable(10.0, 71.0)],
        a_weighted: 84.3 - index as f64,
        smoothed: smoothed.to_vec(),
        level,
    }
}

/// A band that widens with frequency.
fn band_about(level: &[f64], strength: f64) -> LevelBand {
    let shifted = |by: f64| -> Vec<f64> {
        let widened =
            level.iter().enumerate().map(|(i, l)| l + by * (1.0 + strength * i as f64 / POINTS as f64));
        widened.collect()
    };
    LevelBand { lowest: shifted(-4.0), tenth: shifted(-2.0), ninetieth: shifted(1.6), highest: shifted(2.7) }
}

fn spread_about(middle: f64, width: f64) -> Quantiles {
    Quantiles {
        lowest: middle - 2.0 * width,
        tenth: middle - width,
        ninetieth: middle + width,
        highest: middle + 1.5 * width,
    }
}

fn axis(from: f64, to: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| from + (to - from) * i as f64 / (count - 1) as f64).collect()
}

fn map(distance: f64, margin: f64, counts: (usize, usize), offset: f64) -> OutputMap {
    let (x, y) = (axis(-margin, WIDTH + margin, counts.0), axis(-margin, HEIGHT + margin, counts.1));
    let band = |band: Band| {
        let level = Array2::from_shape_fn(counts, |(i, j)| offset + ripple([x[i], y[j]], band.centre));
        let mean =
            10.0 * (level.iter().map(|l| 10f64.powf(l / 10.0)).sum::<f64>() / level.len() as f64).log10();
        BandMap { band, level, mean }
    };
    let bands = bands().into_iter().map(band).collect();
    OutputMap { distance, x, y, bands }
}

/// The deepest point of each of a few bands, dressed up as a dead spot.
fn spots(map: &OutputMap) -> Vec<DeadSpot> {
    let spot = |band: &BandMap| {
        let ((i, j), level) =
            band.level.indexed_iter().min_by(|a, b| a.1.total_cmp(b.1)).expect("maps have cells");
        let depth = band.mean - level;
        DeadSpot {
            band: band.band,
            position: [map.x[i], map.y[j]],
            area: 0.004,
            extent: [0.09, 0.05],
            depth,
            stability: (map.distance > 0.0).then_some(Stability {
                still_there: (3.0 * depth) as usize % (VARIATIONS + 1),
                variations: VARIATIONS,
            }),
        }
    };
    map.bands.iter().map(spot).filter(|s| s.depth > 14.0).collect()
}

fn polar() -> Polar {
    let angles: Vec<f64> = (-45..=45).map(|i| f64::from(i) * PI / 90.0).collect();
    let bands = bands();
    let pattern = |aperture: f64| {
        Array2::from_shape_fn((bands.len(), angles.len()), |(b, a)| {
            let u = PI * aperture * bands[b].centre / 343.4 * angles[a].sin() / 2.2;
            let beam = if u.abs() < 1e-6 { 1.0 } else { (u.sin() / u).abs().max(0.02) };
            80.0 + 20.0 * (0.7 * beam + 0.3 * angles[a].cos().max(0.05)).log10()
                + noise(b as f64 + angles[a]) * 0.4
        })
    };
    Polar { horizontal: pattern(0.4), vertical: pattern(0.25), angles, bands, distance: 1.0 }
}

fn centres() -> Vec<AcousticCentre> {
    let centre = |(i, band): (usize, Band)| {
        let wobble = 0.16 * (-(i as f64 - 8.0).powi(2) / 60.0).exp();
        let position = [0.39 + wobble * noise(i as f64), 0.265 + 0.6 * wobble * noise(i as f64 + 0.5)];
        let front = WaveFrontCentre {
            position: [
                position[0] + 0.02 * noise(i as f64 + 9.0),
                position[1] - 0.015,
                -0.05 + 0.002 * i as f64,
            ],
            spread: [0.03, 0.02, 0.05],
            fit: 0.97 - 0.02 * i as f64,
        };
        AcousticCentre {
            band,
            intensity: Centre { position, spread: [0.1 + 0.003 * i as f64, 0.07] },
            // The lowest bands stand for a fit that means nothing.
            wave_front: (i > 2).then_some(front),
        }
    };
    bands().into_iter().enumerate().map(centre).collect()
}

fn impedance(frequencies: &[f64]) -> Vec<Complex64> {
    let at = |&f: &f64| {
        let motional = (0..12).map(|n| {
            let natural = 34.0 * f64::from(n * n + 1);
            let detune = 9.0 * (f / natural - natural / f);
            6.0 / f64::from(n + 1) / Complex64::new(1.0, detune)
        });
        Complex64::new(7.2, TAU * f * 0.16e-3) + motional.sum::<Complex64>()
    };
    frequencies.iter().map(at).collect()
}

fn exciter_findings(exciter: &Exciter, frequencies: &[f64], shift: f64) -> ExciterFindings {
    let excursion: Vec<f64> = frequencies
        .iter()
        .map(|f| {
            1.1e-3 * (1.0 + shift) / (1.0 + (f / 62.0).powi(2))
                * 10f64.powf(ripple(exciter.position, *f) / 60.0)
        })
        .collect();
    let power: Vec<f64> = frequencies.iter().map(|f| 0.5 * (1.0 + shift) / (1.0 + f / 9000.0)).collect();
    let worst = |values: &[f64]| {
        let best = values.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).expect("curves have points");
        (frequencies[best.0], *best.1)
    };
    ExciterFindings {
        name: exciter.name.clone(),
        position: exciter.position,
        worst_excursion: worst(&excursion),
        worst_power: worst(&power),
        rated_excursion: exciter.rated_excursion,
        rated_power: exciter.rated_power,
        excursion,
        power,
    }
}

fn panel(frequencies: &[f64]) -> PanelFindings {
    let mut modes: Vec<(f64, (i32, i32))> = (0..30)
        .flat_map(|m| (0..24).map(move |n| (m, n)))
        .filter(|(m, n)| m + n > 1)
        .map(|(m, n)| (12.0 * f64::from(m * m) + 20.0 * f64::from(n * n), (m, n)))
        .collect();
    modes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let shape = |&(frequency, (m, n)): &(f64, (i32, i32))| {
        let (x, y) = (Array1::from(axis(0.0, WIDTH, 39)), Array1::from(axis(0.0, HEIGHT, 27)));
        let value = |i: usize, j: usize| {
            (PI * f64::from(m) * x[i] / WIDTH).cos() * (PI * f64::from(n) * y[j] / HEIGHT).cos()
        };
        ModeShape { frequency, shape: Array2::from_shape_fn((39, 27), |(i, j)| value(i, j)), x, y }
    };
    PanelFindings {
        mass: 0.679,
        natural_frequencies: modes.iter().map(|m| m.0).collect(),
        bare_frequencies: modes.iter().map(|m| m.0).collect(),
        assembled: NaturalModes {
            frequencies: modes.iter().take(40).map(|m| 0.9 * m.0).collect(),
            loss_factors: vec![0.03; 40],
        },
        rigid_modes: 3,
        first_shapes: modes.iter().take(12).map(shape).collect(),
        modal_density: 0.0483,
        modal_overlap: frequencies.iter().map(|f| 0.0483 * 0.022 * f).collect(),
        overlap_one: Some(1.0 / (0.0483 * 0.022)),
        coincidence: (3990.0, 6250.0),
    }
}

fn warnings() -> Vec<Warning> {
    vec![
        Warning::new(
            "modes",
            "Thin-plate theory is about 9 % too stiff at 20 kHz; expect modes above 12 kHz a little lower.",
        ),
        Warning::new(
            "centre",
            "Below 31.5 Hz no spherical wave explains more than half of the pressure; those centres are left out.",
        ),
        Warning::new(
            "exciter",
            "The left exciter moves 1.2 mm at 20 Hz, beyond its rated 0.8 mm. Cut the bass below 50 Hz.",
        ),
        Warning::new("something new", "A warning whose key no section knows must still be seen."),
    ]
}

/// One of each.
fn attachments() -> Attachments {
    let (name, loss_factor) = (String::from, 0.1);
    Attachments {
        masses: vec![PointMass {
            name: name("lead disc"),
            position: [0.62, 0.1],
            mass: 0.012,
            diameter: 0.02,
        }],
        hangs: [0.09, 0.67]
            .iter()
            .zip(["left cord", "right cord"])
            .map(|(&x, cord)| Hang {
                name: name(cord),
                position: [x, 0.49],
                stiffness: 2e3,
                loss_factor,
                diameter: 0.0,
            })
            .collect(),
        patches: vec![Patch {
            name: name("felt & foil"),
            corner: [0.08, 0.06],
            size: [0.12, 0.09],
            surface_mass: 1.1,
            stiffness: 0.8,
            loss_factor,
        }],
        bars: vec![Bar {
            name: name("batten"),
            ends: [[0.3, 0.05], [0.52, 0.08]],
            line_mass: 0.06,
            stiffness: 4.0,
            torsional_stiffness: 0.6,
            loss_factor,
        }],
    }
}

/// The findings: invented, see the module.
pub fn findings() -> Findings {
    static MADE: OnceLock<Findings> = OnceLock::new();
    MADE.get_or_init(invent).clone()
}

fn invent() -> Findings {
    let scene = scene();
    let frequencies = frequencies();
    let sensitivity = blurred(&curve(&frequencies, 0.3, 1.0), 1);
    let power_level: Vec<f64> = blurred(&sensitivity, 4).iter().map(|l| l + 4.0).collect();
    let radiated: Vec<f64> = power_level.iter().map(|l| 1e-12 * 10f64.powf(l / 10.0)).collect();
    let coil_heat: Vec<f64> = frequencies.iter().map(|f| 0.9 / (1.0 + f / 9000.0)).collect();
    let structure: Vec<f64> =
        frequencies.iter().map(|f| 0.02 * 10f64.powf(ripple(SPOTS[0], *f) / 20.0)).collect();
    let suspension: Vec<f64> = frequencies.iter().map(|f| 0.004 / (1.0 + (f / 300.0).powi(2))).collect();
    let supports: Vec<f64> = suspension.iter().map(|loss| 0.3 * loss).collect();
    let electrical = (0..POINTS).map(|i| coil_heat[i] + structure[i] + suspension[i] + supports[i]).collect();
    let z = impedance(&frequencies);
    let lowest =
        z.iter().enumerate().min_by(|a, b| a.1.norm().total_cmp(&b.1.norm())).expect("curves have points");
    let lowest_impedance = (frequencies[lowest.0], lowest.1.norm());
    let (output, velocity) = (map(0.1, 0.1, (49, 37), 80.0), map(0.0, 0.0, (39, 27), -60.0));
    Findings {
        summary: vec![
            "Invented findings for a test of the page: no solver made these numbers.".into(),
            "Loud in the middle: at table 1 the panel plays from 71 Hz to beyond 20 kHz within 10 dB.".into(),
            "Dead spots in several bands; the deepest lies at x 620 mm, y 60 mm in the 160 Hz band.".into(),
            "Above 400 Hz the acoustic centre stays within 30 mm of the middle between the exciters.".into(),
        ],
        warnings: warnings(),
        variations: Some(Variations { count: VARIATIONS, seed: 1 }),
        panel: panel(&frequencies),
        seats: scene.receivers.seats.iter().enumerate().map(|(i, s)| seat(s, i, &frequencies)).collect(),
        sensitivity: Sensitivity {
            level: sensitivity,
            mean: 80.7,
            mean_spread: Some(spread_about(80.7, 0.6)),
        },
        polar: polar(),
        power_level,
        directivity_index: frequencies
            .iter()
            .map(|f| 3.0 + 9.0 * (f / 4000.0).min(1.6) + noise(*f))
            .collect(),
        dead_spots: spots(&output),
        quiet_places: spots(&velocity),
        map: output,
        panel_map: velocity,
        centres: centres(),
        exciters: scene
            .exciters
            .iter()
            .zip([0.0, 0.3])
            .map(|(e, shift)| exciter_findings(e, &frequencies, shift))
            .collect(),
        channels: vec![ChannelFindings {
            name: "amplifier".into(),
            load: ChannelLoad { current: z.iter().map(|z| 2.83 / (z + 0.1)).collect(), impedance: z },
            lowest_impedance,
        }],
        balance: PowerBalance {
            electrical,
            coil_heat,
            suspension,
            structure,
            supports,
            radiated: radiated.clone(),
        },
        radiated,
        frequencies,
    }
}

/// Text that stands for the case file.
pub const CASE_TEXT: &str = "# Invented, for tests of the report.\ntitle = \"Specimen: tea room by the harbour\"\n\n[panel]\nwidth = \"760 mm\"\nheight = \"520 mm\"  # <poplar> & paint\n";

/// Cautions that stand for the program's own.
pub const CAUTIONS: [&str; 3] = [
    "Hearing: start quietly; sweeps at these levels can hurt.",
    "Coil heat: stay below the rated power, also for test tones.",
    "Hanging loads: a panel overhead needs a second, independent fixing.",
];
