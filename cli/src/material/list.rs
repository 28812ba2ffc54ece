//! The list itself, from `materials.toml`.

use super::figure::{Entry, Figure, KEYS};
use super::{Material, Role, Walls};
use panelwright_solver::plate::Web;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

const TEXT: &str = include_str!("../../materials.toml");

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    material: Vec<Listed>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Listed {
    name: String,
    #[serde(default)]
    aliases: Vec<String>,
    about: String,
    #[serde(default)]
    cautions: Vec<String>,
    #[serde(default, rename = "use")]
    role: Role,
    fluted: Option<ListedWalls>,
    #[serde(default)]
    figures: BTreeMap<String, Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ListedWalls {
    skin: String,
    web: String,
    webs: Shape,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Shape {
    Straight,
    Wave,
}

impl From<ListedWalls> for Walls {
    fn from(ListedWalls { skin, web, webs }: ListedWalls) -> Self {
        let shape = match webs {
            Shape::Straight => Web::Straight,
            Shape::Wave => Web::Wave,
        };
        Self { skin, web, shape }
    }
}

/// All materials.
pub fn list() -> &'static [Material] {
    static LIST: OnceLock<Vec<Material>> = OnceLock::new();
    LIST.get_or_init(|| read(TEXT).expect("the built-in list is part of the program and read by a test"))
}

/// The material called `name`, upper or lower case, hyphens or spaces.
pub fn find(name: &str) -> Option<&'static Material> {
    let wanted = plain(name);
    list().iter().find(|m| std::iter::once(&m.name).chain(&m.aliases).any(|n| plain(n) == wanted))
}

/// The name or alias that `name` was perhaps meant to be.
pub fn nearest(name: &str) -> Option<&'static str> {
    crate::case::nearest_word(&plain(name), names())
}

/// Every name and alias.
fn names() -> impl Iterator<Item = &'static str> {
    list().iter().flat_map(|m| std::iter::once(&m.name).chain(&m.aliases)).map(String::as_str)
}

fn plain(name: &str) -> String {
    let words: Vec<_> =
        name.split(|c: char| c.is_whitespace() || c == '-' || c == '_').filter(|w| !w.is_empty()).collect();
    words.join(" ").to_lowercase()
}

fn read(text: &str) -> Result<Vec<Material>, String> {
    let file: File = toml::from_str(text).map_err(|e| e.to_string())?;
    file.material.into_iter().map(material).collect()
}

fn material(mut listed: Listed) -> Result<Material, String> {
    let mut figures = Vec::new();
    for (key, ..) in &KEYS {
        if let Some(entry) = listed.figures.remove(*key) {
            figures.push(
                Figure::read(key, entry).ok_or_else(|| format!("{}: {key} cannot be read", listed.name))?,
            );
        }
    }
    match listed.figures.into_keys().next() {
        Some(key) => Err(format!("{}: unknown value {key}", listed.name)),
        None => Ok(Material {
            name: listed.name,
            aliases: listed.aliases,
            about: listed.about,
            cautions: listed.cautions,
            role: listed.role,
            fluted: listed.fluted.map(Walls::from),
            figures,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_whole() {
        let materials = read(TEXT).expect("reads");
        assert!(materials.len() >= 25);
        for material in &materials {
            assert!(!material.about.is_empty(), "{}", material.name);
            let needed: &[&str] = match material.role {
                Role::Sheet | Role::Damping => &["density", "poisson_ratio", "loss_factor"],
                Role::Core => {
                    &["density", "transverse_shear_modulus", "transverse_shear_across", "loss_factor"]
                }
                Role::Fluted => &["skin_thickness", "web_thickness", "pitch"],
                Role::Coat => &["mass_per_area"],
                Role::Tape => &["youngs_modulus", "loss_factor"],
                Role::Hanger => &["stiffness", "loss_factor"],
            };
            for key in needed {
                assert!(material.figure(key).is_some(), "{}: {key}", material.name);
            }
            let solid = matches!(material.role, Role::Sheet | Role::Damping | Role::Core);
            assert_eq!(material.solid().is_some(), solid, "{}", material.name);
            assert_eq!(material.fluted.is_some(), material.role == Role::Fluted, "{}", material.name);
        }
    }

    #[test]
    fn walls_of_fluted_sheets_are_in_the_list() {
        let fluted: Vec<_> = list().iter().filter_map(|m| m.fluted.as_ref()).collect();
        assert!(fluted.len() >= 3);
        for walls in fluted {
            for name in [&walls.skin, &walls.web] {
                assert!(find(name).and_then(Material::solid).is_some(), "{name}");
            }
        }
    }

    #[test]
    fn typical_values_lie_in_their_range_and_have_a_source() {
        for material in list() {
            for figure in &material.figures {
                let (low, high) = figure.range;
                assert!(low < figure.typical && figure.typical < high, "{} {}", material.name, figure.key);
                assert!(figure.source.len() > 10, "{} {}", material.name, figure.key);
            }
        }
    }

    #[test]
    fn stiffness_is_definite_even_at_the_ends_of_the_range() {
        for material in list() {
            let Some(poisson) = material.figure("poisson_ratio") else { continue };
            let worst = material.solid_with("poisson_ratio", poisson.range.1).expect("solids have one");
            assert!(worst.poisson_margin() > 0.5, "{}: {}", material.name, worst.poisson_margin());
        }
    }

    #[test]
    fn names_are_found_in_any_dress_and_only_once() {
        assert_eq!(find("Poplar-Plywood").expect("listed").name, "poplar plywood");
        assert!(find("unobtainium").is_none());
        assert_eq!(nearest("popler plywod"), Some("poplar plywood"));
        assert_eq!(nearest("moon rock"), None);
        let mut all: Vec<_> = names().map(plain).collect();
        let count = all.len();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn a_broken_list_is_refused() {
        let entry = "[[material]]\nname='x'\nabout='y'\n[material.figures.mass]\ntypical='1'\nrange=['0','2']\nbasis='estimate'\nsource='-'";
        assert_eq!(read(entry).expect_err("unknown value"), "x: unknown value mass");
        let entry = entry.replace("figures.mass", "figures.density");
        assert_eq!(read(&entry).expect_err("no unit"), "x: density cannot be read");
    }
}
