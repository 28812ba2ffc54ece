//! One value of a material.

use crate::case::quantity::{DENSITY, LENGTH, MODULUS, Quantity, SPRING, SURFACE_MASS, short};
use serde::Deserialize;

/// A value with its spread and where it comes from.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Key, the same as in a case.
    pub key: &'static str,
    /// In words: "modulus along the grain".
    pub label: &'static str,
    /// Typical value, SI.
    pub typical: f64,
    /// Lowest and highest value to be reckoned with, SI.
    pub range: (f64, f64),
    /// How well founded it is.
    pub basis: Basis,
    /// Publication or kind of data.
    pub source: String,
    unit: String,
}

/// How well founded a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Basis {
    /// Read in the source.
    #[serde(rename = "looked up")]
    LookedUp,
    /// The source is named from memory and was not opened.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Follows from other values by a formula.
    #[serde(rename = "computed")]
    Computed,
    /// Reckoned, no source.
    #[serde(rename = "estimate")]
    Estimate,
}

impl Basis {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::LookedUp => "looked up",
            Self::FromMemory => "from memory",
            Self::Computed => "computed",
            Self::Estimate => "estimate",
        }
    }
}

/// A value as it stands in the list.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Entry {
    typical: String,
    range: [String; 2],
    basis: Basis,
    source: String,
}

/// Keys, labels and quantities of the values, in the order they are shown; `None` is a bare number.
pub(super) static KEYS: [(&str, &str, Option<&Quantity>); 14] = [
    ("density", "density", Some(&DENSITY)),
    ("youngs_modulus", "Young's modulus", Some(&MODULUS)),
    ("along_grain", "modulus along the grain", Some(&MODULUS)),
    ("across_grain", "modulus across the grain", Some(&MODULUS)),
    ("shear_modulus", "shear modulus", Some(&MODULUS)),
    ("transverse_shear_modulus", "shear modulus through the thickness", Some(&MODULUS)),
    ("transverse_shear_across", "the same across the grain", Some(&MODULUS)),
    ("poisson_ratio", "Poisson's ratio", None),
    ("loss_factor", "loss factor", None),
    ("skin_thickness", "thickness of a skin", Some(&LENGTH)),
    ("web_thickness", "thickness of a web", Some(&LENGTH)),
    ("pitch", "from web to web", Some(&LENGTH)),
    ("stiffness", "stiffness across the panel", Some(&SPRING)),
    ("mass_per_area", "mass per area", Some(&SURFACE_MASS)),
];

impl Figure {
    /// From an entry of the list; `None` for an unknown key or unreadable value.
    pub(super) fn read(key: &str, entry: Entry) -> Option<Self> {
        let (key, label, quantity) = *KEYS.iter().find(|(name, ..)| *name == key)?;
        let si = |text: &str| match quantity {
            Some(quantity) => quantity.parse(text).ok().map(|amount| amount.si),
            None => text.parse().ok(),
        };
        let unit = entry.typical.split_once(' ').map_or("", |(_, unit)| unit).to_owned();
        let (typical, range) = (si(&entry.typical)?, (si(&entry.range[0])?, si(&entry.range[1])?));
        Some(Self { key, label, typical, range, basis: entry.basis, source: entry.source, unit })
    }

    /// The typical value with its unit.
    pub fn typical_in_words(&self) -> String {
        format!("{} {}", self.in_unit(self.typical), self.unit).trim_end().to_owned()
    }

    /// The range with its unit.
    pub fn range_in_words(&self) -> String {
        format!("{} … {} {}", self.in_unit(self.range.0), self.in_unit(self.range.1), self.unit)
            .trim_end()
            .to_owned()
    }

    fn in_unit(&self, si: f64) -> String {
        let quantity = KEYS.iter().find(|(name, ..)| *name == self.key).and_then(|(.., quantity)| *quantity);
        let shown = quantity.map_or_else(|| short(si), |q| q.show(si, &self.unit));
        shown.split(' ').next().unwrap_or_default().to_owned()
    }
}
