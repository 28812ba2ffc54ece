use super::*;
use crate::Warning;
use crate::drive::PowerBalance;
use crate::listening::{
    AcousticCentre, BandMap, Centre, PanelFindings, Polar, Sensitivity, UsableBand, fractional_octaves,
};
use ndarray::Array2;

const OUTLINE: Outline = Outline::Rectangle { width: 0.76, height: 0.52 };

/// A map whose level falls off from `loud` by 20 dB per metre.
fn map(loud: [f64; 2]) -> OutputMap {
    let nodes =
        |length: f64| -> Vec<f64> { (0..=20).map(|i| length * (-0.1 + 0.06 * f64::from(i))).collect() };
    let (x, y) = (nodes(0.76), nodes(0.52));
    let level =
        Array2::from_shape_fn((21, 21), |(i, j)| 70.0 - 20.0 * (x[i] - loud[0]).hypot(y[j] - loud[1]));
    let bands = fractional_octaves(3, 500.0, 4e3)
        .into_iter()
        .map(|band| BandMap { band, level: level.clone(), mean: 66.0 })
        .collect();
    OutputMap { distance: 0.3, x, y, bands }
}

fn usable(upper_open: bool) -> UsableBand {
    UsableBand {
        drop: 6.0,
        reference: 82.34,
        lower: Some(93.2),
        upper: Some(12345.0),
        lower_open: false,
        upper_open,
    }
}

fn seat(name: &str, usable: Vec<UsableBand>) -> SeatFindings {
    SeatFindings {
        name: name.into(),
        position: [0.0, 0.0, 2.0],
        pressure: vec![],
        level: vec![],
        smoothed: vec![],
        third_octaves: vec![],
        usable,
        a_weighted: 80.0,
    }
}

fn exciter() -> ExciterFindings {
    ExciterFindings {
        name: "left".into(),
        position: [0.3, 0.2],
        excursion: vec![],
        rated_excursion: Some(1e-3),
        worst_excursion: (55.0, 1.84e-3),
        power: vec![],
        rated_power: Some(10.0),
        worst_power: (400.0, 3.0),
    }
}

fn spot() -> DeadSpot {
    let band = fractional_octaves(3, 2500.0, 2500.0)[0];
    DeadSpot { band, position: [0.21, 0.0951], area: 9e-4, extent: [0.0342, 0.0409], depth: 14.3 }
}

fn centres() -> Vec<AcousticCentre> {
    let at = |position| Centre { position, spread: [0.02, 0.02] };
    let bands = fractional_octaves(3, 500.0, 4e3);
    let (first, last) = (bands[0], bands[bands.len() - 1]);
    let centre = |band, position| AcousticCentre { band, intensity: at(position), wave_front: None };
    vec![centre(first, [0.38, 0.26]), centre(last, [0.312, 0.201])]
}

fn findings() -> Findings {
    let empty = OutputMap { distance: 0.0, x: vec![], y: vec![], bands: vec![] };
    let panel = PanelFindings {
        mass: 0.8,
        natural_frequencies: vec![30.0],
        rigid_modes: 3,
        first_shapes: vec![],
        modal_density: 0.04,
        modal_overlap: vec![],
        overlap_one: Some(1250.0),
        coincidence: (3e3, 8e3),
    };
    let arcs = || Array2::zeros((0, 0));
    let polar = Polar { angles: vec![], bands: vec![], horizontal: arcs(), vertical: arcs(), distance: 1.0 };
    let balance = PowerBalance {
        electrical: vec![],
        coil_heat: vec![],
        suspension: vec![],
        structure: vec![],
        radiated: vec![],
    };
    Findings {
        summary: vec![],
        warnings: vec![
            Warning::new("map", "m"),
            Warning::new("modes", "Thin plates only."),
            Warning::new("response", "o"),
            Warning::new("map", "p"),
        ],
        frequencies: vec![50.0, 16e3],
        panel,
        seats: vec![seat("window", vec![usable(true)]), seat("counter", vec![])],
        sensitivity: Sensitivity { level: vec![], mean: 84.26 },
        polar,
        power_level: vec![],
        directivity_index: vec![],
        map: map([0.40, 0.27]),
        panel_map: empty,
        dead_spots: vec![spot(); 5],
        quiet_places: vec![],
        centres: centres(),
        exciters: vec![exciter()],
        channels: vec![],
        balance,
        radiated: vec![],
    }
}

#[test]
fn the_summary_reads_as_intended() {
    let text = summary(&findings(), &OUTLINE);
    let expected = [
        "Loudest in the middle, quietest at the lower left: 4.9 dB apart, averaged over the bands from 500 Hz to 4 kHz, 300 mm in \
         front of the panel.",
        "Dead spot in the 2.5 kHz band, 34 mm wide and 41 mm high; deepest 210 mm from the left and 95 mm from the bottom, seen from the front, \
         14 dB below the map's mean.",
        "2 smaller or shallower dead spots in the 2.5 kHz band are in the table.",
        "Sensitivity 84 dB for 2.83 V at 1 m on the axis, mean of the third octaves from 200 Hz to 4 kHz.",
        "Seat \"window\": usable from 93.2 Hz to 12.3 kHz (end of the computed range), nowhere more than 6 dB below its mean level of 82 dB.",
        "Seat \"counter\": no usable band, no stretch stays within 6 dB below its mean level.",
        "The acoustic centre (by intensity) stays between 312 mm and 380 mm from the left and between 201 mm and 260 mm from the \
         bottom, in the bands from 500 Hz to 4 kHz.",
        "Exciter \"left\": its coil would move ±1.84 mm at 55 Hz, its rating is ±1 mm. Lower the voltage or cut the bass.",
        "Above 1.25 kHz the panel's modes overlap: trust band averages there more than single peaks, which shift with every sheet of \
         material.",
        "Thin plates only.",
    ];
    for sentence in expected {
        assert!(text.iter().any(|s| s == sentence), "missing: {sentence}\n{text:#?}");
    }
    assert_eq!(text.len(), expected.len() + 2, "{text:#?}");
}

#[test]
fn loud_places_are_named_by_where_they_are() {
    for (loud, name) in [([0.7, 0.5], "Loudest at the upper right"), ([0.05, 0.26], "Loudest at the left")] {
        let sentence = loud_and_quiet(&map(loud), &OUTLINE).unwrap();
        assert!(sentence.starts_with(name), "{sentence}");
    }
}

#[test]
fn an_even_map_and_an_empty_one_are_told_apart() {
    let mut even = map([0.38, 0.26]);
    even.bands.iter_mut().for_each(|b| b.level.fill(66.0));
    assert!(loud_and_quiet(&even, &OUTLINE).unwrap().contains("the panel is even"));
    even.bands.clear();
    assert_eq!(loud_and_quiet(&even, &OUTLINE), None);
}

#[test]
fn a_region_along_half_a_side_is_called_a_strip() {
    let strip = |extent| dead_spot(&DeadSpot { extent, ..spot() }, &OUTLINE);
    assert!(strip([0.1, 0.27]).starts_with("Quiet strip") && strip([0.39, 0.1]).starts_with("Quiet strip"));
    assert!(strip([0.37, 0.25]).starts_with("Dead spot"));
}

#[test]
fn no_dead_spots_and_no_overload_are_told_or_left_out() {
    let mut findings = findings();
    findings.dead_spots.clear();
    findings.exciters[0].worst_excursion.1 = 0.5e-3;
    findings.exciters[0].worst_power.1 = 12.5;
    let text = summary(&findings, &OUTLINE);
    assert!(text.iter().any(|s| s.starts_with("No dead spots")));
    assert!(
        text.iter().any(|s| s.contains("would take 12.5 W at 400 Hz"))
            && !text.iter().any(|s| s.contains("coil would move"))
    );
}
