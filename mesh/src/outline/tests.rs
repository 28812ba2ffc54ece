use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

fn sum(outline: &Outline, f: impl Fn(&RimPoint) -> f64) -> f64 {
    let rim = outline.rim(0.02, NonZeroUsize::new(6).expect("positive"));
    rim.iter().map(|p| p.weight * f(p)).sum()
}

/// Rim integrals against perimeter and area: `∮ ds`, `∮ x n_x ds`, `∮ y n_y ds`, and `∮ n ds = 0`.
fn rim_closes(outline: &Outline, slack: f64) {
    let area = outline.area();
    assert_relative_eq!(sum(outline, |_| 1.0), outline.perimeter(), max_relative = slack);
    assert_relative_eq!(sum(outline, |p| p.position[0] * p.normal[0]), area, max_relative = slack);
    assert_relative_eq!(sum(outline, |p| p.position[1] * p.normal[1]), area, max_relative = slack);
    assert!(sum(outline, |p| p.normal[0]).abs() < slack * outline.perimeter());
    assert!(sum(outline, |p| p.normal[1]).abs() < slack * outline.perimeter());
    let rim = outline.rim(0.02, NonZeroUsize::new(6).expect("positive"));
    assert!(rim.windows(2).all(|p| p[0].contour < p[1].contour || p[0].along < p[1].along));
}

fn quarter_turn_cubic(centre: [f64; 2], radius: f64, turn: f64) -> Piece {
    const K: f64 = 0.552_284_749_830_793_4;
    let point = |x: f64, y: f64| {
        let [x, y] = vector::turned([radius * x, radius * y], turn);
        [centre[0] + x, centre[1] + y]
    };
    Piece::Cubic { points: [point(1.0, 0.0), point(1.0, K), point(K, 1.0), point(0.0, 1.0)] }
}

fn all_kinds() -> Vec<Outline> {
    let rectangle = Outline::Rectangle { width: 0.7, height: 0.4 };
    let ring = rectangle.clone().with_cutouts(vec![
        Contour::ellipse([0.2, 0.2], 0.1, 0.2),
        Contour::rounded_rectangle([0.4, 0.1], 0.2, 0.1, 0.03),
    ]);
    let cubic = Contour {
        pieces: (0..4).map(|i| quarter_turn_cubic([3.0, -2.0], 0.3, 0.5 * PI * f64::from(i))).collect(),
    };
    vec![
        rectangle,
        Outline::RoundedRectangle { width: 0.7, height: 0.4, radius: 0.05 },
        Outline::RoundedRectangle { width: 0.7, height: 0.4, radius: 0.2 },
        Outline::Ellipse { width: 0.7, height: 0.4 },
        Outline::of_contours(Contour::polygon(&[[0.1, 0.1], [0.9, 0.0], [0.5, 0.3], [0.6, 0.8]]), vec![])
            .expect("a polygon"),
        ring.expect("holes inside"),
        Outline::of_contours(cubic, vec![]).expect("a round shape"),
    ]
}

#[test]
fn rims_close_and_enclose_their_area() {
    all_kinds().iter().for_each(|outline| rim_closes(outline, 1e-9));
}

#[test]
fn areas_and_perimeters_are_those_of_the_formulas() {
    let rounded = Outline::RoundedRectangle { width: 0.7, height: 0.4, radius: 0.05 };
    assert_relative_eq!(rounded.area(), 0.28 - (4.0 - PI) * 0.0025, max_relative = 1e-13);
    assert_relative_eq!(rounded.perimeter(), 2.2 - 0.4 + TAU * 0.05, max_relative = 1e-13);
    let ellipse = Outline::Ellipse { width: 0.7, height: 0.4 };
    assert_relative_eq!(ellipse.area(), PI * 0.07, max_relative = 1e-13);
    // Perimeter 4 a E(e): complete elliptic integral by the arithmetic-geometric mean (Abramowitz & Stegun 17.6).
    assert_relative_eq!(ellipse.perimeter(), by_the_mean(0.35, 0.2), max_relative = 1e-12);
}

fn by_the_mean(a: f64, b: f64) -> f64 {
    let (mut x, mut y, mut total, mut power) = (a, b, a * a, 0.5);
    total -= power * (x * x - y * y);
    while (x - y).abs() > 1e-16 * x {
        (x, y) = (0.5 * (x + y), (x * y).sqrt());
        power *= 2.0;
        total -= power * (x * x - y * y);
    }
    // 4 a K (1 − Σ 2^(n−1) c_n²/a²) with K = π / (2 x).
    TAU * total / x
}

#[test]
fn the_bounding_box_starts_at_the_origin_and_is_tight() {
    for outline in all_kinds() {
        let (width, height) = outline.bounding_box();
        let points = outline.polylines(1e-9).concat();
        let (low, high) = points.iter().fold(([f64::MAX; 2], [f64::MIN; 2]), |(low, high), p| {
            ([0, 1].map(|k| low[k].min(p[k])), [0, 1].map(|k| high[k].max(p[k])))
        });
        assert!(low.iter().all(|v: &f64| v.abs() < 1e-7), "{outline:?}: {low:?}");
        assert!((high[0] - width).abs() < 1e-7 && (high[1] - height).abs() < 1e-7, "{outline:?}");
    }
}

#[test]
fn a_tilted_ellipse_is_boxed_exactly() {
    let piece = Piece::Arc { centre: [0.0, 0.0], radii: [2.0, 1.0], tilt: 0.4, start: 1.0, sweep: -TAU };
    let (low, high) = piece.bounds();
    // Half width √(a² cos² + b² sin²).
    let (s, c) = 0.4f64.sin_cos();
    assert_relative_eq!(high[0], (4.0 * c * c + s * s).sqrt(), max_relative = 1e-14);
    assert_relative_eq!(-low[1], (4.0 * s * s + c * c).sqrt(), max_relative = 1e-14);
}

#[test]
fn distances_of_closed_forms_and_of_general_shapes_agree() {
    let pairs = [
        Outline::RoundedRectangle { width: 0.7, height: 0.4, radius: 0.05 },
        Outline::Ellipse { width: 0.7, height: 0.4 },
        Outline::Ellipse { width: 0.3, height: 0.4 },
    ];
    for simple in pairs {
        let general = Outline::Shape(Shape::new(simple.curves()[0].clone(), vec![]).expect("sound"));
        for i in 0..=40 {
            for j in 0..=40 {
                let point = [0.025 * f64::from(i) - 0.1, 0.02 * f64::from(j) - 0.1];
                let (a, b) = (simple.distance_inside(point), general.distance_inside(point));
                assert!((a - b).abs() < 2e-6, "{simple:?} at {point:?}: {a} and {b}");
            }
        }
        assert_eq!(general.mirror_symmetry(), [true, true]);
    }
}

#[test]
fn points_on_the_rim_are_of_the_panel_and_a_hair_outside_are_not() {
    for outline in all_kinds() {
        for node in outline.rim(0.05, NonZeroUsize::new(3).expect("positive")) {
            let step = |by: f64| [0, 1].map(|k| node.position[k] + by * node.normal[k]);
            assert!(outline.contains(step(-1e-9)), "{outline:?} at {node:?}");
            assert!(!outline.contains(step(1e-9)), "{outline:?} at {node:?}");
        }
    }
}

#[test]
fn a_lopsided_shape_is_not_symmetric() {
    let triangle = |tip: f64| Contour::polygon(&[[0.0, 0.0], [1.0, 0.0], [tip, 0.8]]);
    let symmetry = |tip| Outline::of_contours(triangle(tip), vec![]).expect("a triangle").mirror_symmetry();
    assert_eq!(symmetry(0.5), [true, false]);
    assert_eq!(symmetry(0.501), [false, false]);
}

#[test]
fn a_rectangle_drawn_from_its_lower_left_is_a_rectangle() {
    let drawn = Contour::polygon(&[[2.0, 1.0], [2.0, 1.5], [3.0, 1.5], [3.0, 1.0]]);
    assert_eq!(Outline::of_contours(drawn, vec![]), Ok(Outline::Rectangle { width: 1.0, height: 0.5 }));
}

#[test]
fn shapes_survive_being_written_and_read() {
    for outline in all_kinds() {
        let text = serde_json::to_string(&outline).expect("plain data");
        let back: Outline = serde_json::from_str(&text).expect("as written");
        // The reader of numbers may miss the last bit.
        let (a, b) = (outline.polylines(1e-4).concat().concat(), back.polylines(1e-4).concat().concat());
        assert_eq!((a.len(), back.contours()), (b.len(), outline.contours()));
        assert!(a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 1e-14), "{text}");
    }
}

fn faults_of(points: &[[f64; 2]], cutouts: Vec<Contour>) -> Vec<Fault> {
    Outline::of_contours(Contour::polygon(points), cutouts).expect_err("faulty")
}

const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];

#[test]
fn faults_are_found_where_they_are() {
    let bow_tie = faults_of(&[[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]], vec![]);
    assert_eq!(bow_tie, [Fault::NoArea { contour: 0, at: [0.0, 0.0] }]);
    let crossed = faults_of(&[[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 2.0]], vec![]);
    let Fault::Crosses { contours: [0, 0], at } = crossed[0] else { panic!("{crossed:?}") };
    assert!(crossed.len() == 1 && (at[0] - 2.0 / 3.0).abs() < 1e-12 && (at[1] - 2.0 / 3.0).abs() < 1e-12);
    let twice = faults_of(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.0], [1.0, 1.0]], vec![]);
    assert_eq!(twice, [Fault::NoLength { contour: 0, piece: 1, at: [1.0, 0.0] }]);
    let spike = faults_of(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [1.0, 0.5], [0.0, 1.0]], vec![]);
    assert!(spike.contains(&Fault::FoldsBack { contour: 0, at: [1.0, 1.0] }), "{spike:?}");
    let line = faults_of(&[[0.0, 0.0], [1.0, 0.0], [0.5, 0.0]], vec![]);
    assert_eq!(line, [Fault::NoArea { contour: 0, at: [0.0, 0.0] }]);
    let nothing = faults_of(&[], vec![]);
    assert_eq!(nothing, [Fault::Empty { contour: 0 }]);
    let gap = Contour { pieces: vec![Piece::Straight { from: [0.0, 0.0], to: [1.0, 0.0] }] };
    let open = Outline::of_contours(gap, vec![]).expect_err("open");
    assert_eq!(open, [Fault::Open { contour: 0, from: [1.0, 0.0], to: [0.0, 0.0] }]);
}

#[test]
fn cutouts_must_lie_in_the_material() {
    let hole = |x: f64, y: f64, size: f64| Contour::rectangle([x, y], size, size);
    let beside = faults_of(&SQUARE, vec![hole(2.0, 2.0, 0.1)]);
    assert_eq!(beside, [Fault::Outside { contour: 1, at: [2.0, 2.0] }]);
    let across = faults_of(&SQUARE, vec![hole(0.95, 0.5, 0.1)]);
    assert!(matches!(across[0], Fault::Crosses { contours: [0, 1], .. }) && across.len() == 2, "{across:?}");
    let touching = faults_of(&SQUARE, vec![hole(0.9, 0.5, 0.1)]);
    assert!(matches!(touching[0], Fault::Crosses { contours: [0, 1], .. }), "{touching:?}");
    let nested = faults_of(&SQUARE, vec![hole(0.2, 0.2, 0.5), hole(0.3, 0.3, 0.1)]);
    assert_eq!(nested, [Fault::Within { contour: 2, other: 1, at: [0.3, 0.3] }]);
}

#[test]
fn thin_places_are_found_where_they_are_thinnest() {
    // A dumb-bell whose neck of 20 mm narrows to 10 mm at two notches opposite each other.
    let points = [
        [0.0, 0.0],
        [0.2, 0.0],
        [0.2, 0.09],
        [0.25, 0.095],
        [0.3, 0.09],
        [0.3, 0.0],
        [0.5, 0.0],
        [0.5, 0.2],
        [0.3, 0.2],
        [0.3, 0.11],
        [0.25, 0.105],
        [0.2, 0.11],
        [0.2, 0.2],
        [0.0, 0.2],
    ];
    let outline = Outline::of_contours(Contour::polygon(&points), vec![]).expect("a dumb-bell");
    assert_eq!(outline.thin_places(0.009), []);
    let thin = outline.thin_places(0.012);
    let [Fault::Thin { contours: [0, 0], at, width }] = thin[..] else { panic!("{thin:?}") };
    assert_relative_eq!(width, 0.01, max_relative = 1e-9);
    assert!((at[0] - 0.25).abs() < 1e-9 && (at[1] - 0.1).abs() < 1e-9);
    let square = Outline::Rectangle { width: 1.0, height: 1.0 };
    assert_eq!(square.thin_places(0.02), [], "corners are no necks");
    let near = square.with_cutouts(vec![Contour::ellipse([0.5, 0.104], 0.2, 0.2)]).expect("inside");
    let thin = near.thin_places(0.01);
    let [Fault::Thin { contours, at, width }] = thin[..] else { panic!("{thin:?}") };
    assert!(contours.contains(&0) && contours.contains(&1));
    assert!((width - 0.004).abs() < 1e-4 && (at[0] - 0.5).abs() < 2e-3, "{thin:?}");
}

/// A polygon without crossings: points at rising angles round a middle.
fn star(radii: Vec<f64>) -> Vec<[f64; 2]> {
    let count = radii.len() as f64;
    let point = |(i, r): (usize, f64)| {
        let (sin, cos) = (TAU * i as f64 / count).sin_cos();
        [r * cos, r * sin]
    };
    radii.into_iter().enumerate().map(point).collect()
}

fn shoelace(points: &[[f64; 2]]) -> f64 {
    let next = points.iter().cycle().skip(1);
    0.5 * points.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>()
}

#[test]
fn ten_thousand_points_are_quick() {
    let radii = (0..10_000).map(|i| 0.4 + 0.05 * (37.0 * f64::from(i)).sin()).collect();
    let start = std::time::Instant::now();
    let outline = Outline::of_contours(Contour::polygon(&star(radii)), vec![]).expect("a star");
    outline.thin_places(0.001);
    let inside = (0..100_000).filter(|i| {
        let (x, y) = (f64::from(i % 316) / 316.0, f64::from(i / 316) / 316.0);
        outline.contains([0.9 * x, 0.9 * y])
    });
    assert!(inside.count() > 50_000);
    let seconds = start.elapsed().as_secs_f64();
    assert!(seconds < 20.0, "{seconds} s");
}

#[test]
fn tangles_end() {
    let tangle: Vec<_> =
        (0..10_000).map(f64::from).map(|i| [(i * 12.9898).sin(), (i * 78.233).sin()]).collect();
    assert!(!faults_of(&tangle, vec![]).is_empty());
    let line: Vec<_> = (0..10_000).map(|i| [1e-3 * f64::from(i), 0.0]).collect();
    assert!(!faults_of(&line, vec![]).is_empty());
    assert!(!faults_of(&[[0.5, 0.5]; 10_000], vec![]).is_empty());
    let zigzag: Vec<_> = (0..10_000).map(|i| [1e-4 * f64::from(i), f64::from(i % 2)]).collect();
    assert!(!faults_of(&zigzag, vec![]).is_empty());
}

fn any_float() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -1.0..1.0f64,
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1e308, 1e-308, 0.0, 1e4, 9e3]),
        2 => (0..4i32).prop_map(|i| 0.25 * f64::from(i)),
    ]
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let point = || prop::array::uniform2(any_float());
    prop_oneof![
        (point(), point()).prop_map(|(from, to)| Piece::Straight { from, to }),
        prop::array::uniform4(point()).prop_map(|points| Piece::Cubic { points }),
        (point(), point(), any_float(), any_float(), any_float())
            .prop_map(|(centre, radii, tilt, start, sweep)| Piece::Arc { centre, radii, tilt, start, sweep }),
    ]
}

proptest! {
    #[test]
    fn areas_are_those_of_the_shoelace(radii in prop::collection::vec(0.1..1.0f64, 3..40), turned in any::<bool>()) {
        let mut points = star(radii);
        let area = shoelace(&points);
        if turned {
            points.reverse();
        }
        let outline = Outline::of_contours(Contour::polygon(&points), vec![]).expect("no crossings");
        prop_assert!((outline.area() - area).abs() < 1e-12);
        prop_assert!((shoelace(&outline.polylines(1.0)[0]) - area).abs() < 1e-12, "counter-clockwise");
        rim_closes(&outline, 1e-9);
    }

    #[test]
    fn distances_are_those_to_the_nearest_side(
        radii in prop::collection::vec(0.1..1.0f64, 3..30), x in -0.2..2.2f64, y in -0.2..2.2f64
    ) {
        let outline = Outline::of_contours(Contour::polygon(&star(radii)), vec![]).expect("no crossings");
        let points = &outline.polylines(1.0)[0];
        let next = points.iter().cycle().skip(1);
        let nearest = points.iter().zip(next).map(|(a, b)| {
            let d = [b[0] - a[0], b[1] - a[1]];
            let share = ((x - a[0]) * d[0] + (y - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
            let share = share.clamp(0.0, 1.0);
            (x - a[0] - share * d[0]).hypot(y - a[1] - share * d[1])
        });
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        // Winding number by angles.
        let next = points.iter().cycle().skip(1);
        let angle = |a: &[f64; 2], b: &[f64; 2]| {
            let (a, b) = ([a[0] - x, a[1] - y], [b[0] - x, b[1] - y]);
            (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1])
        };
        let turns: f64 = points.iter().zip(next).map(|(a, b)| angle(a, b)).sum::<f64>() / TAU;
        let expected = if turns > 0.5 { nearest } else { -nearest };
        prop_assert!((outline.distance_inside([x, y]) - expected).abs() < 1e-12);
    }

    #[test]
    fn no_floats_panic(
        contours in prop::collection::vec(prop::collection::vec(any_piece(), 0..6), 1..4),
        points in prop::collection::vec(prop::array::uniform2(any_float()), 0..8),
        probe in prop::array::uniform2(any_float()),
    ) {
        let mut contours: Vec<_> = contours.into_iter().map(|pieces| Contour { pieces }).collect();
        let outer = contours.remove(0);
        let polygon = Outline::of_contours(Contour::polygon(&points), contours.clone());
        for outline in [Outline::of_contours(outer, contours), polygon].into_iter().flatten() {
            prop_assert!(outline.area() > 0.0 && outline.perimeter().is_finite());
            outline.distance_inside(probe);
            outline.thin_places(0.01);
            outline.mirror_symmetry();
        }
    }
}
