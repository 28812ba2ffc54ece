//! One frequency of one surround, solved: everything that is asked of it later, so that the solution itself need not be kept.

use super::CompareError;
use super::bodies::Embodied;
use super::ladder::Rung;
use super::on_panel::{OnPanel, Strengths};
use super::picture::Seen;
use super::radiated::{Counted, Samples};
use super::solution::{Effort, Sounding};
use super::sweep::Shares;
use super::variant::Setting;
use crate::boundary::{Body, Mirrors, Representation};
use crate::coupling::board_behind::{Board, BoardError};
use crate::scene::{Behind, DriverScene, Surround};
use num_complex::Complex64;
use panelwright_mesh::{Outline, QuadraticSurface};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The sound of all motions of unit amplitude at one frequency.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Solved {
    /// Those of [`Sounding::values`].
    pub values: Vec<Complex64>,
    /// Those of [`Sounding::all_round`].
    pub all_round: Vec<Complex64>,
    /// Those of [`Counted`], of every motion.
    pub radiated: Vec<Samples>,
    /// On the front of a driven panel behind; nothing without one.
    pub on_panel: Option<Strengths>,
    /// Where the frequency is pictured.
    pub seen: Option<Seen>,
    pub effort: Effort,
    pub size: Size,
    /// Sides [m] of the cells of a panel behind.
    pub cells: Option<f64>,
}

/// How large the system was.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Size {
    pub elements: usize,
    pub unknowns: usize,
    /// How its operator was held.
    pub held: String,
    pub bytes: usize,
}

/// The body of a surround with the mesh of a rung.
pub(super) struct Ground<'a> {
    setting: &'a Setting<'a>,
    surround: &'a Surround,
    surface: &'a QuadraticSurface,
    mirrored: [bool; 2],
    body: Body,
    representation: Representation,
    cells: Option<f64>,
    board: Option<Board>,
    counted: Counted,
    on_panel: Option<OnPanel<'a>>,
}

impl<'a> Ground<'a> {
    /// Everything that does not depend on the frequency. `number` is the rung's.
    pub fn new(
        setting: &'a Setting,
        embodied: &'a Embodied,
        (number, rung): (usize, &Rung),
    ) -> Result<Self, CompareError> {
        let (scene, surround) = (setting.scene, embodied.surround);
        let surface = embodied.meshed(number, rung)?;
        let [x, y] = embodied.mirrored;
        let body = Body::new(surface, Mirrors([x, y, scene.behind == Behind::Plane]))
            .map_err(|fault| acoustic(surround, fault))?;
        let [x, y, _] = scene.driver.place;
        let top = scene.frequencies[rung.range.end - 1];
        let wavelength = scene.air.sound_speed / top;
        let cells = setting.behind().map(|outline| Board::step(outline, [x, y], &body, wavelength));
        Ok(Self {
            setting,
            surround,
            surface,
            mirrored: embodied.mirrored,
            board: board(scene, cells),
            counted: counted(scene, &body, embodied.mirrored, top),
            on_panel: setting.on_panel(cells),
            representation: Representation::quicker(&body, scene.air.wavenumber(top)),
            body,
            cells,
        })
    }

    /// The solution at `frequency` [Hz]; with its picture if that is asked for.
    pub fn solved(&self, frequency: f64, pictured: bool) -> Result<Solved, CompareError> {
        let Setting { scene, motions, places, .. } = self.setting;
        let sounding = Sounding {
            body: &self.body,
            representation: self.representation,
            motions,
            places,
            air: &scene.air,
            board: self.board.as_ref(),
            lining: admittance(self.surround.absorption),
            mirrored: self.mirrored,
        };
        let sounds = sounding.sounds(frequency).map_err(|fault| acoustic(self.surround, fault))?;
        let k = scene.air.wavenumber(frequency);
        Ok(Solved {
            values: sounding.values(&sounds, frequency),
            all_round: sounding.all_round(&sounds, frequency),
            radiated: sounds.iter().map(|sound| self.counted.samples(&sounding, sound, k)).collect(),
            on_panel: self.on_panel.as_ref().map(|panel| panel.strengths(&sounds, &self.body, k)),
            seen: pictured.then(|| Seen::of(scene, &sounding, self.surface, &sounds)),
            effort: Effort::most(sounds.iter().map(Effort::of)),
            size: Size {
                elements: self.body.len(),
                unknowns: self.body.unknowns(),
                held: self.representation.label().into(),
                bytes: self.representation.bytes(&self.body),
            },
            cells: self.cells,
        })
    }
}

/// Values of each of a band's solutions, interpolated with these shares.
pub(super) fn shared<'v>(
    shares: &Shares,
    solved: &'v BTreeMap<usize, Solved>,
    values: impl Fn(&'v Solved) -> &'v [Complex64],
) -> Vec<Complex64> {
    let count = solved.values().next().map_or(0, |one| values(one).len());
    let of = |i: usize| shares.iter().map(|(index, share)| share * values(&solved[index])[i]).sum();
    (0..count).map(of).collect()
}

impl Setting<'_> {
    /// The panel behind, if there is one with edges.
    fn behind(&self) -> Option<&Outline> {
        match &self.scene.behind {
            Behind::Nothing => None,
            Behind::Board(outline) => Some(outline),
            Behind::Plane => self.panel.as_ref().map(|panel| &panel.scene.panel.outline),
        }
    }

    /// A driven panel behind, with cells of these sides [m].
    pub fn on_panel(&self, cells: Option<f64>) -> Option<OnPanel<'_>> {
        OnPanel::new(self.panel.as_ref()?, self.scene, self.places.front, cells?)
    }
}

/// The board behind the driver, with cells of these sides [m].
fn board(scene: &DriverScene, cells: Option<f64>) -> Option<Board> {
    let Behind::Board(outline) = &scene.behind else { return None };
    let [x, y, _] = scene.driver.place;
    Some(Board::new(outline, [x, y], cells?))
}

/// Where power is counted: far away, unless a board makes more beams there than can be followed.
fn counted(scene: &DriverScene, body: &Body, mirrored: [bool; 2], top: f64) -> Counted {
    match scene.behind {
        Behind::Board(_) => Counted::Here,
        Behind::Nothing => Counted::far(body, mirrored, scene.air.wavenumber(top), false),
        Behind::Plane => Counted::far(body, mirrored, scene.air.wavenumber(top), true),
    }
}

fn acoustic(surround: &Surround, fault: impl Into<BoardError>) -> CompareError {
    CompareError::Sound { surround: surround.name.clone(), fault: fault.into() }
}

/// Real normalised admittance of a surface that absorbs this share of the energy at normal incidence: `α = 1 − |(1 − β)/(1 + β)|²`.
pub(crate) fn admittance(absorption: f64) -> f64 {
    let reflected = (1.0 - absorption).sqrt();
    (1.0 - reflected) / (1.0 + reflected)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lining_absorbs_what_it_is_said_to() {
        for absorption in [0.0, 0.3, 0.9] {
            let beta = admittance(absorption);
            assert!((1.0 - ((1.0 - beta) / (1.0 + beta)).powi(2) - absorption).abs() < 1e-12);
        }
    }
}
