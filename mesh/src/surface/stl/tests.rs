use super::*;
use proptest::prelude::*;

fn cube() -> Surface {
    let points =
        (0..8).map(|i| Vector3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2)) * 0.02);
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    let patches = (0..12).map(|i| i / 2).collect();
    Surface { points: points.collect(), triangles, patches }
}

fn fault(bytes: &[u8]) -> StlFault {
    read(bytes, MILLIMETRE).expect_err("bad bytes")
}

fn with_count(count: u32) -> Vec<u8> {
    let mut bytes = write_binary(&cube(), MILLIMETRE);
    bytes[80..84].copy_from_slice(&count.to_le_bytes());
    bytes
}

#[test]
fn both_forms_bring_the_cube_back() {
    let text = write_text(&cube(), MILLIMETRE);
    for (bytes, patches) in [(write_binary(&cube(), MILLIMETRE), 1), (text.into_bytes(), 6)] {
        let read = read(&bytes, MILLIMETRE).expect("a cube");
        assert_eq!((read.points.len(), read.triangles.len()), (8, 12));
        assert!((read.volume() - 8e-6).abs() < 1e-12);
        assert!(read.edges().values().all(|sides| sides.len() == 2));
        let mut found = read.patches.clone();
        found.dedup();
        assert_eq!(found.len(), patches);
    }
}

#[test]
fn text_keeps_every_digit() {
    let surface = Surface {
        points: vec![Vector3::new(0.1, 0.2, 1.0 / 3.0), Vector3::x(), Vector3::y()],
        triangles: vec![[0, 1, 2]],
        patches: vec![0],
    };
    assert_eq!(read(write_text(&surface, 1.0).as_bytes(), 1.0).as_ref(), Ok(&surface));
}

#[test]
fn the_unit_is_the_readers() {
    let inches = write_text(&cube(), 0.0254).into_bytes();
    assert!((read(&inches, 0.0254).expect("a cube").volume() - 8e-6).abs() < 1e-15);
    for unit in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(read(&inches, unit), Err(StlFault::Unit { .. })), "{unit}");
    }
}

#[test]
fn a_binary_header_may_say_solid() {
    let mut bytes = write_binary(&cube(), MILLIMETRE);
    bytes[..20].copy_from_slice(b"solid facet endsolid");
    assert_eq!(read(&bytes, MILLIMETRE).map(|cube| cube.triangles.len()), Ok(12));
}

#[test]
fn empty_and_foreign_files_are_named() {
    assert_eq!(fault(b""), StlFault::Empty);
    assert_eq!(fault(&[0; 84]), StlFault::NoFacets);
    assert_eq!(fault(b"solid\nendsolid"), StlFault::NoFacets);
    assert_eq!(fault(b"\x89PNG\r\n"), StlFault::NotStl { start: "\\x89PNG\\r\\n".into() });
    let long = "It was a dark and stormy night. ".repeat(100);
    assert_eq!(fault(long.as_bytes()), StlFault::NotStl { start: "It was a dark and stormy".into() });
}

#[test]
fn lengths_are_told() {
    let bytes = write_binary(&cube(), MILLIMETRE);
    let short = StlFault::CutShort { expected: 12, found: 9, expected_bytes: 684, found_bytes: 550 };
    assert_eq!(fault(&bytes[..550]), short);
    assert!(short.to_string().contains("12 facets (684 bytes), there are 9 (550 bytes)"));
    let long = StlFault::TooLong { expected: 3, expected_bytes: 234, found_bytes: 684 };
    assert_eq!(fault(&with_count(3)), long);
    // A count that lies costs nothing.
    assert!(matches!(fault(&with_count(u32::MAX)), StlFault::NotStl { .. }));
    assert!(matches!(
        fault(&with_count(1_000_000)),
        StlFault::CutShort { expected: 1_000_000, found: 12, .. }
    ));
}

#[test]
fn too_many_facets_are_refused() {
    let count = MOST_FACETS as u32 + 1;
    let mut bytes = vec![0; binary::length(count) as usize];
    bytes[80..84].copy_from_slice(&count.to_le_bytes());
    assert_eq!(fault(&bytes), StlFault::TooMany { count: MOST_FACETS + 1 });
}

#[test]
fn numbers_that_are_none_have_a_place() {
    let mut bytes = write_binary(&cube(), MILLIMETRE);
    let at = 84 + 4 * 50 + 12;
    bytes[at..at + 4].copy_from_slice(&f32::NAN.to_le_bytes());
    assert!(matches!(fault(&bytes), StlFault::Coordinate { facet: 5, line: None, .. }));
    let text = write_text(&cube(), MILLIMETRE).replacen("vertex 20", "vertex inf", 1);
    let StlFault::Coordinate { line: Some(line), .. } = fault(text.as_bytes()) else { panic!("coordinate") };
    assert!(text.lines().nth(line - 1).is_some_and(|line| line.contains("inf")));
}

#[test]
fn offending_text_has_its_line() {
    let text = write_text(&cube(), MILLIMETRE);
    let wrong = |from: &str, to: &str| fault(text.replacen(from, to, 1).as_bytes());
    let word = |line, found: &str, expected| StlFault::Word { line, found: found.into(), expected };
    assert_eq!(wrong("vertex", "vortex"), word(4, "vortex", "vertex"));
    assert_eq!(wrong("vertex 0", "vertex 0,5"), word(4, "0,5", "a number"));
    assert_eq!(wrong("endfacet", "and"), word(8, "and", "endfacet"));
    let cut: Vec<_> = text.lines().take(12).collect();
    let end = StlFault::EndsEarly { line: 12, facets: 1, expected: "vertex" };
    assert_eq!(fault(cut.join("\n").as_bytes()), end);
}

proptest! {
    #[test]
    fn garbage_never_panics(bytes in proptest::collection::vec(any::<u8>(), 0..400), cut in 0usize..700) {
        let _ = read(&bytes, MILLIMETRE);
        let mut body = write_binary(&cube(), MILLIMETRE);
        body.truncate(cut);
        body.extend(&bytes);
        let _ = read(&body, MILLIMETRE);
        let _ = read(&[b"solid facet ".as_slice(), &bytes].concat(), MILLIMETRE);
    }

    #[test]
    fn mangled_text_is_an_error_or_a_surface(at in 0usize..1500, byte in any::<u8>()) {
        let mut text = write_text(&cube(), MILLIMETRE).into_bytes();
        let at = at % text.len();
        text[at] = byte;
        if let Ok(surface) = read(&text, MILLIMETRE) {
            prop_assert!(surface.triangles.iter().flatten().all(|&p| (p as usize) < surface.points.len()));
        }
    }

    #[test]
    fn any_triangles_come_back(numbers in proptest::collection::vec(-1.0f32..1.0, 9..90)) {
        let count = numbers.len() / 9;
        let numbers = &numbers[..9 * count];
        let points = numbers.chunks_exact(3).map(|p| Vector3::new(p[0], p[1], p[2]).map(f64::from)).collect();
        let triangles = (0..count as u32).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
        let surface = Surface { points, triangles, patches: vec![0; count] };
        let back = read(&write_binary(&surface, 1.0), 1.0).expect("triangles");
        for triangle in 0..count {
            for (a, b) in surface.corners(triangle).iter().zip(back.corners(triangle)) {
                prop_assert!((a - b).norm() <= 1e-6 * surface.diagonal());
            }
        }
    }
}
