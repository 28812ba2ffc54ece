//! Symmetry, threads, and what scores must not depend on.

use super::*;
use crate::plate::Footprint;

#[test]
fn on_a_symmetric_panel_before_seats_on_its_axis_the_scores_are_symmetric() {
    let found = FOAM.singles();
    let grid = &FOAM.grid;
    let mut spread = 0.0f64;
    for (place, [x, y]) in grid.positions.iter().enumerate() {
        let mirrored = grid.nearest([0.5 - x, *y]);
        assert!((grid.positions[mirrored][0] - (0.5 - x)).abs() < 1e-12);
        let [a, b] = [place, mirrored].map(|p| found.scores[p]);
        let pairs = [
            (a.evenness, b.evenness),
            (a.sensitivity, b.sensitivity),
            (a.coverage, b.coverage),
            (a.dips, b.dips),
            (a.extension.unwrap_or(0.0), b.extension.unwrap_or(0.0)),
            (a.robustness.unwrap_or(-1.0), b.robustness.unwrap_or(-1.0)),
        ];
        assert!(pairs.iter().all(|(a, b)| (a - b).abs() < 1e-3 * (1.0 + a.abs())), "{a:?}\n{b:?}");
        // Up and down the seats differ, and so do the scores.
        spread = spread.max((a.evenness - found.scores[grid.nearest([*x, 0.36 - y])].evenness).abs());
    }
    assert!(spread > 0.1, "{spread} dB");
}

#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .stack_size(16 << 20)
            .build()
            .expect("threads");
        pool.install(|| {
            let coarse = Spacing { step: 45e-3, ..SPACING };
            let mut scene = scene(Back::Baffled);
            scene.frequencies = (0..37).map(|i| 100.0 * 2f64.powf(f64::from(i) / 18.0)).collect();
            let found = Found::new(scene, coarse);
            let mixture = found.mixture([1.0, 0.1]);
            format!(
                "{:?} {:?} {:?}",
                found.singles(),
                best_pairs(&mixture, 9),
                best_triples(&mixture, &best_pairs(&mixture, 50), 5, 3)
            )
        })
    };
    assert!(with(1) == with(3));
}

/// More volts are heard as more level and nothing else.
#[test]
fn only_the_sensitivity_knows_the_voltage() {
    let mut loud = FOAM.drive(1);
    loud.iter_mut().for_each(|source| source.blocked_force *= 10.0);
    let quiet = FOAM.singles();
    let loud = singles(&FOAM.reach, (&FOAM.feet, None), &loud, &FOAM.judge, &Weights::default());
    for (loud, quiet) in loud.scores.iter().zip(&quiet.scores) {
        assert!((loud.sensitivity - quiet.sensitivity - 20.0).abs() < 1e-4);
        assert!(
            (loud.evenness - quiet.evenness).abs() < 1e-4
                && loud.dips == quiet.dips
                && loud.coverage == quiet.coverage
        );
        assert!(loud.robustness.is_none() && quiet.robustness.is_some_and(|worse| worse >= 0.0));
    }
}

#[test]
fn a_foot_keeps_clear() {
    let mut scene = scene(Back::Baffled);
    let hang = |x| crate::scene::Hang {
        name: "h".into(),
        position: [x, 0.2],
        stiffness: 1e3,
        loss_factor: 0.1,
        diameter: 0.02,
    };
    // Fine enough that places would lie between the foot's own reach and the clearance.
    let fine = Spacing { step: 4e-3, ..SPACING };
    let whole = PlaceGrid::new(&scene, 0.025, fine).expect("room").len();
    scene.attachments.hangs = vec![hang(0.25)];
    let grid = PlaceGrid::new(&scene, 0.025, fine).expect("room");
    assert!(grid.len() < whole);
    for [x, y] in &grid.positions {
        assert!(x.min(*y).min(0.5 - x).min(0.36 - y) >= 0.0175 - 1e-12);
        assert!((x - 0.25).hypot(y - 0.2) >= 0.0275 - 1e-12);
    }
    let none = PlaceGrid::new(&scene, 0.4, SPACING).expect_err("wider than the panel is high");
    assert!(none.to_string().contains("400 mm"), "{none}");
}

#[test]
fn what_cannot_be_searched_is_said() {
    let mut unknown =
        scene(Back::Vented { depth: 0.05, loss_factor: 0.1, vent_area: 2e-3, vent_length: 0.05 });
    let error = |scene: &Scene| Reach::new(scene, &FOAM.modes, &|_, _| {}).expect_err("refused").to_string();
    assert!(error(&unknown).contains("a back that is vented"), "{}", error(&unknown));
    unknown.panel.back = Back::Baffled;
    unknown.receivers.seats.clear();
    assert!(error(&unknown).contains("no seat"));
    unknown.frequencies = vec![200.0, 210.0, 220.0];
    assert!(
        Judge::new(&unknown, &FOAM.modes)
            .is_err_and(|e| e.to_string().contains("hold 0 of the sixth octaves"))
    );
}

/// Shapes and static give are worked out for one of each four mirror images: they are those of every foot by itself.
#[test]
fn feet_at_mirror_images_move_and_give_way_as_by_themselves() {
    let diameter = FOAM.scene.exciters[0].foot_diameter;
    let rings: Vec<Footprint> =
        FOAM.feet.positions.iter().map(|&centre| Footprint::ring(centre, diameter)).collect();
    let (_, each) = FOAM.modes.bare_with_residual(&rings);
    let largest = each.iter().copied().fold(0.0, f64::max);
    for (found, own) in FOAM.feet.residual.iter().zip(&each) {
        assert!((found - own).abs() < 1e-9 * largest, "{found} {own}");
    }
    assert!(each.iter().any(|own| *own < 0.8 * largest), "places differ");
    let shapes = FOAM.modes.averaged(&rings);
    let most = shapes.iter().fold(0.0f64, |most, phi| most.max(phi.abs()));
    let off = (&FOAM.feet.shapes - &shapes).iter().fold(0.0f64, |most, phi| most.max(phi.abs()));
    assert!(off < 1e-9 * most, "{off} {most}");
}
