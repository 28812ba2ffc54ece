//! Where exciters may go.

use super::errors::says;
use super::{SMALL, read, refused};
use approx::assert_relative_eq;
use panelwright_solver::place::PlaceOptions;
use panelwright_solver::search::exciters::{Rectangle, Weights};

fn with(lines: &str) -> String {
    format!("{SMALL}\n{lines}\n")
}

#[test]
fn a_case_without_the_table_goes_by_the_solvers_defaults() {
    for text in [SMALL.to_owned(), with("[place]"), with("[place.weights]")] {
        assert_eq!(read(&text).expect("loads").places, PlaceOptions::default());
    }
}

#[test]
fn every_key_reaches_the_search() {
    let text = with(
        "[[channel]]\nname = \"a\"\n[place]\nchannel = \"a\"\nstep = \"20 mm\"\nclearance = \"12 mm\"\napart = \"70 mm\"\n\
         [[place.region]]\ncorner = [\"10 %\", \"52 mm\"]\nwidth = \"300 mm\"\nheight = \"200 mm\"\n\
         [[place.keep_out]]\ncorner = [\"-20 mm\", \"0 mm\"]\nwidth = \"100 mm\"\nheight = \"50 mm\"\n\
         [place.weights]\nevenness = 2\nextension = 3\nsensitivity = 4\ncoverage = 5\ndips = 6\nrobustness = 0",
    );
    let places = read(&text).expect("loads").places;
    assert_eq!(places.channel, Some(0));
    let lengths = [places.step, Some(places.clearance), places.apart].map(|length| length.expect("is given"));
    for (length, expected) in lengths.into_iter().zip([20e-3, 12e-3, 70e-3]) {
        assert_relative_eq!(length, expected, max_relative = 1e-12);
    }
    let [region] = &places.allowed.regions[..] else { panic!("one region") };
    assert_relative_eq!(region.corner[0], 0.076, max_relative = 1e-12);
    assert_relative_eq!(region.corner[1], 0.052, max_relative = 1e-12);
    let out = Rectangle { corner: [-0.02, 0.0], size: [0.1, 0.05] };
    assert_eq!(places.allowed.keep_out, [out]);
    let weights = Weights {
        evenness: 2.0,
        extension: 3.0,
        sensitivity: 4.0,
        coverage: 5.0,
        dips: 6.0,
        robustness: 0.0,
    };
    assert_eq!(places.weights, weights);
}

#[test]
fn mistakes_are_shown_in_their_lines() {
    let wrong = |lines: &str, parts: &[&str]| says(&refused(&with(lines)), parts);
    wrong(
        "[place]\nstep = \"2 mm\"",
        &[
            "the search would have 98800 places",
            "step = \"2 mm\"",
            "at most 20000",
            "5 mm or more; 10 mm is usual",
        ],
    );
    wrong("[place]\nstep = \"1 mm\"", &["step = \"1 mm\"", "from 2 mm to 200 mm"]);
    wrong("[place]\nstepp = \"5 mm\"", &["did you mean `step`?"]);
    wrong(
        "[[place.keep_out]]\ncorner = [\"800 mm\", \"0 mm\"]\nwidth = \"10 mm\"\nheight = \"10 mm\"",
        &["lies beside the panel", "corner = [\"800 mm\", \"0 mm\"]", "760 mm wide"],
    );
    wrong(
        "[[place.region]]\ncorner = [\"10 mm\", \"10 mm\"]\nwidth = \"10 mm\"",
        &["`height` is missing from the region"],
    );
    wrong("[place.weights]\ndips = -1", &["dips = -1", "from 0 to 100"]);
    wrong(
        "[[channel]]\nname = \"left\"\n[place]\nchannel = \"lefft\"",
        &["no channel \"lefft\" drives an exciter", "did you mean \"left\"?"],
    );
}

#[test]
fn a_table_without_a_panel_is_told_so() {
    let text = format!("{}\n[place]\nstep = \"10 mm\"\n", super::drivers::ALONE);
    says(&super::drivers::refused(&text), &["`place` belongs to a panel"]);
}
