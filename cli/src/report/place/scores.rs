//! One small map for each score.

use super::PlaceInput;
use super::map;
use super::page::percent;
use super::small;
use crate::report::figure;
use crate::report::format;
use maud::{Markup, html};
use ndarray::Array2;
use panelwright_solver::place::ExciterPlaces;
use panelwright_solver::search::exciters::Scores;

/// A score on the page.
struct Shown {
    title: &'static str,
    value: fn(&Scores) -> f64,
    words: fn(f64) -> String,
    /// True when less is better.
    less: bool,
    meaning: &'static str,
}

const SHOWN: [Shown; 6] = [
    Shown {
        title: "Evenness",
        value: |s| s.evenness,
        words: format::decibels,
        less: true,
        meaning: "standard deviation of the third-octave level from 100 Hz to 10 kHz, root mean square over the seats",
    },
    Shown {
        title: "Low end",
        value: |s| s.extension.unwrap_or(f64::NAN),
        words: format::hertz,
        less: true,
        meaning: "where the smoothed mean level rises to within 10 dB of its reference for good",
    },
    Shown {
        title: "Mean level",
        value: |s| s.sensitivity,
        words: format::decibels,
        less: false,
        meaning: "mean of the third-octave levels at the seats from 200 Hz to 4 kHz, at the channel’s voltage",
    },
    Shown {
        title: "Modes driven well",
        value: |s| s.coverage,
        words: percent,
        less: false,
        meaning: "share of the modes whose shape under the foot is at least a third of its root mean square over the panel, every octave counting alike",
    },
    Shown {
        title: "Dips per seat",
        value: |s| s.dips,
        words: |dips| format::fixed(dips, 1),
        less: true,
        meaning: "stretches of frequency more than 10 dB below the third-octave smoothed curve: what is dead at a seat",
    },
    Shown {
        title: "Lost 5 mm off",
        value: |s| s.robustness.unwrap_or(f64::NAN),
        words: format::decibels,
        less: true,
        meaning: "evenness lost when the foot sits 5 mm off in the worst direction",
    },
];

/// The section.
pub fn section(input: &PlaceInput) -> Markup {
    let body = html! {
        p { "One exciter alone at every place. Light is good; stars and rings as above." }
        div.scores { @for shown in &SHOWN { (shown.picture(input)) } }
        dl.facts { @for shown in &SHOWN { div { dt { (shown.title) } dd { (shown.meaning) } } } }
    };
    figure::section("scores", "Every score by itself", &[], &[], body)
}

impl Shown {
    fn picture(&self, input: &PlaceInput) -> Markup {
        let (found, scene) = (&input.findings.exciters, &input.case.scene);
        let values = self.values(found);
        let shading = small::shading(&values, self.less);
        let plane = map::plane(scene);
        let shapes = html! {
            g.cells { (map::cells(found, &plane, &values, &shading)) }
            (map::fixed(&plane, scene))
            (map::marks(&plane, found))
        };
        small::picture(self.title, &plane, &shapes, small::key(&shading, self.words))
    }

    fn values(&self, found: &ExciterPlaces) -> Array2<f64> {
        map::gridded(found, |place| (self.value)(&found.places[place].scores))
    }
}
