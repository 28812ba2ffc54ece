//! One surround, over all frequencies.

use super::CompareError;
use super::bodies::{Embodied, made};
use super::curves::{DriverCurves, curves};
use super::disturbed::{Disturbed, disturbed};
use super::ladder::Rung;
use super::on_panel::{DrivenPanel, Forces};
use super::picture::{Picture, wanted};
use super::places::Places;
use super::question;
use super::radiated::powers;
use super::solution::{Effort, Values, groups};
use super::solved::{Ground, Solved, shared};
use super::sweep::{Shares, Sweep, Swept};
use crate::driver::{Motions, Motor};
use crate::kept::{Answer, KeptWork, once};
use crate::listening::ComputedBand;
use crate::scene::{Behind, DriverScene};
use ndarray::Array2;
use num_complex::Complex64;
use panelwright_mesh::Surface;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// The driver with one surround.
#[derive(Clone, Debug)]
pub struct VariantSound {
    /// Name of the surround.
    pub name: String,
    /// What it does over frequency.
    pub curves: DriverCurves,
    /// How it was computed, band by band.
    pub computed: Vec<ComputedBand>,
    /// How many of the solutions were kept from before.
    pub taken_over: usize,
    /// What the driven panel does to it, if there is one.
    pub disturbed: Option<Disturbed>,
    /// Sound on and around it at some frequencies.
    pub pictures: Vec<Picture>,
    /// The whole body, coarsely, to be drawn.
    pub shape: Surface,
}

/// What all surrounds have in common.
pub(super) struct Setting<'a> {
    pub scene: &'a DriverScene,
    pub motions: Motions,
    pub places: Places,
    pub panel: Option<DrivenPanel<'a>>,
}

/// Work of earlier runs, and who wants to know how many frequencies are done.
#[derive(Clone, Copy)]
pub(super) struct Around<'a> {
    pub kept: &'a dyn KeptWork,
    pub tell: &'a dyn Fn(usize),
}

pub(super) fn sound(
    setting: &Setting,
    embodied: &Embodied,
    ladder: &[Rung],
    around: Around,
) -> Result<VariantSound, CompareError> {
    let Setting { scene, motions, places, panel } = setting;
    let (mut values, mut all_round, mut powers, mut forces) = (vec![], vec![], vec![], Forces::default());
    let (mut computed, mut pictures, mut taken_over) = (vec![], vec![], 0);
    for rung in ladder.iter().enumerate() {
        let band = Band { setting, embodied, rung, around };
        let found = band.swept()?;
        values.extend(found.swept.values);
        all_round.extend(found.all_round);
        powers.extend(found.powers);
        forces.extend(found.forces);
        pictures.extend(found.pictures);
        computed.push(found.report);
        taken_over += found.taken_over;
    }
    Ok(VariantSound {
        name: embodied.surround.name.clone(),
        curves: curves(scene, (motions, places), &values, (&all_round, &powers)),
        disturbed: panel.as_ref().map(|panel| disturbed(scene, (motions, places), panel, &values, &forces)),
        computed,
        taken_over,
        pictures,
        shape: embodied.drawn(scene)?,
    })
}

/// A band of one surround.
#[derive(Clone, Copy)]
struct Band<'a> {
    setting: &'a Setting<'a>,
    embodied: &'a Embodied<'a>,
    rung: (usize, &'a Rung),
    around: Around<'a>,
}

/// The same, swept.
struct Found {
    swept: Swept,
    /// Far fields all round at every frequency.
    all_round: Vec<Vec<Complex64>>,
    /// What all motions radiate at every frequency.
    powers: Vec<Array2<Complex64>>,
    /// Of the panel's sound on the diaphragm; none without a driven panel.
    forces: Forces,
    pictures: Vec<Picture>,
    report: ComputedBand,
    taken_over: usize,
}

impl Band<'_> {
    fn swept(self) -> Result<Found, CompareError> {
        let (scene, range) = (self.setting.scene, &self.rung.1.range);
        let start = range.start;
        let wanted: Vec<usize> =
            wanted(scene).into_iter().filter(|i| range.contains(i)).map(|i| i - start).collect();
        let groups = groups(&self.setting.places, self.setting.motions.count());
        let sweep = Sweep { places: &scene.frequencies[range.clone()], wanted: &wanted, groups: &groups };
        let (mut solved, mut taken_over, ground) = (BTreeMap::new(), 0, OnceCell::new());
        let swept = sweep.run(|index| {
            let answer = self.solved(&ground, start + index, wanted.contains(&index))?;
            taken_over += usize::from(answer.taken_over);
            let values = answer.work.values.clone();
            solved.insert(index, answer.work);
            (self.around.tell)(start + solved.len());
            Ok::<_, CompareError>(values)
        })?;
        (self.around.tell)(range.end);
        Ok(Found {
            all_round: all_round(&swept, &solved),
            powers: powers(&swept, &solved, matches!(scene.behind, Behind::Board(_))),
            forces: self.forces(&swept, &solved),
            pictures: self.pictures(&solved),
            report: self.report(&swept, &solved),
            swept,
            taken_over,
        })
    }

    /// The solution at the frequency of an index, from an earlier run where it can be. The body is made when it is needed first.
    fn solved<'g>(
        &'g self,
        ground: &OnceCell<Ground<'g>>,
        index: usize,
        pictured: bool,
    ) -> Result<Answer<Solved>, CompareError> {
        let Self { setting, embodied, rung, around } = self;
        let key = question::key(setting, embodied.surround, rung.1, index, pictured);
        once(around.kept, &key, || {
            let ground = made(ground, || Ground::new(setting, embodied, *rung))?;
            ground.solved(setting.scene.frequencies[index], pictured)
        })
    }

    fn forces(&self, swept: &Swept, solved: &BTreeMap<usize, Solved>) -> Forces {
        let scene = self.setting.scene;
        let range = self.rung.1.range.clone();
        let cells = solved.values().next().and_then(|one| one.cells);
        let Some(panel) = self.setting.on_panel(cells) else { return Forces::default() };
        let k: Vec<f64> = scene.frequencies[range.clone()].iter().map(|f| scene.air.wavenumber(*f)).collect();
        let strengths = solved.iter().filter_map(|(i, one)| Some((*i, one.on_panel.as_ref()?))).collect();
        panel.forces(range.start, &strengths, (&swept.shares, &k))
    }

    fn pictures(&self, solved: &BTreeMap<usize, Solved>) -> Vec<Picture> {
        let Setting { scene, motions, .. } = self.setting;
        let motor = Motor::new(&scene.driver, motions, &scene.air);
        let picture = |(index, one): (&usize, &Solved)| {
            let frequency = scene.frequencies[self.rung.1.range.start + index];
            let values = Values { values: &one.values, motions: motions.count() };
            let moved = motor.driven(scene.driver.voltage, frequency, &values.reaction());
            Some(one.seen.as_ref()?.driven(frequency, &moved.amplitudes))
        };
        solved.iter().filter_map(picture).collect()
    }

    fn report(&self, swept: &Swept, solved: &BTreeMap<usize, Solved>) -> ComputedBand {
        let frequencies = &self.setting.scene.frequencies[self.rung.1.range.clone()];
        let effort = Effort::most(solved.values().map(|one| one.effort));
        // The highest frequency is always solved.
        let size = solved.values().last().map(|one| one.size.clone()).unwrap_or_default();
        ComputedBand {
            range: [frequencies[0], frequencies[frequencies.len() - 1]],
            length: self.rung.1.length,
            elements: size.elements,
            unknowns: size.unknowns,
            held: size.held,
            bytes: size.bytes,
            frequencies: frequencies.len(),
            solved: swept.solved,
            interpolation_error: swept.error,
            steps: effort.steps,
            exchanges: effort.exchanges,
            residual: effort.residual,
        }
    }
}

/// Far fields all round at every frequency of a band: as they were solved, or the shares of solved ones that the interpolation takes.
fn all_round(swept: &Swept, solved: &BTreeMap<usize, Solved>) -> Vec<Vec<Complex64>> {
    let shared = |shares: &Shares| shared(shares, solved, |one| &one.all_round);
    let at = |(index, shares)| solved.get(&index).map_or_else(|| shared(shares), |one| one.all_round.clone());
    swept.shares.iter().enumerate().map(at).collect()
}
