//! What cannot be built says which part, where, and what to do.

use super::*;
use panelwright_mesh::{Contour, Outline};

fn plain() -> SmallDriver {
    driver(ROUND, SEALED, DiaphragmForm::Flat)
}

fn says(driver: &SmallDriver, form: SurroundForm, behind: &Behind, words: &[&str]) {
    let text = refused(driver, form, behind).to_string();
    assert!(words.iter().all(|word| text.contains(word)), "{text}");
}

fn wings(count: usize, height: f64, gap: f64, turned: f64) -> SurroundForm {
    let (length, opening, thickness, rounding) = (0.04, FRAC_PI_2, 0.003, 0.0);
    SurroundForm::Wings { count, length, height, opening, thickness, gap, rounding, turned }
}

fn post(z: f64) -> SurroundForm {
    SurroundForm::Post { diameter: 0.006, length: 0.07, middle: [0.0, 0.0, z], turned: 0.0 }
}

#[test]
fn impossible_measures_name_the_part() {
    let free = &Behind::Nothing;
    let with = |change: &dyn Fn(&mut SmallDriver)| {
        let mut driver = plain();
        change(&mut driver);
        driver
    };
    says(
        &with(&|d| d.housing.depth = f64::NAN),
        SurroundForm::Bare,
        free,
        &["housing: the depth of the housing is NaN mm"],
    );
    says(
        &with(&|d| d.diaphragm.radius = -0.01),
        SurroundForm::Bare,
        free,
        &["radius of the diaphragm is -10 mm"],
    );
    says(&with(&|d| d.place[1] = f64::NAN), SurroundForm::Bare, free, &["driver: its place or angle"]);
    says(
        &plain(),
        SurroundForm::RoundOver { radius: 0.0 },
        free,
        &["housing: the radius of the round-over is 0 mm"],
    );
    says(&plain(), SurroundForm::RoundOver { radius: 0.02 }, free, &["it does not fit into the depth"]);
    says(&plain(), wings(0, 0.02, 0.001, 0.0), free, &["wings: 0 wings cannot be made; ask for 1 to 12"]);
    says(
        &plain(),
        wings(4, 0.06, 0.001, 0.0),
        free,
        &["wings: the height of the wings is 60.0000 mm", "would cross"],
    );
    says(&plain(), wings(4, 0.02, 0.0, 0.0), free, &["wings: the air between it and the housing is 0 mm"]);
    says(
        &plain(),
        wings(4, 0.02, 0.001, f64::NAN),
        free,
        &["wings: its place or angle is not a finite number"],
    );
    let baffle =
        |width, thickness| SurroundForm::Baffle { width, height: 0.12, thickness, gap: 0.001, rounding: 0.0 };
    says(
        &plain(),
        baffle(0.05, 0.006),
        free,
        &["baffle: the width of the baffle is 50.0000 mm", "more than 52.0000 mm"],
    );
    says(&plain(), baffle(0.16, 0.0), free, &["baffle: the thickness is 0 mm"]);
    says(&plain(), baffle(f64::INFINITY, 0.006), free, &["width of the baffle is inf mm"]);
    says(&plain(), baffle(1e5, 0.006), free, &["nothing that large is built"]);
    let flare = SurroundForm::Flare {
        profile: FlareProfile::Conical,
        mouth_radius: 0.02,
        length: 0.04,
        wall: 0.002,
        gap: 0.001,
    };
    says(
        &plain(),
        flare,
        free,
        &["flare: the mouth radius is 20.0000 mm; a flare widens: make it more than 26.0000 mm"],
    );
    let thin = SurroundForm::Post { diameter: 0.0, length: 0.07, middle: [0.0; 3], turned: 0.0 };
    says(&plain(), thin, free, &["post: the diameter of the post is 0 mm"]);
    says(&plain(), post(f64::NAN), free, &["post: its place or angle is not a finite number"]);
    let bracket =
        SurroundForm::Bracket { legs: [0.002, 0.02], thickness: 0.003, width: 0.01, corner: [0.0; 3] };
    says(&plain(), bracket, free, &["bracket: the leg of the bracket is 2.0000 mm"]);
    let fine = built(&plain(), SurroundForm::Bare).meshed(1e-6, [false; 2]).expect_err("far too fine");
    assert!(fine.to_string().contains("housing: sides of 0.001 mm make about"), "{fine}");
}

#[test]
fn balls_say_what_they_cannot_be() {
    let with = |change: &dyn Fn(&mut SmallDriver), form, words: &[&str]| {
        let mut driver = capped_ball();
        change(&mut driver);
        says(&driver, form, &Behind::Nothing, words);
    };
    let bare = SurroundForm::Bare;
    with(&|_| (), SurroundForm::RoundOver { radius: 0.005 }, &["round-over: a ball has no edge"]);
    with(&|d| d.housing.back = OPEN, bare.clone(), &["a ball cannot be open at the back"]);
    with(
        &|d| d.diaphragm.form = DiaphragmForm::Flat,
        bare.clone(),
        &["height of the dome of a ball", "is 7.6393 mm", "instead of none"],
    );
    with(
        &|d| d.housing.depth = 0.05,
        bare.clone(),
        &["the depth of a ball", "is 52.3607 mm", "instead of 50"],
    );
    with(&|d| d.housing.rounding = f64::NAN, bare.clone(), &["the rounding of a ball", "instead of NaN mm"]);
    with(
        &|d| d.diaphragm.radius = 0.03,
        bare.clone(),
        &["radius of the diaphragm is 30", "a cap of the ball"],
    );
    with(
        &|d| d.housing.front = HousingFront::Ball { radius: -0.03 },
        bare,
        &["radius of the ball is -30 mm"],
    );
}

#[test]
fn boxes_say_what_they_cannot_hold() {
    let free = &Behind::Nothing;
    let in_a_box = |form| driver(BOX, SEALED, form);
    says(
        &in_a_box(DiaphragmForm::Cone { depth: 0.008 }),
        SurroundForm::Bare,
        free,
        &["a cone needs a round housing"],
    );
    says(
        &in_a_box(DiaphragmForm::Dome { height: 0.008 }),
        SurroundForm::Bare,
        free,
        &["a dome needs a round housing"],
    );
    says(
        &driver(BOX, OPEN, DiaphragmForm::Flat),
        SurroundForm::Bare,
        free,
        &["only a round housing can be open"],
    );
    let flat = in_a_box(DiaphragmForm::Flat);
    says(&flat, SurroundForm::RoundOver { radius: 0.01 }, free, &["only a round housing can be widened"]);
    says(
        &flat,
        wings(3, 0.02, 0.001, 0.0),
        free,
        &["wing 2: it stands at 120.0°", "ask for 1, 2 or 4 wings"],
    );
    says(&flat, wings(4, 0.02, 0.001, 0.1), free, &["wing 1: it stands at 5.7°"]);
    let mut wide = flat;
    wide.diaphragm.radius = 0.028;
    says(&wide, SurroundForm::Bare, free, &["housing: the radius of the piston is 28.0000 mm"]);
}

#[test]
fn parts_that_meet_are_named_with_a_place() {
    let free = &Behind::Nothing;
    says(
        &plain(),
        post(0.001),
        free,
        &["housing and post cross near (", "mm from the middle of the driver's front"],
    );
    let short = SurroundForm::Post { diameter: 0.006, length: 0.02, middle: [0.0; 3], turned: 0.0 };
    says(&plain(), short, free, &["diaphragm and post cross near ("]);
    says(
        &plain(),
        post(0.0031),
        free,
        &["between housing and post there are 0.100 mm of air", "leave at least 0.2 mm"],
    );
    assert!(Assembly::new(&plain(), &surround(post(0.0033)), free).is_ok());
    let inside =
        SurroundForm::Post { diameter: 0.003, length: 0.004, middle: [0.0, 0.0, -0.01], turned: 0.0 };
    says(&plain(), inside, free, &["post lies within housing, at (", "move it out"]);
    says(&plain(), wings(4, 0.02, 0.0001, 0.0), free, &["between housing and wing 1", "0.2 mm"]);
    let dome = driver(ROUND, SEALED, DiaphragmForm::Dome { height: 0.008 });
    says(&dome, post(0.006), free, &["diaphragm and post cross"]);
    // Wings of a box may meet at its corners: nothing but their places tells.
    let wide = SurroundForm::Wings {
        count: 4,
        length: 0.04,
        height: 0.08,
        opening: FRAC_PI_2,
        thickness: 0.003,
        gap: 0.001,
        rounding: 0.0,
        turned: 0.0,
    };
    says(&driver(BOX, SEALED, DiaphragmForm::Flat), wide, free, &["wing 1 and wing 2 cross"]);
}

#[test]
fn parts_from_files_must_be_sound() {
    let SurroundForm::Part { mut surface, file } = ball() else { panic!("a part") };
    let whole = surface.clone();
    surface.triangles.pop();
    surface.patches.pop();
    let open = SurroundForm::Part { surface, file: file.clone() };
    says(&plain(), open, &Behind::Nothing, &["ball.stl: the surface is open"]);
    let mut low = whole;
    low.points.iter_mut().for_each(|point| point.z -= 0.02);
    let low = SurroundForm::Part { surface: low, file };
    says(&plain(), low, &Behind::Nothing, &["diaphragm and ball.stl cross near"]);
}

#[test]
fn the_panel_is_kept_off() {
    let at = |z| {
        let mut driver = plain();
        driver.place[2] = z;
        driver
    };
    let words = ["housing reaches back to (", "-5) mm in panel coordinates", "forward by at least 5.200 mm"];
    says(&at(0.015), SurroundForm::Bare, &Behind::Plane, &words);
    assert!(Assembly::new(&at(0.0203), &surround(SurroundForm::Bare), &Behind::Plane).is_ok());
    let gap = built(&at(0.0203), SurroundForm::Bare);
    assert!((gap.least_gap().expect("a plane").span.length() - 0.0003).abs() < 1e-12);
    let board = Behind::Board(Outline::Rectangle { width: 0.6, height: 0.8 });
    says(&at(0.015), SurroundForm::Bare, &board, &words);
    // Above the upper edge the housing may reach behind the panel's front, as far as it keeps off the edge.
    let mut above = at(0.01);
    above.place[1] = 0.8 + 0.025 + 0.001;
    let assembly =
        Assembly::new(&above, &surround(SurroundForm::Bare), &board).unwrap_or_else(|f| panic!("{f}"));
    let gap = assembly.least_gap().expect("a board");
    assert_eq!(gap.parts, ["housing", "panel"]);
    assert!((gap.span.length() - 0.001).abs() < 2e-5, "{gap:?}");
    assert!((gap.span.middle().z).abs() < 0.0002, "the assembly's z is the panel's: {gap:?}");
    above.place[2] = 0.003;
    says(&above, wings(4, 0.02, 0.001, 0.0), &board, &["wing 4 reaches back to"]);
    // In a cut-out it may, too; its edge is looked at where no corner of the housing tells.
    let hole = |size| {
        let cut = vec![Contour::ellipse([0.3, 0.4], size, size)];
        Behind::Board(Outline::Rectangle { width: 0.6, height: 0.8 }.with_cutouts(cut).expect("a hole"))
    };
    assert!(Assembly::new(&at(0.01), &surround(SurroundForm::Bare), &hole(0.054)).is_ok());
    says(&at(0.01), SurroundForm::Bare, &hole(0.048), &["housing reaches back to"]);
    let corner = Contour::polygon(&[[0.0, 0.0], [0.6, 0.0], [0.32, 0.4], [0.6, 0.8], [0.0, 0.8]]);
    let pointed = Behind::Board(Outline::of_contours(corner, vec![]).expect("a panel"));
    let mut beside = driver(BOX, SEALED, DiaphragmForm::Flat);
    beside.place = [0.6, 0.4, 0.01];
    assert!(Assembly::new(&beside, &surround(SurroundForm::Bare), &pointed).is_ok());
}
