//! The worked cases do what their comments promise. Each is predicted in full.

use num_complex::Complex64;
use panelwright::case::{self, Case};
use panelwright_solver::listening::Findings;
use panelwright_solver::plate::Modes;
use panelwright_solver::scene::{LossCurve, Mount};
use panelwright_solver::{Prediction, predict};
use panelwright_tests::case as path_of;
use std::fs;

/// The case `name` after `edits` of its text, each of which must apply.
fn edited(name: &str, edits: &[(&str, &str)]) -> Case {
    let path = path_of(name);
    let mut text = fs::read_to_string(&path).expect("the case is in the repository");
    for (old, new) in edits {
        assert!(text.contains(old), "{name} no longer says `{old}`");
        text = text.replace(old, new);
    }
    case::parse(&text, &path).unwrap_or_else(|problems| panic!("{:?}", miette_free(&problems)))
}

fn miette_free(problems: &case::Problems) -> Vec<String> {
    problems.list().iter().map(|problem| format!("{problem:?}")).collect()
}

fn predicted(case: &Case) -> Prediction {
    panelwright_solver::single_threaded_blas();
    predict(&case.scene, &|_| {}).expect("a worked case can be predicted")
}

/// Findings that any case must have, finite and consistent.
fn assert_sound(name: &str, case: &Case, findings: &Findings) {
    let count = case.scene.frequencies.len();
    assert!(
        !findings.summary.is_empty() && !findings.centres.is_empty() && !findings.map.bands.is_empty(),
        "{name}"
    );
    for seat in &findings.seats {
        assert_eq!(seat.level.len(), count, "{name}");
        assert!(seat.level.iter().all(|level| level.is_finite()), "{name}: {}", seat.name);
    }
    assert!(findings.radiated.iter().all(|power| *power > 0.0 && power.is_finite()), "{name}");
    let balance = &findings.balance;
    for i in 0..count {
        let mechanical =
            balance.suspension[i] + balance.structure[i] + balance.supports[i] + balance.radiated[i];
        let spent = balance.coil_heat[i] + mechanical;
        let off = (balance.electrical[i] - spent).abs() / balance.electrical[i];
        assert!(
            off < 1e-8,
            "{name}: the power balance is off by {off:.1e} at {:.0} Hz",
            findings.frequencies[i]
        );
    }
}

#[test]
fn every_case_can_be_predicted_and_balances_its_power() {
    let mut cases = 0;
    for entry in fs::read_dir(path_of("")).expect("cases/ exists").flatten() {
        let path = entry.path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let name = entry.file_name().to_string_lossy().into_owned();
        // Cases of small drivers are held to their comments in surround_cases.rs.
        if fs::read_to_string(&path).is_ok_and(|text| !text.contains("[[exciter]]")) {
            continue;
        }
        let case = edited(&name, &[]);
        assert_sound(&name, &case, &predicted(&case).findings);
        cases += 1;
    }
    assert!(cases >= 5, "only {cases} cases");
}

#[test]
fn clamped_frame_raises_the_first_mode() {
    let first = |case: &Case| {
        let modes = Modes::solve(&case.scene.panel, 500.0).expect("a small plate");
        (modes.rigid_body_count(), modes.frequencies[modes.rigid_body_count()])
    };
    let (rigid, clamped) = first(&edited("clamped-frame.toml", &[]));
    assert_eq!(rigid, 0);
    assert!((clamped / 83.6 - 1.0).abs() < 1e-3, "{clamped}");
    let (rigid, free) = first(&edited("clamped-frame.toml", &[("\"clamped\"", "\"free\"")]));
    assert_eq!(rigid, 3);
    assert!(free < clamped);
    let (_, supported) = first(&edited("clamped-frame.toml", &[("\"clamped\"", "\"simply supported\"")]));
    assert!((supported / 45.9 - 1.0).abs() < 1e-3, "{supported}");
}

#[test]
fn one_exciter_in_the_middle_is_mirror_symmetric() {
    let findings = predicted(&edited("one-exciter-in-the-middle.toml", &[])).findings;
    for patterns in [&findings.polar.horizontal, &findings.polar.vertical] {
        for band in patterns.rows() {
            let mirrored = band.iter().rev();
            assert!(band.iter().zip(mirrored).all(|(one, other)| (one - other).abs() < 0.02), "{band}");
        }
    }
}

#[test]
fn one_exciter_in_the_middle_has_its_centre_in_the_middle() {
    // physics: exact by symmetry.
    let case = edited("one-exciter-in-the-middle.toml", &[]);
    let [cx, cy] = case.scene.panel.outline.centre();
    for centre in predicted(&case).findings.centres {
        let [x, y] = centre.intensity.position;
        assert!((x - cx).abs() < 1e-4 && (y - cy).abs() < 1e-4, "{centre:?}");
    }
}

#[test]
fn a_centrally_driven_panel_is_loudest_near_its_centre() {
    // Common practice, no source: averaged over the band.
    let case = edited("one-exciter-in-the-middle.toml", &[]);
    let findings = predicted(&case).findings;
    let map = &findings.map;
    let mut energy = ndarray::Array2::<f64>::zeros((map.x.len(), map.y.len()));
    for band in &map.bands {
        energy += &band.level.mapv(|level| 10f64.powf(0.1 * (level - band.mean)));
    }
    let ((ix, iy), _) = energy.indexed_iter().max_by(|a, b| a.1.total_cmp(b.1)).expect("a map has points");
    let [cx, cy] = case.scene.panel.outline.centre();
    let (width, height) = case.scene.panel.outline.bounding_box();
    let off = ((map.x[ix] - cx) / width).hypot((map.y[iy] - cy) / height);
    assert!(off < 0.2, "loudest at {} m, {} m", map.x[ix], map.y[iy]);
}

#[test]
fn more_modes_show_in_the_impedance_off_centre() {
    let peaks = |position: &str| {
        let old = "[\"50 %\", \"50 %\"]";
        let motion = predicted(&edited("one-exciter-in-the-middle.toml", &[(old, position)])).motion;
        let size: Vec<f64> = motion.channels[0].impedance.iter().map(|z| z.norm()).collect();
        size.windows(3).filter(|w| w[1] > 1.002 * w[0] && w[1] > 1.002 * w[2]).count()
    };
    let (central, aside) = (peaks("[\"50 %\", \"50 %\"]"), peaks("[\"38 %\", \"57 %\"]"));
    assert!(aside > central, "{central} peaks in the middle, {aside} aside");
}

#[test]
fn two_alike_stay_half_way_and_cancel_when_one_is_reversed() {
    let case = edited("two-alike.toml", &[]);
    let prediction = predicted(&case);
    let [cx, _] = case.scene.panel.outline.centre();
    for centre in &prediction.findings.centres {
        assert!((centre.intensity.position[0] - cx).abs() < 1e-4, "{centre:?}");
    }
    let [one, other] = &prediction.motion.exciters[..] else { panic!("two exciters") };
    for (a, b) in one.current.iter().zip(&other.current) {
        assert!((a - b).norm() < 1e-9 * a.norm());
    }
    let mut reversed = case.clone();
    reversed.scene.exciters[1].reversed = true;
    let silent = predicted(&reversed).findings;
    let quieter = silent.sensitivity.level.iter().zip(&prediction.findings.sensitivity.level);
    assert!(quieter.into_iter().all(|(with, without)| with < &(without - 60.0)), "the axis is not silent");
}

#[test]
fn series_and_parallel_differ_by_four() {
    let prediction = predicted(&edited("series-and-parallel.toml", &[]));
    let frequencies = &prediction.motion.frequencies;
    let calm: Vec<usize> =
        (0..frequencies.len()).filter(|&i| (400.0..2000.0).contains(&frequencies[i])).collect();
    let size = |channel: usize| {
        let impedance = &prediction.motion.channels[channel].impedance;
        calm.iter().map(|&i| impedance[i].norm()).sum::<f64>() / calm.len() as f64
    };
    let sizes = [size(0), size(1)];
    let ratio = sizes[0].max(sizes[1]) / sizes[0].min(sizes[1]);
    assert!((ratio / 4.0 - 1.0).abs() < 0.1, "{sizes:?}");
}

#[test]
fn a_floating_magnet_swings_most_at_its_resonance() {
    let prediction = predicted(&edited("floating-magnet.toml", &[]));
    let (frequency, _) = prediction.findings.exciters[0].worst_excursion;
    assert!((frequency / 61.0 - 1.0).abs() < 0.2, "{frequency}");
}

#[test]
fn under_its_resonance_a_floating_magnet_loses_12_db_per_octave() {
    let mut case = edited("floating-magnet.toml", &[]);
    // Far under the panel's first mode only inertia counts.
    case.scene.frequencies = vec![0.5, 1.0];
    let force = &predicted(&case).motion.exciters[0].force;
    let slope = 20.0 * (force[1].norm() / force[0].norm()).log10();
    assert!((slope - 12.04).abs() < 0.1, "{slope} dB");
}

#[test]
fn a_brace_gives_more_output_under_the_magnets_resonance() {
    let mean_energy = |mount: Mount| {
        let mut case = edited("floating-magnet.toml", &[]);
        case.scene.exciters[0].mount = mount;
        let findings = predicted(&case).findings;
        let low = findings.frequencies.iter().zip(&findings.sensitivity.level).filter(|(f, _)| **f < 48.0);
        let energies: Vec<f64> = low.map(|(_, level)| 10f64.powf(0.1 * level)).collect();
        10.0 * (energies.iter().sum::<f64>() / energies.len() as f64).log10()
    };
    let (floating, braced) = (mean_energy(Mount::Floating), mean_energy(Mount::Braced));
    assert!(braced > floating + 3.0, "{floating:.1} dB floating, {braced:.1} dB braced");
}

#[test]
fn damped_aluminium_rings_less() {
    let peak = |case: &Case| {
        let seat = predicted(case).findings.seats.remove(0);
        let smooth =
            seat.smoothed.iter().find(|curve| curve.fraction == 3).expect("third octaves are smoothed");
        seat.level.iter().zip(&smooth.level).map(|(level, mean)| level - mean).fold(f64::MIN, f64::max)
    };
    let mut case = edited("ringing-aluminium.toml", &[]);
    let bare = peak(&case);
    case.scene.panel.section.bending_loss = LossCurve::constant(0.03);
    let damped = peak(&case);
    assert!(damped < bare - 1.0, "highest peak over the mean: {bare:.1} dB bare, {damped:.1} dB damped");
}

#[test]
fn light_foam_yields_in_shear_and_loses_to_the_air() {
    let findings = predicted(&edited("stiff-and-light-foam.toml", &[])).findings;
    let sheared =
        findings.warnings.iter().any(|w| w.concerns == "modes" && w.message.contains("yields in shear"));
    assert!(sheared, "{:?}", findings.warnings);
    assert!(findings.panel.coincidence.0 > 4200.0, "{:?}", findings.panel.coincidence);
    let lost = |of: &[f64]| of.iter().sum::<f64>();
    let balance = &findings.balance;
    let share = lost(&balance.radiated) / lost(&balance.structure);
    assert!(share > 0.01, "the air takes {share} of what the foam takes");
    assert!((findings.panel.mass / 0.178 - 1.0).abs() < 0.02, "{}", findings.panel.mass);
}

#[test]
fn the_results_do_not_depend_on_the_number_of_threads() {
    let case = edited("two-alike.toml", &[]);
    let pressures = |threads: usize| -> Vec<Complex64> {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .stack_size(16 << 20)
            .build()
            .expect("threads start");
        pool.install(|| predicted(&case).findings.seats.into_iter().flat_map(|seat| seat.pressure).collect())
    };
    assert_eq!(pressures(1), pressures(2));
}

/// Below 2 kHz, which takes a second.
const LOW: (&str, &str) = ("to = \"10 kHz\"", "to = \"2 kHz\"");
const MIDDLE: &str = "[\"50 %\", \"50 %\"]";

#[test]
fn a_disc_has_pairs_and_rings() {
    let case = edited("honeycomb-disc.toml", &[]);
    let modes = Modes::solve(&case.scene.panel, 2000.0).expect("a small plate");
    let elastic: Vec<f64> = modes.frequencies.iter().skip(modes.rigid_body_count()).copied().collect();
    assert_eq!(elastic.iter().filter(|&&f| f < 2000.0).count(), 50);
    // Two nodal diameters, the ring, three nodal diameters; thin-plate theory says 83.3 and 139.9 Hz.
    let [a, b, ring, c, d] = elastic[..5] else { panic!("five modes") };
    assert!((b / a - 1.0).abs() < 1e-4 && (d / c - 1.0).abs() < 1e-4, "{elastic:?}");
    for (computed, thin) in [(a, 83.3), (ring, 139.9)] {
        assert!((0.975..0.995).contains(&(computed / thin)), "{computed}");
    }
}

/// Local maxima of the impedance below `top` [Hz].
fn impedance_peaks(prediction: &Prediction, top: f64) -> Vec<f64> {
    let (f, channel) = (&prediction.motion.frequencies, &prediction.motion.channels[0]);
    let size: Vec<f64> = channel.impedance.iter().map(|z| z.norm()).collect();
    (1..f.len() - 1)
        .filter(|&i| f[i] < top && size[i] > 1.0005 * size[i - 1] && size[i] > 1.0005 * size[i + 1])
        .map(|i| f[i])
        .collect()
}

#[test]
fn the_middle_of_a_disc_drives_few_modes_and_is_a_focus() {
    let middle = predicted(&edited("honeycomb-disc.toml", &[LOW]));
    let aside = predicted(&edited("honeycomb-disc.toml", &[LOW, (MIDDLE, "[\"41 %\", \"57 %\"]")]));
    let peaks = [&middle, &aside].map(|prediction| impedance_peaks(prediction, 1990.0));
    assert!((7..=9).contains(&peaks[0].len()), "{:?}", peaks[0]);
    assert!(peaks[1].len() >= 2 * peaks[0].len() - 1, "{:?}", peaks[1]);
    assert!(!peaks[0].iter().any(|f| (160.0..480.0).contains(f)), "{:?}", peaks[0]);
    let map = &middle.findings.panel_map;
    let band = map.bands.iter().find(|band| band.band.nominal == 500.0).expect("a band");
    let loudest = band.level.iter().copied().fold(f64::MIN, f64::max);
    let centre = band.level[(map.x.len() / 2, map.y.len() / 2)];
    assert!((centre - band.mean - 9.6).abs() < 1.0, "{} dB", centre - band.mean);
    assert!(loudest - centre < 0.2, "{loudest} {centre}");
    let axis = [&middle, &aside].map(|prediction| prediction.findings.sensitivity.mean);
    assert!(axis[0] > axis[1] + 1.0, "{axis:?}");
    for centre in &middle.findings.centres {
        assert!(centre.intensity.position.iter().all(|at| (at - 0.23).abs() < 2e-3), "{centre:?}");
    }
}

#[test]
fn a_hole_lowers_frequencies_and_moves_quiet_places() {
    let hole =
        "[[panel.cutout]]\nshape = \"circle\"\ncentre = [\"50 %\", \"290 mm\"]\ndiameter = \"68 mm\"\n";
    let [with, without] = [vec![LOW], vec![LOW, (hole, "")]].map(|edits| {
        let case = edited("panel-with-a-hole.toml", &edits);
        (case.scene.panel.outline.area(), predicted(&case).findings)
    });
    assert!((1.0 - with.0 / without.0 - 0.019).abs() < 5e-4, "{} {}", with.0, without.0);
    let (with, without) = (with.1, without.1);
    let frequencies = with.panel.natural_frequencies.iter().zip(&without.panel.natural_frequencies);
    let falls: Vec<f64> = frequencies.take(12).map(|(with, without)| 1.0 - with / without).collect();
    assert!(falls.iter().all(|fall| (0.001..0.05).contains(fall)), "{falls:?}");
    assert!((falls[3] - 0.046).abs() < 2e-3, "{falls:?}");
    let quiet = |findings: &Findings, [x, y]: [f64; 2]| {
        let spots = findings.quiet_places.iter().filter(|spot| spot.band.nominal == 500.0);
        spots.map(|s| (s.position[0] - x).hypot(s.position[1] - y)).fold(f64::MAX, f64::min)
    };
    assert!(quiet(&without, [0.28, 0.27]) < 0.015, "a quiet place where the hole will be");
    assert!(quiet(&with, [0.28, 0.27]) > 0.04 && quiet(&with, [0.274, 0.216]) < 0.015, "it moves down");
    let louder = with.sensitivity.mean - without.sensitivity.mean;
    assert!(louder.abs() < 1.0, "{louder} dB");
}
