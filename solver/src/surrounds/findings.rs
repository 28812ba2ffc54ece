//! Curves → findings.

use super::{Comparison, Disturbed, VariantSound};
use crate::listening::{
    DisturbedDriver, OneSurround, Reflection, SurroundFindings, balloon, beamwidth, comb, directivity_index,
    disturbed_at, disturbed_words, fractional_octaves, heard_at, polar, power_level, spl, surround_summary,
};
use crate::scene::{Behind, DriverScene, SurroundForm};
use ndarray::Array2;
use num_complex::Complex64;

/// Name of the near microphone.
pub(super) const NEAR: &str = "the near microphone";

/// What the comparison says about the surrounds of the scene.
pub fn surround_findings(scene: &DriverScene, comparison: &Comparison) -> SurroundFindings {
    let bare = |form: &SurroundForm| matches!(form, SurroundForm::Bare);
    let reference = scene.surrounds.iter().position(|surround| bare(&surround.form)).unwrap_or(0);
    let mut findings = SurroundFindings {
        summary: vec![],
        warnings: super::doubts::doubts(scene, comparison),
        frequencies: comparison.frequencies.clone(),
        voltage: scene.driver.voltage,
        reference,
        reflections: reflections(scene),
        surrounds: (comparison.variants.iter())
            .map(|variant| one(scene, comparison, variant, &comparison.variants[reference]))
            .collect(),
    };
    let words = |one: &OneSurround| {
        one.disturbed.as_ref().and_then(|found| disturbed_words(&scene.driver.name, &one.name, found))
    };
    findings.summary = surround_summary(&findings);
    let disturbed: Vec<String> = findings.surrounds.iter().filter_map(words).collect();
    findings.summary.extend(disturbed);
    findings
}

fn reflections(scene: &DriverScene) -> Vec<Reflection> {
    if scene.behind == Behind::Nothing {
        return vec![];
    }
    let [x, y, z] = scene.driver.place;
    let near = (NEAR.to_owned(), [x, y, z + scene.near]);
    let seats = scene.seats.iter().map(|seat| (seat.name.clone(), seat.position));
    let top = scene.frequencies.last().copied().unwrap_or(0.0);
    let at = |(place, position)| {
        let comb = comb([x, y, z], position, &scene.air);
        Reflection {
            place,
            difference_of_paths: comb.difference_of_paths,
            nulls: comb.nulls(top),
            peaks: comb.peaks(top),
        }
    };
    std::iter::once(near).chain(seats).map(at).collect()
}

fn one(
    scene: &DriverScene,
    comparison: &Comparison,
    variant: &VariantSound,
    reference: &VariantSound,
) -> OneSurround {
    let (f, angles) = (&comparison.frequencies, &comparison.angles);
    let (curves, before) = (&variant.curves, &reference.curves);
    let near = heard_at(NEAR, curves.distances[0], f, &curves.near, &before.near);
    let seats = scene.seats.iter().enumerate().map(|(i, seat)| {
        heard_at(&seat.name, curves.distances[i + 1], f, &curves.seats[i], &before.seats[i])
    });
    let at_near = |p: Complex64| p.norm_sqr() / scene.near.powi(2);
    let square = |far: &Array2<Complex64>| far.mapv(at_near);
    let all_round = curves.sphere.mapv(at_near);
    let sphere = [&comparison.polar_angles[..], &comparison.azimuths];
    let bands = fractional_octaves(3, f[0], f[f.len() - 1]);
    let (across, upright) = (square(&curves.horizontal), square(&curves.vertical));
    let widths = |far: &Array2<Complex64>| {
        far.rows().into_iter().map(|row| beamwidth(angles, &row.to_vec())).collect()
    };
    let axis = angles.len() / 2;
    let index = |i: usize| {
        directivity_index(
            curves.horizontal[[i, axis]].norm_sqr(),
            1.0,
            curves.power[i],
            scene.air.impedance(),
        )
    };
    OneSurround {
        name: variant.name.clone(),
        places: std::iter::once(near).chain(seats).collect(),
        polar: polar(f, angles, across.view(), upright.view(), &bands, scene.near),
        balloon: balloon(f, sphere, all_round.view(), &bands, scene.near),
        beamwidth_horizontal: widths(&curves.horizontal),
        beamwidth_vertical: widths(&curves.vertical),
        directivity_index: (0..f.len()).map(index).collect(),
        power_level: curves.power.iter().map(|power| power_level(*power)).collect(),
        impedance: curves.impedance.iter().map(|z| z.norm()).collect(),
        excursion: curves.excursion.clone(),
        disturbed: variant.disturbed.as_ref().map(|found| disturbed_driver(scene, found)),
        computed: variant.computed.clone(),
    }
}

fn disturbed_driver(scene: &DriverScene, found: &Disturbed) -> DisturbedDriver {
    let frequencies = &scene.frequencies[..found.blocked.len()];
    let names = std::iter::once(NEAR).chain(scene.seats.iter().map(|seat| seat.name.as_str()));
    let at = |(i, name): (usize, &str)| {
        disturbed_at(name, frequencies, [&found.held.heard[i], &found.open.heard[i], &found.panel[i]])
    };
    DisturbedDriver {
        frequencies: frequencies.to_vec(),
        blocked: found.blocked.iter().map(|p| spl(*p)).collect(),
        excursion_held: found.held.excursion.clone(),
        excursion_open: found.open.excursion.clone(),
        places: names.enumerate().map(at).collect(),
        interpolation_error: found.interpolation_error,
    }
}
