//! Unknowns and the integrals between them.
//!
//! A wave (n, m) deflects the plate by `cos(αx) cos(βy)` and turns its normal by `−∇w = (α sin cos, β cos sin)`. Where the plate yields in
//! shear, the rotations θ are unknowns of their own, expanded in those two turns by themselves, `(sin cos, 0)` and `(0, cos sin)`, so that
//! all kinds differ in factors only and share all tables. The sines vanish at the ends of the box, not at the rim of the
//! panel, where their continuation into the margin is as free as that of the cosines. The turns of the
//! tilts belong to the rotations too (`rotations`).

use super::Integrals;
use super::plan::{BlockPlan, Rigid, Span};

/// A product of line functions: `w = deflection cos cos`, `θx = turns₀ sin cos`, `θy = turns₁ cos sin`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wave {
    /// Half waves along x and y.
    pub numbers: [usize; 2],
    /// Their wavenumbers [rad/m].
    pub wavenumbers: [f64; 2],
    /// 1 for a deflection, 0 for a shear angle.
    pub deflection: f64,
    /// Factors of θx and θy.
    pub turns: [f64; 2],
}

/// One unknown: a deflection that turns with its slope, or a rotation.
#[derive(Clone, Copy, Debug)]
pub(super) enum Unknown {
    Rigid(Rigid),
    Wave(Wave),
    /// The turn of the tilt along an axis, without its deflection.
    Turn(usize),
}

/// What turns the normal.
pub(super) enum Part<'a> {
    Rigid(Rigid),
    Wave(&'a Wave),
}

impl Unknown {
    pub fn part(&self) -> Part<'_> {
        match self {
            Self::Rigid(rigid) => Part::Rigid(*rigid),
            Self::Turn(axis) => Part::Rigid(Rigid::Tilt(*axis)),
            Self::Wave(wave) => Part::Wave(wave),
        }
    }
}

/// Deflections of a block, rigid motions first.
pub(super) fn deflections(block: &BlockPlan, spans: &[Span; 2]) -> Vec<Unknown> {
    let waves = block.waves.iter().map(|&numbers| {
        let wavenumbers = wavenumbers(numbers, spans);
        Unknown::Wave(Wave { numbers, wavenumbers, deflection: 1.0, turns: wavenumbers })
    });
    block.rigid.iter().map(|&rigid| Unknown::Rigid(rigid)).chain(waves).collect()
}

/// Rotations along one axis of a block: that of its tilt, if any, then one per wave; those without half waves along the axis are
/// nothing.
pub(super) fn rotations(block: &BlockPlan, spans: &[Span; 2], axis: usize) -> Vec<Unknown> {
    let angle = |&numbers: &[usize; 2]| {
        // Not left to rounding: the sine of no half waves is nothing.
        let turns = [0, 1].map(|other| if other == axis && numbers[axis] > 0 { 1.0 } else { 0.0 });
        let wavenumbers = wavenumbers(numbers, spans);
        Unknown::Wave(Wave { numbers, wavenumbers, deflection: 0.0, turns })
    };
    let tilt = block.rigid.contains(&Rigid::Tilt(axis)).then_some(Unknown::Turn(axis));
    tilt.into_iter().chain(block.waves.iter().map(angle)).collect()
}

fn wavenumbers([n, m]: [usize; 2], spans: &[Span; 2]) -> [f64; 2] {
    [spans[0].wavenumber(n), spans[1].wavenumber(m)]
}

impl Integrals<'_> {
    /// `∫ w w′ dS`.
    pub fn deflected(&self, a: &Unknown, b: &Unknown) -> f64 {
        match (a, b) {
            (Unknown::Wave(p), Unknown::Wave(q)) => {
                p.deflection * q.deflection * self.area.pair(p.numbers, q.numbers).cosines()
            }
            (Unknown::Rigid(rigid), Unknown::Wave(wave)) | (Unknown::Wave(wave), Unknown::Rigid(rigid)) => {
                wave.deflection * self.rigid.with_wave(&self.area, *rigid, wave.numbers)
            }
            (Unknown::Rigid(a), Unknown::Rigid(b)) => self.rigid.between(*a, *b),
            (Unknown::Turn(_), _) | (_, Unknown::Turn(_)) => 0.0,
        }
    }

    /// `∫ θ·θ′ dS`.
    pub fn turned(&self, a: &Unknown, b: &Unknown) -> f64 {
        match (a.part(), b.part()) {
            (Part::Wave(p), Part::Wave(q)) => {
                let pair = self.area.pair(p.numbers, q.numbers);
                p.turns[0] * q.turns[0] * pair.sines_along_x()
                    + p.turns[1] * q.turns[1] * pair.sines_along_y()
            }
            (Part::Rigid(rigid), Part::Wave(wave)) | (Part::Wave(wave), Part::Rigid(rigid)) => {
                self.rigid.turned_with_wave(rigid, wave)
            }
            (Part::Rigid(a), Part::Rigid(b)) => self.rigid.turned_between(a, b),
        }
    }

    /// Twice the energy of bending and twisting, over surface mass.
    fn bent(&self, a: &Unknown, b: &Unknown) -> f64 {
        let (Unknown::Wave(p), Unknown::Wave(q)) = (a, b) else { return 0.0 };
        let section = self.region.section;
        let pair = self.area.pair(p.numbers, q.numbers);
        let ([px, py], [qx, qy]) = (p.curvatures(), q.curvatures());
        let straight = section.d11 * px * qx + section.d12 * (px * qy + py * qx) + section.d22 * py * qy;
        let twisted = section.d66 * p.twist() * q.twist();
        (straight * pair.cosines() + twisted * pair.sines()) / section.surface_mass
    }

    /// Twice the energy of bending, twisting and all supports, over surface mass.
    pub fn stiffness(&self, a: &Unknown, b: &Unknown) -> f64 {
        let supports = self.supports.elastic().map(|table| table.between(a, b));
        self.bent(a, b) + supports.sum::<f64>()
    }

    /// Twice the energy that supports resist the deflection with, over surface mass.
    pub fn held(&self, a: &Unknown, b: &Unknown) -> f64 {
        self.supports.elastic().map(|table| table.between_deflections(a, b)).sum()
    }
}

impl Wave {
    /// Factors of `κx = ∂θx/∂x` and `κy = ∂θy/∂y`, both `cos cos`.
    fn curvatures(&self) -> [f64; 2] {
        [self.wavenumbers[0] * self.turns[0], self.wavenumbers[1] * self.turns[1]]
    }

    /// Factor of `κxy = ∂θx/∂y + ∂θy/∂x`, which is `−sin sin`.
    fn twist(&self) -> f64 {
        self.wavenumbers[1] * self.turns[0] + self.wavenumbers[0] * self.turns[1]
    }
}
