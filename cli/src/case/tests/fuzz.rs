//! Whatever stands in the file: an answer, never a panic.

use super::{read, shown};
use crate::case::Case;
use proptest::prelude::*;

const DEMO: &str = include_str!("../../../../cases/tea-room.toml");

/// Bits that slips of the pen are made of.
const SCRAPS: [&str; 30] = [
    "\"",
    "'",
    "=",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "\n",
    "#",
    ",",
    ".",
    "-",
    "−",
    "0",
    "1e999",
    "nan",
    "inf",
    "mm",
    "%",
    "°",
    "Ω",
    "\u{feff}",
    "\u{0}",
    "🎵",
    "\"\"\"",
    "[panel]",
    "[[exciter]]",
    "width = 3",
    "\r\n",
];

#[derive(Clone, Debug)]
enum Slip {
    Insert(usize, usize),
    Remove(usize, usize),
    Swap(usize, usize),
    Copy(usize, usize),
}

fn slip() -> impl Strategy<Value = Slip> {
    prop_oneof![
        (any::<usize>(), 0..SCRAPS.len()).prop_map(|(at, scrap)| Slip::Insert(at, scrap)),
        (any::<usize>(), 1usize..40).prop_map(|(at, count)| Slip::Remove(at, count)),
        (any::<usize>(), any::<usize>()).prop_map(|(a, b)| Slip::Swap(a, b)),
        (any::<usize>(), any::<usize>()).prop_map(|(a, b)| Slip::Copy(a, b)),
    ]
}

/// The text after a slip; lines are swapped and copied, characters inserted and removed.
fn slipped(text: &str, slip: &Slip) -> String {
    let mut letters: Vec<char> = text.chars().collect();
    let mut lines: Vec<&str> = text.split('\n').collect();
    let count = lines.len();
    match *slip {
        Slip::Insert(at, scrap) => {
            let at = at % (letters.len() + 1);
            letters.splice(at..at, SCRAPS[scrap].chars());
            return letters.into_iter().collect();
        }
        Slip::Remove(at, number) => {
            let at = at % (letters.len() + 1);
            let end = (at + number).min(letters.len());
            letters.drain(at..end);
            return letters.into_iter().collect();
        }
        Slip::Swap(a, b) => lines.swap(a % count, b % count),
        Slip::Copy(a, b) => lines.insert(b % count, lines[a % count]),
    }
    lines.join("\n")
}

/// What the solver trusts.
fn sound(case: &Case) {
    let scene = &case.scene;
    let section = &scene.panel.section;
    assert!(section.d11 > 0.0 && section.d22 > 0.0 && section.d66 > 0.0);
    assert!(section.d11 * section.d22 > section.d12 * section.d12);
    assert!(section.surface_mass > 0.0 && section.bending_loss.at(1000.0) > 0.0);
    let mut joined: Vec<_> = scene.channels.iter().flat_map(|c| c.exciters.clone()).collect();
    joined.sort_unstable();
    assert_eq!(joined, (0..scene.exciters.len()).collect::<Vec<_>>());
    for exciter in &scene.exciters {
        assert!(scene.panel.outline.distance_inside(exciter.position) >= 0.5 * exciter.foot_diameter);
        assert!(exciter.moving_mass > 0.0 && exciter.coil_resistance > 0.0 && exciter.magnet_mass > 0.0);
    }
    assert!(!scene.frequencies.is_empty() && scene.frequencies.windows(2).all(|f| f[0] < f[1]));
    assert!(scene.receivers.seats.iter().all(|s| s.position[2] > 0.0));
    assert!(scene.air.density > 0.1 && scene.air.sound_speed > 100.0);
}

/// Reads, and renders what is said.
fn answer(text: &str) {
    match read(text) {
        Ok(case) => {
            sound(&case);
            case.warnings_to_show().iter().for_each(|w| assert!(!shown(w).is_empty()));
            assert!(!crate::case::describe(&case).is_empty());
        }
        Err(problems) => {
            assert!(!problems.list().is_empty());
            for problem in problems.list() {
                assert!(text.get(problem.span.clone()).is_some(), "{problem:?} points outside");
                assert!(!problem.help.is_empty(), "{problem:?} does not help");
            }
            assert!(shown(&problems).contains("my.toml"));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn slips_in_the_demo_case_are_answered(slips in prop::collection::vec(slip(), 1..6)) {
        let text = slips.iter().fold(DEMO.to_owned(), |text, slip| slipped(&text, slip));
        answer(&text);
    }

    #[test]
    fn any_text_is_answered(text in "\\PC{0,200}") {
        answer(&text);
    }

    #[test]
    fn any_value_of_any_key_is_answered(line in 0usize..200, value in "(\"[-0-9.,]{0,6} ?[a-zA-Z/%°Ω0-9]{0,4}\"|[-0-9.e]{1,8}|true|\\[.{0,9}\\]|\\{.{0,9}\\})") {
        let mut lines: Vec<String> = DEMO.lines().map(str::to_owned).collect();
        let keys: Vec<_> = (0..lines.len()).filter(|i| !lines[*i].starts_with('#') && lines[*i].contains(" = ")).collect();
        let at = keys[line % keys.len()];
        let key = lines[at].split(" = ").next().unwrap_or_default().to_owned();
        lines[at] = format!("{key} = {value}");
        answer(&lines.join("\n"));
    }
}

#[test]
fn deep_nesting_is_answered() {
    answer(&format!("a = {}", "[".repeat(100_000)));
    answer(&format!("a = {}", "{ b = ".repeat(50_000)));
    answer(&format!("[{}x]", "a.".repeat(50_000)));
}
