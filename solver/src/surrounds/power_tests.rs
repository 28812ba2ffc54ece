//! Power that drivers radiate.

use super::bodies::Bodies;
use super::places::Places;
use super::radiated::{Counted, Samples};
use super::solution::{Sounding, Values};
use super::tests::before;
use super::{compare, surround_findings};
use crate::boundary::{Body, Mirrors, Representation};
use crate::driver::{Assembly, Motions};
use crate::kept::NothingKept;
use crate::scene::{Behind, DriverScene, Surround, SurroundForm};

fn scene_with(behind: Behind, frequencies: Vec<f64>, absorption: f64) -> DriverScene {
    let form = SurroundForm::Baffle { width: 0.12, height: 0.1, thickness: 0.006, gap: 0.002, rounding: 0.0 };
    let surrounds = vec![Surround { name: "baffle".into(), form, absorption }];
    DriverScene { surrounds, frequencies, ..before(behind) }
}

/// Far below its size a driver is a point source, before a plane two of them that radiate into one half.
#[test]
fn small_sources_radiate_alike_in_all_directions() {
    crate::single_threaded_blas();
    for (behind, exact) in [(Behind::Nothing, 0.0), (Behind::Plane, 10.0 * 2f64.log10())] {
        let scene = scene_with(behind, vec![10.0, 20.0, 40.0], 0.0);
        let bodies = Bodies::of(&scene).expect("sound shapes");
        let comparison = compare(&bodies, None, &NothingKept, &|_| ()).expect("sound shapes");
        let findings = surround_findings(&scene, &comparison);
        for index in &findings.surrounds[0].directivity_index {
            assert!((index - exact).abs() < 0.02, "{index} dB for {exact}");
        }
    }
}

fn power(samples: &Samples) -> f64 {
    samples.iter().map(|sample| sample.norm_sqr()).sum()
}

/// Both ways to count the power of a lined baffle, and how much its lining takes.
#[test]
fn what_the_diaphragm_gives_is_absorbed_or_arrives() {
    crate::single_threaded_blas();
    for (behind, plane) in [(Behind::Nothing, false), (Behind::Plane, true)] {
        let scene = scene_with(behind, vec![1500.0], 0.5);
        let assembly = Assembly::new(&scene.driver, &scene.surrounds[0], &scene.behind).expect("a shape");
        let surface = assembly.meshed(0.012, [true; 2]).expect("a mesh");
        let body = Body::new(&surface, Mirrors([true, true, plane])).expect("closed");
        let motions = Motions::of(&scene.driver.diaphragm, 1500.0).expect("a motion");
        let places = Places::of(&scene);
        let sounding = Sounding {
            body: &body,
            representation: Representation::Full,
            motions: &motions,
            places: &places,
            air: &scene.air,
            board: None,
            lining: 0.17,
            mirrored: [true; 2],
        };
        let sounds = sounding.sounds(1500.0).expect("converges");
        let values = sounding.values(&sounds, 1500.0);
        let given = Values { values: &values, motions: 1 }.reaction()[[0, 0]].re;
        let k = scene.air.wavenumber(1500.0);
        let far = Counted::far(&body, [true; 2], k, plane);
        let [far, taken] =
            [far, Counted::Here].map(|counted| power(&counted.samples(&sounding, &sounds[0], k)));
        let here = given - taken;
        assert!((far / here - 1.0).abs() < 5e-3, "{plane}: {far} far away, {here} from the surface");
        assert!(here < 0.97 * given, "{plane}: the lining leaves {here} of {given}");
    }
}
