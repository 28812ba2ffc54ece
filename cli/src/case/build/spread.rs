//! `[spread]` and the ranges of the materials → how far the built panel may differ.

use super::makeup::{Makeup, Ply};
use super::solid::Found;
use super::supports::SupportRange;
use crate::case::section::Section;
use crate::material::Material;
use panelwright_solver::scene::{FactorRange, PlateSection, Spread, ThicknessSpread};

/// Spread of figures that the case gives itself (common practice, no source).
const OWN_STIFFNESS: f64 = 1.10;
const OWN_MASS: f64 = 1.03;
const OWN_LOSS: f64 = 1.5;

/// Quantities that vary: D11, D22, D66, shear, mass, loss.
const QUANTITIES: usize = 6;

/// The spread; keys of the table go before the materials' ranges.
pub fn build(table: &Section, makeup: &Makeup, own_loss: bool, supports: SupportRange) -> Option<Spread> {
    let [d11, d22, d66, shear, mass, loss] = of_materials(makeup, own_loss);
    let stiffness = table.number("stiffness").map(FactorRange::about_one);
    let factor = |key: &str| table.number(key).map(|high| FactorRange { low: 1.0 / high, high });
    Some(Spread {
        samples: table.number("samples")? as usize,
        along_x: stiffness.unwrap_or(d11),
        along_y: stiffness.unwrap_or(d22),
        twist: stiffness.unwrap_or(d66),
        shear: stiffness.unwrap_or(shear),
        surface_mass: table.number("mass").map_or(mass, FactorRange::about_one),
        thickness: thickness(makeup, table.number("thickness")?),
        loss: factor("loss_factor").unwrap_or(loss),
        supports: factor("supports").unwrap_or(supports.range()),
        position: table.number("position")?,
    })
}

/// The panel up to `share` thicker or thinner, and how its section follows.
fn thickness(makeup: &Makeup, share: f64) -> ThicknessSpread {
    /// Wide enough to be free of rounding, narrow enough for an exponent to hold.
    const STEP: f64 = 1.02;
    let ends = [STEP, 1.0 / STEP].map(|factor| thicker(makeup, factor).section());
    let [Ok(thick), Ok(thin)] = ends else { return ThicknessSpread::EXACT };
    let [d11, d22, d66, shear, mass, _] = relative(&thick, &thin).map(|ratio| ratio.ln() / (2.0 * STEP.ln()));
    ThicknessSpread {
        range: FactorRange::about_one(share),
        stiffness: [d11, d22, d66, shear],
        surface_mass: mass,
    }
}

/// The same panel with every sheet thicker by `factor`; of a fluted one the height, its walls stay.
fn thicker(makeup: &Makeup, factor: f64) -> Makeup {
    let mut other = makeup.clone();
    match &mut other {
        Makeup::Stack(plies) => plies.iter_mut().for_each(|ply| {
            if let Ply::Sheet { thickness, .. } = ply {
                *thickness *= factor;
            }
        }),
        Makeup::Fluted { sheet, .. } => sheet.height *= factor,
    }
    other
}

/// Logarithms of the factors down and up, squared and summed: independent causes add as squares.
#[derive(Clone, Copy, Default)]
struct Sums([[f64; 2]; QUANTITIES]);

impl Sums {
    /// Takes in a cause that brings each quantity to one of two values relative to the typical one.
    fn add(&mut self, ends: [[f64; QUANTITIES]; 2]) {
        for (i, sum) in self.0.iter_mut().enumerate() {
            let logs = ends.map(|end| end[i].ln());
            sum[0] += logs[0].min(logs[1]).min(0.0).powi(2);
            sum[1] += logs[0].max(logs[1]).max(0.0).powi(2);
        }
    }

    fn ranges(self) -> [FactorRange; QUANTITIES] {
        self.0.map(|[down, up]| FactorRange { low: (-down.sqrt()).exp(), high: up.sqrt().exp() })
    }
}

/// Ranges of the section's quantities when each figure of each listed material goes to the ends of its range.
fn of_materials(makeup: &Makeup, own_loss: bool) -> [FactorRange; QUANTITIES] {
    let Ok(typical) = makeup.section() else { return [FactorRange::EXACT; QUANTITIES] };
    let mut sums = Sums::default();
    for material in listed(makeup) {
        for figure in &material.figures {
            let end = |value: f64| {
                let other = with(makeup, material, figure.key, value).section().ok();
                other.map_or([1.0; QUANTITIES], |other| relative(&other, &typical))
            };
            sums.add([end(figure.range.0), end(figure.range.1)]);
        }
    }
    if makeup.materials().iter().any(|found| found.listed.is_none()) {
        let s = OWN_STIFFNESS;
        let up = [s, s, s, s, OWN_MASS, 1.0];
        sums.add([up.map(f64::recip), up]);
    }
    if own_loss || makeup.materials().iter().any(|found| found.own_loss) {
        let up = [1.0, 1.0, 1.0, 1.0, 1.0, OWN_LOSS];
        sums.add([up.map(f64::recip), up]);
    }
    let mut ranges = sums.ranges();
    if own_loss {
        ranges[QUANTITIES - 1] = FactorRange { low: 1.0 / OWN_LOSS, high: OWN_LOSS };
    }
    ranges
}

fn relative(other: &PlateSection, typical: &PlateSection) -> [f64; QUANTITIES] {
    let shear = match (other.shear, typical.shear) {
        (Some(a), Some(b)) => (a[0] * a[1] / (b[0] * b[1])).sqrt(),
        _ => 1.0,
    };
    // The share of bending and shear in the loss changes with frequency; both curves count alike.
    let loss = |s: &PlateSection| s.bending_loss.at(1000.0) + s.shear_loss.at(1000.0);
    [
        other.d11 / typical.d11,
        other.d22 / typical.d22,
        other.d66 / typical.d66,
        shear,
        other.surface_mass / typical.surface_mass,
        loss(other) / loss(typical),
    ]
}

/// Entries of the list that the panel uses, each once.
fn listed(makeup: &Makeup) -> Vec<&'static Material> {
    let mut entries: Vec<&'static Material> = makeup.materials().iter().filter_map(|f| f.listed).collect();
    if let Makeup::Fluted { listed: Some(sheet), .. } = makeup {
        entries.push(sheet);
    }
    entries.sort_by(|a, b| a.name.cmp(&b.name));
    entries.dedup_by(|a, b| a.name == b.name);
    entries
}

/// The same panel with another value for a figure of `material`.
fn with(makeup: &Makeup, material: &Material, key: &str, value: f64) -> Makeup {
    let mut other = makeup.clone();
    let change = |found: &mut Found| {
        if found.listed.is_some_and(|entry| entry.name == material.name)
            && let Some(mut solid) = material.solid_with(key, value)
        {
            if found.own_loss {
                solid.loss = found.solid.loss.clone();
            }
            found.solid = solid;
        }
    };
    match &mut other {
        Makeup::Stack(plies) => {
            for ply in plies {
                if let Ply::Sheet { material, .. } = ply {
                    change(material);
                }
            }
        }
        Makeup::Fluted { sheet, walls, listed } => {
            walls.iter_mut().for_each(change);
            (sheet.skin, sheet.web) = (walls[0].solid.clone(), walls[1].solid.clone());
            if listed.is_some_and(|entry| entry.name == material.name) {
                match key {
                    "skin_thickness" => sheet.skin_thickness = value,
                    "web_thickness" => sheet.web_thickness = value,
                    "pitch" => sheet.pitch = value,
                    _ => {}
                }
            }
        }
    }
    other
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn independent_causes_add_as_squares() {
        let mut sums = Sums::default();
        let up = |factor: f64| [factor; QUANTITIES];
        sums.add([up((-0.3f64).exp()), up(0.3f64.exp())]);
        sums.add([up((-0.4f64).exp()), up(1.0)]);
        let range = sums.ranges()[0];
        assert_relative_eq!(range.low, (-0.5f64).exp(), max_relative = 1e-12);
        assert_relative_eq!(range.high, 0.3f64.exp(), max_relative = 1e-12);
    }
}
