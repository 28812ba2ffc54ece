//! STL files as parts around the driver.

use super::housings::in_a_ball;
use super::shown;
use super::surrounds::around;
use crate::case::{DriverCase, describe_driver, parse_driver};
use panelwright_mesh::shapes::{Slab, Sphere};
use panelwright_mesh::{Outline, Surface, stl};
use panelwright_solver::scene::SurroundForm;
use std::fs;

/// A case beside files.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder for the test"))
    }

    fn put(&self, name: &str, bytes: &[u8]) {
        fs::write(self.0.path().join(name), bytes).expect("writes");
    }

    fn read(&self, lines: &str) -> Result<DriverCase, String> {
        let path = self.0.path().join("my.toml");
        parse_driver(&around(lines), &path).map_err(|problems| {
            shown(&problems).split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ")
        })
    }

    #[track_caller]
    fn refuses(&self, lines: &str, parts: &[&str]) {
        let shown = self.read(lines).map(|_| ()).expect_err("must be refused");
        assert!(shown.contains("1 problem "), "{shown}");
        for part in parts {
            assert!(shown.contains(part), "\"{part}\" is not in:\n{shown}");
        }
    }

    /// What is said of a body in millimetres of which only the file is at fault.
    #[track_caller]
    fn refuses_body(&self, body: &Surface, parts: &[&str]) {
        self.put("part.stl", &stl::write_binary(body, 1e-3));
        self.refuses("file = \"part.stl\"", parts);
    }
}

/// A block of 60 × 20 × 10 mm, moved to the right by `right` and before the front by `front` [m].
fn block(right: f64, front: f64) -> Surface {
    let slab = Slab::plain(Outline::Rectangle { width: 0.06, height: 0.02 }, 0.01);
    let mut surface = slab.meshed(0.02).expect("a block");
    for point in &mut surface.points {
        point.x += right;
        point.z += front;
    }
    surface
}

fn without(mut surface: Surface, triangles: usize) -> Surface {
    surface.triangles.drain(..triangles);
    surface.patches.drain(..triangles);
    surface
}

fn inverted(mut surface: Surface) -> Surface {
    surface.triangles.iter_mut().for_each(|corners| corners.swap(0, 1));
    surface
}

#[test]
fn a_sound_part_is_taken_as_it_is() {
    let folder = Folder::new();
    let body = block(0.06, 0.005);
    folder.put("text.stl", stl::write_text(&body, 1e-3).as_bytes());
    folder.put("metres.stl", stl::write_text(&body, 1.0).as_bytes());
    for lines in ["file = \"text.stl\"\nabsorption = 0.3", "file = \"metres.stl\"\nfile_unit = \"m\""] {
        let case = folder.read(lines).expect("sound");
        assert_eq!(case.warnings, []);
        let SurroundForm::Part { surface, .. } = &case.scene.surrounds[0].form else { panic!("no part") };
        assert!((surface.volume() - 0.06 * 0.02 * 0.01).abs() < 1e-12);
        assert_eq!(surface.triangles.len(), body.triangles.len());
        let [low, _] = surface.bounds();
        assert!((low.x - 0.03).abs() < 1e-9 && (low.z + 0.005).abs() < 1e-9);
        let facts = describe_driver(&case);
        assert!(facts.iter().any(|f| f.text.contains(".stl: 60 mm × 20 mm × 10 mm")), "{facts:?}");
    }
}

#[test]
fn what_can_be_mended_is_mended_and_told() {
    let folder = Folder::new();
    let told = |body: &Surface, words: &str| {
        folder.put("part.stl", &stl::write_binary(body, 1e-3));
        let case = folder.read("file = \"part.stl\"").expect("mended");
        let [warning] = &case.warnings[..] else { panic!("{:?}", case.warnings) };
        assert!(warning.message.starts_with("part.stl was mended: "), "{warning:?}");
        assert!(warning.message.contains(words), "{warning:?}");
        assert!(case.source[warning.span.clone()].contains("part.stl"));
        let SurroundForm::Part { surface, .. } = &case.scene.surrounds[0].form else { panic!("no part") };
        assert!((surface.volume() - 0.06 * 0.02 * 0.01).abs() < 1e-11);
    };
    let body = block(0.06, 0.005);
    told(&inverted(body.clone()), "triangles were turned round to face outwards");
    told(&without(body.clone(), 1), "a hole of 3 sides at");
    let mut degenerate = body.clone();
    degenerate.triangles.push([0, 0, 1]);
    degenerate.patches.push(0);
    told(&degenerate, "1 triangles without area were removed");
    let mut twice = body;
    twice.triangles.push(twice.triangles[3]);
    twice.patches.push(0);
    told(&twice, "1 triangles that were there twice were removed");
}

#[test]
fn bodies_that_are_none() {
    let folder = Folder::new();
    let body = || block(0.06, 0.005);
    let open = {
        let mut open = body();
        let keep: Vec<_> = (0..open.triangles.len()).map(|t| open.area_vector(t).x <= 1e-9).collect();
        let mut flags = keep.iter();
        open.triangles.retain(|_| *flags.next().expect("one each"));
        open.patches.truncate(open.triangles.len());
        open
    };
    folder.refuses_body(
        &open,
        &[
            "part.stl: the surface is open",
            "sides",
            "passes (90, ",
            "mm",
            "not a sound body",
            "close the hole in the drawing",
        ],
    );
    let crossing = body().joined(&block(0.1, 0.009));
    folder.refuses_body(&crossing, &["crosses or touches itself at (", "unite or separate the bodies"]);
    folder
        .refuses_body(&ball(0.02).joined(&ball(0.01)), &["lies within shell 0", "unite them in the drawing"]);
}

/// A ball about the middle of the front.
fn ball(radius: f64) -> Surface {
    let lathe = Sphere { radius, cap: 0.0 }.lathe().expect("a ball");
    lathe.meshed(0.4 * radius).expect("a ball")
}

#[test]
fn bodies_that_touch_along_a_side() {
    let folder = Folder::new();
    // Two blocks that share an edge of 10 mm: four triangles meet there.
    let (one, mut other) = (block(0.06, 0.005), block(0.12, 0.005));
    other.points.iter_mut().for_each(|point| point.y += 0.02);
    let both = one.joined(&other);
    folder.put("part.stl", &stl::write_binary(&both, 1e-3));
    let shown = folder.read("file = \"part.stl\"").map(|_| ()).expect_err("not a body");
    assert!(shown.contains("4 triangles meet at the side from (90, 10, "), "{shown}");
    assert!(shown.contains("unite bodies that touch along a line"), "{shown}");
}

#[test]
fn units_taken_for_one_another() {
    let folder = Folder::new();
    folder.put("part.stl", &stl::write_binary(&block(0.06, 0.005), 1.0));
    folder.refuses(
        "file = \"part.stl\"",
        &["the body is 0.06 mm large", "likely in metres: add a line file_unit = \"m\""],
    );
    folder.put("part.stl", &stl::write_binary(&block(0.06, 0.005), 1e-3));
    folder.refuses(
        "file = \"part.stl\"\nfile_unit = \"m\"",
        &["the body is 60000 mm large", "file_unit = \"mm\""],
    );
}

#[test]
fn files_that_are_no_parts() {
    let folder = Folder::new();
    let bytes = stl::write_binary(&block(0.06, 0.005), 1e-3);
    folder.put("empty.stl", b"");
    folder.refuses(
        "file = \"empty.stl\"",
        &["empty.stl cannot be read: the file is empty", "export the body again"],
    );
    folder.put("short.stl", &bytes[..bytes.len() - 70]);
    folder.refuses("file = \"short.stl\"", &["the file is cut short", "copy or export it again"]);
    folder.put("text.stl", b"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n");
    folder.refuses("file = \"text.stl\"", &["text.stl cannot be read: the file ends at line"]);
    folder.put("picture.stl", b"\x89PNG\r\n\x1a\n0000000000000000000");
    folder.refuses("file = \"picture.stl\"", &["this is no STL file"]);
    folder.refuses("file = \"pictur.stl\"", &["there is no file", "did you mean \"picture.stl\"?"]);
    folder.refuses("file = \".\"", &["is not a file", "name the STL file"]);
}

#[test]
fn files_beyond_reason() {
    let folder = Folder::new();
    let sparse = |name: &str, count: u32, length: u64| {
        let mut bytes = vec![b' '; 80];
        bytes.extend(count.to_le_bytes());
        folder.put(name, &bytes);
        let file = fs::OpenOptions::new().write(true).open(folder.0.path().join(name));
        file.and_then(|file| file.set_len(length)).expect("a sparse file");
    };
    let many = stl::MOST_FACETS as u32 + 1;
    sparse("many.stl", many, 84 + 50 * u64::from(many));
    folder.refuses(
        "file = \"many.stl\"",
        &["the file has 2000001 facets, at most 2000000 are read", "coarser tolerance"],
    );
    sparse("huge.stl", u32::MAX, 1 << 36);
    folder.refuses("file = \"huge.stl\"", &["is too large for a part", "coarser tolerance"]);
}

#[test]
fn parts_that_sit_in_the_driver() {
    let folder = Folder::new();
    folder.refuses_body(
        &block(0.04, 0.005),
        &[
            "the part comes too near to the driver at (",
            "touches or cuts into it",
            "+z points to the listener",
        ],
    );
    // The housing ends 20 mm from the axis.
    folder.refuses_body(&block(0.050_05, 0.005), &["0.05 mm of air between", "at least 0.1 mm"]);
    let mut beside = block(0.050_5, 0.005);
    folder.put("part.stl", &stl::write_binary(&beside, 1e-3));
    assert!(folder.read("file = \"part.stl\"").is_ok());
    beside.points.iter_mut().for_each(|point| point.x *= -1.0);
    folder.put("part.stl", &stl::write_binary(&inverted(beside), 1e-3));
    assert!(folder.read("file = \"part.stl\"").is_ok());
    folder.refuses_body(&ball(0.1), &["the part comes too near to the driver"]);
}

/// The ball of 50 mm has its middle 20.7 mm behind the front: a part that a cylinder would meet keeps off the ball, and at its equator
/// one of the same size does not.
#[test]
fn a_part_keeps_off_a_ball_where_the_ball_is() {
    let folder = Folder::new();
    let read = |right: f64, front: f64| {
        let mut part =
            Sphere { radius: 0.003, cap: 0.0 }.lathe().and_then(|l| l.meshed(0.002)).expect("a ball");
        part.points.iter_mut().for_each(|point| {
            point.x += right;
            point.z += front;
        });
        folder.put("part.stl", &stl::write_binary(&part, 1e-3));
        let text = format!("{}[[surround]]\nfile = \"part.stl\"\n", in_a_ball());
        parse_driver(&text, &folder.0.path().join("my.toml")).map(|_| ()).map_err(|problems| shown(&problems))
    };
    assert_eq!(read(0.022, -0.001), Ok(()));
    let told = read(0.025, -0.0207).expect_err("at the equator");
    assert!(told.contains("comes too near to the driver"), "{told}");
}

#[test]
fn thin_walls_are_warned_of() {
    let folder = Folder::new();
    let plate = Slab::plain(Outline::Rectangle { width: 0.06, height: 0.02 }, 4e-4);
    let mut plate = plate.meshed(0.01).expect("a plate");
    plate.points.iter_mut().for_each(|point| point.z += 0.02);
    folder.put("part.stl", &stl::write_binary(&plate, 1e-3));
    let case = folder.read("file = \"part.stl\"").expect("can be computed");
    let [warning] = &case.warnings[..] else { panic!("{:?}", case.warnings) };
    assert!(warning.message.contains("is 0.4 mm thick, thinner than 0.8 mm"), "{warning:?}");
}
