//! One variation of a panel as a scene of its own, to be computed whole instead of to first order.

use super::sample::Variation;
use crate::scene::{EdgeCondition, Edges, PlateSection, Scene};

/// The scene of the panel as it may have been built: number `index` of the variations that its [`Spread`](crate::scene::Spread) describes, the same that the band of uncertainty
/// looks at.
///
/// Factors multiply the stiffnesses D₁₁, D₂₂, D₆₆ and the shear stiffness; D₁₂ follows √(D₁₁ D₂₂), which keeps Poisson's ratios. Mass and rotary inertia share a factor. Exciters, masses and
/// hangs sit elsewhere. The scene that comes back has no spread of its own.
pub fn built(scene: &Scene, index: usize) -> Scene {
    let variation = Variation::at(scene, index);
    let mut built = scene.clone();
    built.panel.section = section(&scene.panel.section, &variation);
    let [.., supports] = variation.stiffness;
    hold(&mut built.panel.edges, supports);
    built.attachments.hangs.iter_mut().for_each(|hang| hang.stiffness *= supports);
    let masses = built.attachments.masses.iter_mut().map(|mass| &mut mass.position);
    let feet = built.exciters.iter_mut().map(|exciter| &mut exciter.position).chain(masses);
    let feet = feet.chain(built.attachments.hangs.iter_mut().map(|hang| &mut hang.position));
    feet.zip(&variation.positions).for_each(|(position, moved)| *position = *moved);
    built.spread.samples = 0;
    built
}

fn section(nominal: &PlateSection, variation: &Variation) -> PlateSection {
    let [along_x, along_y, twist, shear, _] = variation.stiffness;
    PlateSection {
        d11: nominal.d11 * along_x,
        d12: nominal.d12 * (along_x * along_y).sqrt(),
        d22: nominal.d22 * along_y,
        d66: nominal.d66 * twist,
        shear: nominal.shear.map(|stiffness| stiffness.map(|s| s * shear)),
        surface_mass: nominal.surface_mass * variation.surface_mass,
        rotary_inertia: nominal.rotary_inertia * variation.surface_mass,
        bending_loss: nominal.bending_loss.scaled(variation.loss),
        shear_loss: nominal.shear_loss.scaled(variation.loss),
        ..nominal.clone()
    }
}

/// Strips along the edges stiffer by a factor.
fn hold(edges: &mut Edges, factor: f64) {
    let conditions = edges.stretches.iter_mut().map(|stretch| &mut stretch.condition);
    for condition in conditions.chain(std::iter::once(&mut edges.elsewhere)) {
        if let EdgeCondition::Strip(strip) = condition {
            strip.stiffness *= factor;
            strip.rotational *= factor;
        }
    }
}
