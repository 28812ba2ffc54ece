//! How thick a body of revolution is behind a point of its profile.

use super::Section;

/// Chords of a section.
const CHORDS: usize = 32;
/// The far side of a wall faces away by at least 120°.
const OPPOSITE: f64 = 0.5;
/// Hits nearer than this share of the profile's length are the starting point itself.
const ITSELF: f64 = 1e-9;

/// A profile as a chain of chords.
#[derive(Clone, Debug, PartialEq)]
pub struct Walls {
    chords: Vec<[[f64; 2]; 2]>,
    itself: f64,
}

impl Walls {
    /// Of a profile of this length [m].
    pub fn of(sections: &[Section], length: f64) -> Self {
        let chord =
            |section: &Section, i: usize| [i, i + 1].map(|i| section.curve.at(i as f64 / CHORDS as f64));
        let chords =
            sections.iter().flat_map(|section| (0..CHORDS).map(move |i| chord(section, i))).collect();
        Self { chords, itself: ITSELF * length }
    }

    /// Thickness [m] of the wall behind a place with this outward normal, ∞ if nothing faces away.
    pub fn behind(&self, place: [f64; 2], normal: [f64; 2]) -> f64 {
        let inwards = normal.map(|value| -value);
        let ways = self.chords.iter().filter_map(|chord| way(place, inwards, chord));
        ways.filter(|&way| way > self.itself).fold(f64::INFINITY, f64::min)
    }
}

/// Length [m] of the way from a place in a direction to a chord that faces the same way.
fn way(place: [f64; 2], direction: [f64; 2], &[from, to]: &[[f64; 2]; 2]) -> Option<f64> {
    let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let (chord, offset) = ([to[0] - from[0], to[1] - from[1]], [from[0] - place[0], from[1] - place[1]]);
    let determinant = cross(direction, chord);
    // The outward normal of a chord is to its right: its share along the direction is the determinant.
    if determinant <= OPPOSITE * chord[0].hypot(chord[1]) {
        return None;
    }
    let on_chord = cross(offset, direction) / determinant;
    (0.0..=1.0).contains(&on_chord).then(|| cross(offset, chord) / determinant)
}
