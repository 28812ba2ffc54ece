//! How far beyond the top frequency modes are computed.

use crate::listening::modal_overlap;
use crate::plate::Modes;
use crate::scene::{Panel, Scene};

/// Modes are computed beyond the top frequency by this factor; what lies above still enters the drive-point mobility as a
/// static residual. Measured on two coupled exciters, the velocity of a foot is then off by 1.7 % at the top of the range (5 % at
/// a factor of 1.2, 0.8 % at 2); the basis also loses accuracy only at the end of its own range, beyond what is listened to.
pub const MODE_MARGIN: f64 = 1.5;

/// The factor where [`MODE_MARGIN`] would cost too much and modes overlap.
///
/// Measured on foam of 20 mm (760 × 520 mm, free, a ring of 25 mm) against a factor of 2, from 0.9 of the top at 7 kHz up to it. With an
/// overlap of 9 (36): the magnitude of the foot's mobility is off by at most 0.74 dB (0.18 dB), its complex value by 20 %; the pressure on the axis by 0.4 % and 0.01 dB, beside it by 1.5 % and 0.2 dB. [`MODE_MARGIN`] leaves 3.5 % of the
/// complex mobility and 0.12 dB (0.06 dB). With an overlap of 1.4 the foot would be off by 2 dB.
///
/// Third-octave levels 0.2 m and 1 m in front against a factor of 2.5, up to 10 kHz (plywood of 3 mm and 4 mm, foam of 20 mm, one with a
/// hole, open backs, feet of 25 mm): off by at most 0.35 dB up to 0.77 of the top, as with [`MODE_MARGIN`]; then up to 0.2 dB (plywood) and
/// 1.1 dB (foam); in the last tenth up to 0.7 dB (plywood) and 2.4 dB (foam, where the ring of the foot has its first null), [`MODE_MARGIN`]
/// leaving 0.3 dB and 0.7 dB there. Impedance and electrical power are off by less than 0.05 dB. `drive::doubts` says so to the user.
const OVERLAPPING_MARGIN: f64 = 1.15;

/// The search for [`FEWEST`] modes ends here.
const OCTAVES: usize = 20;

/// Modes of every frequency contribute everywhere once this many of them share a half-power band.
const OVERLAPPING: f64 = 10.0;

/// More expected processor time [s] than this is too much: the number of modes of a plate that yields in shear grows with the square of
/// frequency, and its cost with the sixth power.
const COSTLY: f64 = 3.0;

/// At least about this many modes are computed. A small stiff panel may have none in the range that is asked for; it bends all the same, as a
/// spring, and its lowest modes give the shape in which it does.
const FEWEST: usize = 40;

/// Top frequency [Hz] of the modes for a prediction of `scene`.
pub(crate) fn modes_up_to(scene: &Scene) -> f64 {
    let top = scene.frequencies.last().copied().unwrap_or(0.0);
    with_enough_modes(&scene.panel, top * margin(&scene.panel, top))
}

/// `reach` [Hz], doubled until [`FEWEST`] modes lie below.
fn with_enough_modes(panel: &Panel, reach: f64) -> f64 {
    let enough = |f: &f64| {
        let estimate = Modes::estimate(panel, *f);
        estimate.modes >= FEWEST || estimate.refusal().is_some()
    };
    let reaches = std::iter::successors(Some(reach), |reach| Some(2.0 * reach));
    reaches.take(OCTAVES).find(enough).unwrap_or(reach)
}

fn margin(panel: &Panel, top: f64) -> f64 {
    let full = Modes::estimate(panel, MODE_MARGIN * top);
    let too_much = full.refusal().is_some() || full.seconds > COSTLY;
    let overlaps = || modal_overlap(&panel.section, panel.outline.area(), top) > OVERLAPPING;
    if too_much && overlaps() { OVERLAPPING_MARGIN } else { MODE_MARGIN }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Back, EdgeCondition, Edges, LossCurve, PlateSection};
    use panelwright_mesh::Outline;

    /// Foam of 20 mm, 760 × 520 mm, all free.
    fn foam(loss: f64) -> Panel {
        let section = PlateSection {
            d11: 13.2,
            d12: 4.0,
            d22: 13.2,
            d66: 4.6,
            surface_mass: 0.66,
            thickness: 20e-3,
            shear: Some([1e5; 2]),
            rotary_inertia: 0.66 * 20e-3 * 20e-3 / 12.0,
            bending_loss: LossCurve::constant(loss),
            shear_loss: LossCurve::constant(loss),
        };
        let edges = Edges::of_rectangle(0.76, 0.52, [EdgeCondition::Free; 4]);
        Panel {
            outline: Outline::Rectangle { width: 0.76, height: 0.52 },
            section,
            edges,
            back: Back::Baffled,
        }
    }

    #[test]
    fn a_stiff_panel_has_modes_though_none_is_asked_for() {
        let block = Panel {
            outline: Outline::Rectangle { width: 0.2, height: 0.15 },
            edges: Edges::all(EdgeCondition::Clamped),
            ..foam(0.03)
        };
        let first = Modes::solve(&block, 4000.0).expect("small").frequencies[0];
        let reach = with_enough_modes(&block, 0.1 * first);
        assert!(Modes::solve(&block, reach).expect("small").len() >= 40, "{reach} Hz");
        assert_eq!(with_enough_modes(&foam(0.03), 5e3), 5e3, "as far as asked for");
    }

    #[test]
    fn only_a_costly_panel_whose_modes_overlap_gets_the_small_margin() {
        assert_eq!(margin(&foam(0.03), 20e3), OVERLAPPING_MARGIN);
        assert_eq!(margin(&foam(0.03), 5e3), MODE_MARGIN, "cheap");
        assert_eq!(margin(&foam(1e-4), 20e3), MODE_MARGIN, "modes stand apart");
        let thin = Panel { section: PlateSection { shear: None, ..foam(0.03).section }, ..foam(0.03) };
        assert_eq!(margin(&thin, 20e3), MODE_MARGIN, "cheap although modes overlap");
    }
}
