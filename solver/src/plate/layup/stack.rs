//! Symmetric stacks of orthotropic sheets at 0° and 90°.

use super::loss::{mean_over_directions, weighted};
use super::solid::{Grain, PlaneStress, Solid};
use crate::scene::PlateSection;
use thiserror::Error;

/// A sheet of a stack.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What it is made of.
    pub solid: Solid,
    /// Thickness [m].
    pub thickness: f64,
    /// Direction of its grain.
    pub grain: Grain,
}

/// A layer of a stack.
#[derive(Clone, Debug, PartialEq)]
pub enum Layer {
    /// A sheet with stiffness.
    Sheet(Sheet),
    /// Paint, glue, paper: mass per area [kg/m²] without thickness or stiffness.
    Coat(f64),
}

/// Why a stack has no plate section.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum LayupError {
    /// A stack that is not the same from the front and from the back couples bending and stretching.
    #[error(
        "layer {} from the front and layer {} do not match: bending and stretching would couple; make the stack symmetric",
        .front + 1, .back + 1
    )]
    Unsymmetric {
        /// Index of the layer in front.
        front: usize,
        /// Index of the layer that should be like it.
        back: usize,
    },
    /// Nothing in it resists bending or twisting.
    #[error("no layer resists bending in both directions: put stiff layers on both faces")]
    NoStiffness,
}

/// A sheet with its place: from `low` to `high` above the middle plane [m].
struct Placed<'a> {
    sheet: &'a Sheet,
    stiffness: PlaneStress,
    low: f64,
    high: f64,
}

impl Placed<'_> {
    /// `∫ z² dz` over the sheet [m³].
    fn second_moment(&self) -> f64 {
        (self.high.powi(3) - self.low.powi(3)) / 3.0
    }

    /// Its share of [D11, D12, D22, D66].
    fn bending(&self) -> [f64; 4] {
        let q = &self.stiffness;
        [q.q11, q.q12, q.q22, q.q66].map(|modulus| modulus * self.second_moment())
    }
}

/// Section of one sheet: a stack of one layer.
///
/// # Errors
/// [`LayupError::NoStiffness`] if it resists nothing.
pub fn section_of_sheet(sheet: Sheet) -> Result<PlateSection, LayupError> {
    section_of_stack(&[Layer::Sheet(sheet)])
}

/// Section of a stack given from front to back, by classical lamination theory:
///
/// ```text
/// D_ij = Σ_k Q_ij(k) ∫ z² dz    m = Σ ρ_k h_k + coats    I = Σ ρ_k ∫ z² dz + Σ coats z²
/// 1/S  = ∫ g²/G dz / D²,   g(z) = ∫ Q z' dz' from a face to z
/// ```
///
/// z counts from the middle plane, Q are the reduced stiffnesses of plane stress. The shear stiffness S of each direction stores the energy of the shear
/// stress τ = V g / D that balances the bending stresses of cylindrical bending under the shear force V; one homogeneous sheet gives the 5/6 G h of
/// Reissner, a soft core between thin skins G d²/c (d: distance of the skins' middles, c: core thickness). Loss factors are means weighted by
/// bending energy over all directions and by the shear energy of both.
///
/// Valid for sheets in full contact, wavelengths long against the thickness, and skins whose own bending is small against the sandwich's; coats that differ
/// between front and back shift the centre of mass, which is neglected.
/// Sources: J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed. 2004, § 3.3; E. Reissner, J. Appl. Mech. 12 (1945) A69–A77;
/// J. M. Whitney, Shear correction factors for orthotropic laminates under static load, J. Appl. Mech. 40 (1973) 302–304;
/// H. G. Allen, Analysis and Design of Structural Sandwich Panels, 1969, ch. 2 (the sandwich limit).
///
/// # Errors
/// A stack that differs between front and back, or that resists nothing.
pub fn section_of_stack(layers: &[Layer]) -> Result<PlateSection, LayupError> {
    symmetric(layers)?;
    let thickness: f64 = layers.iter().map(thickness_of).sum();
    let placed = place(layers, 0.5 * thickness);
    let shares: Vec<_> = placed.iter().map(Placed::bending).collect();
    let sum = |i: usize| shares.iter().map(|share| share[i]).sum::<f64>();
    let [d11, d12, d22, d66] = [0, 1, 2, 3].map(sum);
    if !(d11 > 0.0 && d22 > 0.0 && d66 > 0.0) {
        return Err(LayupError::NoStiffness);
    }
    let bending: Vec<_> =
        placed.iter().zip(&shares).map(|(p, s)| (mean_over_directions(*s), &p.sheet.solid.loss)).collect();
    let compliances = shear_compliances(&placed, [d11, d22]);
    let (surface_mass, rotary_inertia) = inertia(layers, &placed, 0.5 * thickness);
    Ok(PlateSection {
        d11,
        d12,
        d22,
        d66,
        surface_mass,
        thickness,
        shear: compliances.as_ref().map(|shares| stiffness_of(shares)),
        rotary_inertia,
        bending_loss: weighted(&bending),
        shear_loss: match &compliances {
            Some(shares) => weighted(&shear_energies(&placed, shares)),
            None => weighted(&bending),
        },
    })
}

fn thickness_of(layer: &Layer) -> f64 {
    match layer {
        Layer::Sheet(sheet) => sheet.thickness,
        Layer::Coat(_) => 0.0,
    }
}

/// Sheets from front to back; z runs towards the listener, so the first lies highest.
fn place(layers: &[Layer], top: f64) -> Vec<Placed<'_>> {
    let mut high = top;
    let sheets = layers.iter().filter_map(|layer| match layer {
        Layer::Sheet(sheet) => Some(sheet),
        Layer::Coat(_) => None,
    });
    let mut placed = Vec::with_capacity(layers.len());
    for sheet in sheets {
        let low = high - sheet.thickness;
        let stiffness = sheet.solid.plane_stress().turned(sheet.grain);
        placed.push(Placed { sheet, stiffness, low, high });
        high = low;
    }
    placed
}

/// Mass per area and rotary inertia.
fn inertia(layers: &[Layer], placed: &[Placed<'_>], top: f64) -> (f64, f64) {
    let of_sheet = |p: &Placed<'_>| {
        [p.sheet.solid.density * (p.high - p.low), p.sheet.solid.density * p.second_moment()]
    };
    let mut z = top;
    let of_coat = |layer: &Layer| {
        z -= thickness_of(layer);
        match layer {
            Layer::Sheet(_) => [0.0; 2],
            Layer::Coat(mass) => [*mass, mass * z * z],
        }
    };
    let add = |sum: (f64, f64), [mass, inertia]: [f64; 2]| (sum.0 + mass, sum.1 + inertia);
    placed.iter().map(of_sheet).chain(layers.iter().map(of_coat)).fold((0.0, 0.0), add)
}

/// Each sheet's share of the shear compliance 1/S [m/N] in the planes xz and yz; `None` if a sheet's shear modulus is unknown.
fn shear_compliances(placed: &[Placed<'_>], bending: [f64; 2]) -> Option<Vec<[f64; 2]>> {
    let mut moment = [0.0; 2];
    let share = |p: &Placed<'_>| {
        let through = p.sheet.grain.on_panel(p.sheet.solid.through?);
        let modulus = [p.stiffness.q11, p.stiffness.q22];
        Some([0, 1].map(|axis| {
            let slice = Slice { low: p.low, high: p.high, modulus: modulus[axis], shear: through[axis] };
            slice.compliance(&mut moment[axis], bending[axis])
        }))
    };
    placed.iter().map(share).collect()
}

fn stiffness_of(compliances: &[[f64; 2]]) -> [f64; 2] {
    [0, 1].map(|axis| 1.0 / compliances.iter().map(|share| share[axis]).sum::<f64>())
}

/// Shares of shear energy, the mean of both directions.
fn shear_energies<'a>(
    placed: &[Placed<'a>],
    compliances: &[[f64; 2]],
) -> Vec<(f64, &'a crate::scene::LossCurve)> {
    let [x, y] = stiffness_of(compliances);
    placed.iter().zip(compliances).map(|(p, c)| (0.5 * (c[0] * x + c[1] * y), &p.sheet.solid.loss)).collect()
}

/// A slice of a section in one direction.
pub(super) struct Slice {
    pub(super) low: f64,
    pub(super) high: f64,
    /// Q of that direction [Pa].
    pub(super) modulus: f64,
    /// Shear modulus through the thickness [Pa]; infinite for a slice that does not shear.
    pub(super) shear: f64,
}

impl Slice {
    /// Its share `∫ g²/G dz / D²` of the shear compliance. `moment` is g at its upper face before, at its lower face afterwards.
    pub(super) fn compliance(&self, moment: &mut f64, bending: f64) -> f64 {
        // g² is of fourth degree in z: three Gauss points are exact.
        const NODE: f64 = 0.774_596_669_241_483_4;
        let (middle, half) = (0.5 * (self.high + self.low), 0.5 * (self.high - self.low));
        let g = |z: f64| *moment + 0.5 * self.modulus * (self.high - z) * (self.high + z);
        let square = |node: f64| g(middle + node * half).powi(2);
        let integral = half * (5.0 * square(-NODE) + 8.0 * square(0.0) + 5.0 * square(NODE)) / 9.0;
        let end = g(self.low);
        *moment = end;
        integral / self.shear / (bending * bending)
    }
}

/// Relative difference of thickness or stiffness that still counts as the same.
const SAME: f64 = 1e-6;

/// Compares sheets from both faces inwards; coats are left out.
fn symmetric(layers: &[Layer]) -> Result<(), LayupError> {
    let sheets: Vec<(usize, &Sheet)> = layers
        .iter()
        .enumerate()
        .filter_map(|(i, layer)| match layer {
            Layer::Sheet(sheet) => Some((i, sheet)),
            Layer::Coat(_) => None,
        })
        .collect();
    let pairs = sheets.iter().zip(sheets.iter().rev()).take(sheets.len() / 2);
    for (&(front, a), &(back, b)) in pairs {
        if !alike(a, b) {
            return Err(LayupError::Unsymmetric { front, back });
        }
    }
    Ok(())
}

fn alike(a: &Sheet, b: &Sheet) -> bool {
    let same = |x: f64, y: f64| (x - y).abs() <= SAME * x.abs().max(y.abs());
    let figures = |s: &Sheet| {
        let q = s.solid.plane_stress().turned(s.grain);
        let through = s.grain.on_panel(s.solid.through.unwrap_or([0.0; 2]));
        [s.thickness, q.q11, q.q12, q.q22, q.q66, through[0], through[1]]
    };
    figures(a).into_iter().zip(figures(b)).all(|(x, y)| same(x, y))
}
