//! What the solution of one frequency depends on.

use super::ladder::Rung;
use super::variant::Setting;
use crate::air::Air;
use crate::kept::Key;
use crate::scene::{Behind, Diaphragm, DiaphragmForm, HousingBack, HousingFront, Surround, SurroundForm};
use panelwright_mesh::{Outline, Surface};
use serde::Serialize;

/// All of it, and nothing else: no names, nothing electrical, no seats' names. Whatever is missing here would take over wrong solutions.
#[derive(Serialize)]
struct Question<'a> {
    air: &'a Air,
    place: [f64; 3],
    diaphragm: &'a Diaphragm,
    /// A bending disc has the motions that matter up to here [Hz].
    motions_up_to: Option<f64>,
    housing: Housing<'a>,
    behind: &'a Behind,
    form: Form<'a>,
    absorption: f64,
    /// Sides of the elements [m], and the band's highest frequency [Hz], which the cells behind follow.
    length: f64,
    top: f64,
    frequency: f64,
    /// Microphones, arcs and directions all round.
    points: Vec<[f64; 3]>,
    directions: Vec<[f64; 3]>,
    sphere: [&'a [f64]; 2],
    /// The panel whose front is listened at.
    panel: Option<&'a Outline>,
    pictured: bool,
}

/// A housing without the volume of its air, which only the motor feels.
#[derive(Serialize)]
struct Housing<'a> {
    front: &'a HousingFront,
    depth: f64,
    rounding: f64,
    /// Wall of a housing that is open at the back.
    open: Option<f64>,
}

/// A surround's shape; a part from a file by its surface, wherever that came from.
#[derive(Serialize)]
enum Form<'a> {
    Made(&'a SurroundForm),
    Given(Vec<[f64; 3]>, &'a [[u32; 3]], &'a [u16]),
}

/// The key of the solution of a surround's frequency with this index.
pub(super) fn key(setting: &Setting, surround: &Surround, rung: &Rung, index: usize, pictured: bool) -> Key {
    let (scene, places) = (setting.scene, &setting.places);
    let driver = &scene.driver;
    let disc = matches!(driver.diaphragm.form, DiaphragmForm::BendingDisc { .. });
    let plain = |list: &[nalgebra::Vector3<f64>]| list.iter().map(|&point| point.into()).collect();
    let question = Question {
        air: &scene.air,
        place: driver.place,
        diaphragm: &driver.diaphragm,
        motions_up_to: scene.frequencies.last().copied().filter(|_| disc),
        housing: Housing {
            front: &driver.housing.front,
            depth: driver.housing.depth,
            rounding: driver.housing.rounding,
            open: match driver.housing.back {
                HousingBack::Open { wall } => Some(wall),
                HousingBack::Sealed { .. } => None,
            },
        },
        behind: &scene.behind,
        form: form(&surround.form),
        absorption: surround.absorption,
        length: rung.length,
        top: scene.frequencies[rung.range.end - 1],
        frequency: scene.frequencies[index],
        points: plain(&places.points),
        directions: plain(&places.directions),
        sphere: [&places.sphere.polar, &places.sphere.azimuth],
        panel: setting.panel.as_ref().map(|panel| &panel.scene.panel.outline),
        pictured,
    };
    Key::of("sound of a surround", &question)
}

fn form(form: &SurroundForm) -> Form<'_> {
    match form {
        SurroundForm::Part { surface: Surface { points, triangles, patches }, .. } => {
            Form::Given(points.iter().map(|&point| point.into()).collect(), triangles, patches)
        }
        made => Form::Made(made),
    }
}
