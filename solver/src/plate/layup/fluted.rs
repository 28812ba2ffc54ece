//! Fluted sheets: two skins joined by straight webs (twin-wall plastic) or by a wave (corrugated board).

use super::loss::{mean_over_directions, weighted};
use super::solid::{Grain, PlaneStress, Solid};
use super::stack::Slice;
use crate::scene::PlateSection;
use std::f64::consts::TAU;

/// Two equal skins with webs between them that run along the flutes.
#[derive(Clone, Debug, PartialEq)]
pub struct Fluted {
    /// What the skins are made of; see [`Web`] for its direction.
    pub skin: Solid,
    /// Thickness of each skin [m].
    pub skin_thickness: f64,
    /// What the webs are made of.
    pub web: Solid,
    /// Thickness of a web [m].
    pub web_thickness: f64,
    /// From web to web, or from crest to crest [m].
    pub pitch: f64,
    /// Over the outer faces [m]; more than two skins and a web.
    pub height: f64,
    /// How skins are joined.
    pub shape: Web,
    /// Direction of the flutes on the panel.
    pub flutes: Grain,
}

/// Shape of the webs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Web {
    /// Upright walls, one for each pitch; the solids' grain runs along the flutes, as in an extruded sheet.
    Straight,
    /// A sine wave glued to the skins at its crests; the solids' grain (the paper's machine direction) runs across the flutes.
    Wave,
}

/// Intervals of the three-point Gauss rule over an arc of a wave; halving them changes nothing in the first ten digits.
const INTERVALS: usize = 64;

/// Section of a fluted sheet, homogenised over a pitch. f: along the flutes, c: across them, d: distance of the skins' middles, t: thickness, p: pitch.
///
/// ```text
/// skins  I_s = t d²/2 + t³/6:  D_f = Q_ff I_s + E_w I_w    D_c = Q_cc I_s    D_fc = Q_fc I_s    D_66 = G I_s
/// webs   I_w = ∫ z² dA / p
/// ```
///
/// Shear along the flutes is carried by the webs in their plane: for straight webs by the equilibrium stress distribution of a stack with the webs smeared over the
/// pitch, for a wave `S_f = 4 d² G t_w / (p² α)` with α the ratio of its developed length to the pitch
/// (C. Libove & R. E. Hubka, Elastic constants for corrugated-core sandwich plates, NACA TN 2289, 1951, D_Qx, from memory and re-derived).
/// Shear across them bends skins and webs as a frame, with points of inflection half-way by symmetry:
///
/// ```text
/// straight  1/S_c = p² / 24 B_s + p d / 12 B_w                       (B = Q_cc t³/12)
/// wave      S_c = p / 2U, U the least complementary energy of a pitch under a unit shear force (see `Wave::shear_across`)
/// ```
///
/// The straight form is that of a battened column (S. P. Timoshenko & J. M. Gere, Theory of Elastic Stability, 2nd ed. 1961, § 2.18).
/// Assumes thin walls, rigid joints of no size, walls that do not stretch across the flutes' skins in shear, and wavelengths of several pitches:
/// with shorter ones the skins bend between the webs by themselves.
pub fn section_of_fluted(sheet: &Fluted) -> PlateSection {
    let parts = Parts::of(sheet);
    let [skin, web] = parts.bending();
    let [d_f, d_fc, d_c, d_66] = [0, 1, 2, 3].map(|i| skin[i] + web[i]);
    let (along, across) = (parts.shear_along(d_f), parts.shear_across());
    let [d11, d22] = sheet.flutes.on_panel([d_f, d_c]);
    let losses = |skins: f64, webs: f64| weighted(&[(skins, &sheet.skin.loss), (webs, &sheet.web.loss)]);
    PlateSection {
        d11,
        d12: d_fc,
        d22,
        d66: d_66,
        surface_mass: parts.surface_mass(),
        thickness: sheet.height,
        shear: Some(sheet.flutes.on_panel([along.stiffness, across.stiffness])),
        rotary_inertia: sheet.skin.density * parts.skin_moment + sheet.web.density * parts.web_moment,
        bending_loss: losses(mean_over_directions(skin), mean_over_directions(web)),
        shear_loss: losses(along.skins + across.skins, 2.0 - along.skins - across.skins),
    }
}

/// Shear stiffness [N/m] and the skins' share of its energy.
struct Shear {
    stiffness: f64,
    skins: f64,
}

/// Lengths and moments of a fluted sheet.
struct Parts<'a> {
    sheet: &'a Fluted,
    /// Stiffnesses with direction 1 along the flutes.
    skin: PlaneStress,
    web: PlaneStress,
    /// Distance of the skins' middles.
    distance: f64,
    /// `∫ z² dA` per width, of skins and webs.
    skin_moment: f64,
    web_moment: f64,
    /// Developed length of the webs per width.
    web_length: f64,
}

impl<'a> Parts<'a> {
    fn of(sheet: &'a Fluted) -> Self {
        let t = sheet.skin_thickness;
        let (clear, distance) = (sheet.height - 2.0 * t, sheet.height - t);
        let turn = match sheet.shape {
            Web::Straight => Grain::Horizontal,
            Web::Wave => Grain::Vertical,
        };
        let (web_moment, web_length) = match sheet.shape {
            Web::Straight => (sheet.web_thickness / sheet.pitch * clear.powi(3) / 12.0, clear / sheet.pitch),
            Web::Wave => {
                let wave = Wave { height: clear - sheet.web_thickness, pitch: sheet.pitch };
                (sheet.web_thickness * wave.mean(|p| p.z * p.z), wave.mean(|_| 1.0))
            }
        };
        Self {
            sheet,
            skin: sheet.skin.plane_stress().turned(turn),
            web: sheet.web.plane_stress().turned(turn),
            distance,
            skin_moment: 0.5 * t * distance * distance + t.powi(3) / 6.0,
            web_moment,
            web_length,
        }
    }

    /// What skins and webs add to [D_f, D_fc, D_c, D_66].
    fn bending(&self) -> [[f64; 4]; 2] {
        let q = &self.skin;
        let skins = [q.q11, q.q12, q.q22, q.q66].map(|modulus| modulus * self.skin_moment);
        // Webs are free to contract sideways: Young's modulus, not the plate's.
        let young = self.web.q11 - self.web.q12 * self.web.q12 / self.web.q22;
        [skins, [young * self.web_moment, 0.0, 0.0, 0.0]]
    }

    fn surface_mass(&self) -> f64 {
        let sheet = self.sheet;
        2.0 * sheet.skin.density * sheet.skin_thickness
            + sheet.web.density * sheet.web_thickness * self.web_length
    }

    fn shear_along(&self, bending: f64) -> Shear {
        let (sheet, g) = (self.sheet, self.web.q66);
        let stiffness = match sheet.shape {
            Web::Straight => self.smeared_webs(bending),
            Web::Wave => {
                4.0 * self.distance.powi(2) * g * sheet.web_thickness
                    / (sheet.pitch.powi(2) * self.web_length)
            }
        };
        Shear { stiffness, skins: 0.0 }
    }

    /// The sheet as a stack whose middle layer is the webs smeared over the pitch; its skins do not shear.
    fn smeared_webs(&self, bending: f64) -> f64 {
        let sheet = self.sheet;
        let (outer, inner) = (0.5 * sheet.height, 0.5 * sheet.height - sheet.skin_thickness);
        let filled = sheet.web_thickness / sheet.pitch;
        let young = self.bending()[1][0] / self.web_moment;
        let skin = |low, high| Slice { low, high, modulus: self.skin.q11, shear: f64::INFINITY };
        let webs = Slice { low: -inner, high: inner, modulus: young * filled, shear: self.web.q66 * filled };
        let mut moment = 0.0;
        let slices = [skin(inner, outer), webs, skin(-outer, -inner)];
        1.0 / slices.iter().map(|slice| slice.compliance(&mut moment, bending)).sum::<f64>()
    }

    fn shear_across(&self) -> Shear {
        let sheet = self.sheet;
        let plate = |modulus: f64, thickness: f64| modulus * thickness.powi(3) / 12.0;
        let (skin, web) =
            (plate(self.skin.q22, sheet.skin_thickness), plate(self.web.q22, sheet.web_thickness));
        match sheet.shape {
            Web::Straight => {
                let skins = sheet.pitch.powi(2) / (24.0 * skin);
                let webs = sheet.pitch * self.distance / (12.0 * web);
                Shear { stiffness: 1.0 / (skins + webs), skins: skins / (skins + webs) }
            }
            Web::Wave => {
                let wave = Wave { height: self.distance, pitch: sheet.pitch };
                wave.shear_across(skin, web, self.web.q22 * sheet.web_thickness)
            }
        }
    }
}

/// A sine wave `z = (height/2) sin(2πy/pitch)`, the middle line of a corrugation.
struct Wave {
    height: f64,
    pitch: f64,
}

/// A point of the wave.
struct Point {
    y: f64,
    z: f64,
    /// Slope dz/dy.
    slope: f64,
}

impl Wave {
    /// `∫ f ds / (pitch/2)` over the arc from trough to crest; the arc back down is its mirror image.
    fn mean(&self, f: impl Fn(&Point) -> f64) -> f64 {
        const NODE: f64 = 0.774_596_669_241_483_4;
        let amplitude = 0.5 * self.height;
        let wavenumber = TAU / self.pitch;
        let at = |share: f64| {
            let y = 0.5 * (share - 0.5) * self.pitch;
            let phase = wavenumber * y;
            let slope = amplitude * wavenumber * phase.cos();
            f(&Point { y, z: amplitude * phase.sin(), slope }) * slope.hypot(1.0)
        };
        let width = 1.0 / INTERVALS as f64;
        let interval = |i: usize| {
            let place = |node: f64| (i as f64 + 0.5 + 0.5 * node) * width;
            5.0 * at(place(-NODE)) + 8.0 * at(place(0.0)) + 5.0 * at(place(NODE))
        };
        (0..INTERVALS).map(interval).sum::<f64>() * width / 18.0
    }

    /// Frame of skins and wave under a unit shear force across the flutes.
    ///
    /// A pitch has two arcs, each antisymmetric about its middle (y = z = 0), where its moment vanishes. Between two crests a skin carries the shear force T, with
    /// its point of inflection half-way. Equilibrium at a crest makes the arc carry horizontally `H = p/2d` and vertically `F = 1 − 2T`; its
    /// moment is `H z − F y`, its normal force `(H + F z')/√(1 + z'²)`. T makes the complementary energy
    ///
    /// ```text
    /// 2U = T² p³ / 6 B_s + 2 ∫arc (moment²/B_w + force²/E_w t_w) ds
    /// ```
    ///
    /// least, and `S = p / 2U` since 2U is the work of the unit force along the shear deflection p/S.
    fn shear_across(&self, skin: f64, web: f64, stretch: f64) -> Shear {
        let p = self.pitch;
        let horizontal = 0.5 * p / self.height;
        // State of T = 0, and what a unit of T adds to it.
        let states = |q: &Point| {
            let length = q.slope.hypot(1.0);
            let start = [horizontal * q.z - q.y, (horizontal + q.slope) / length];
            let added = [2.0 * q.y, -2.0 * q.slope / length];
            (start, added)
        };
        let work = |a: [f64; 2], b: [f64; 2]| a[0] * b[0] / web + a[1] * b[1] / stretch;
        let constant = p * self.mean(|q| work(states(q).0, states(q).0));
        let mixed = p * self.mean(|q| work(states(q).0, states(q).1));
        let square = p * self.mean(|q| work(states(q).1, states(q).1));
        let skins = p.powi(3) / (6.0 * skin);
        let share = -mixed / (square + skins);
        let twice_energy = constant + mixed * share;
        Shear { stiffness: p / twice_energy, skins: skins * share * share / twice_energy }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_flat_wave_is_as_long_as_its_pitch_and_a_steep_one_longer() {
        let length = |height: f64| Wave { height, pitch: 1.0 }.mean(|_| 1.0);
        assert_relative_eq!(length(0.0), 1.0, max_relative = 1e-14);
        // Length of a sine arc = (2/π) √(1 + k²) E(m), m = k²/(1 + k²); k = 1: 1.216 006 7 (complete elliptic integral, recomputed).
        assert_relative_eq!(length(1.0 / std::f64::consts::PI), 1.216_006_7, max_relative = 1e-7);
    }
}
