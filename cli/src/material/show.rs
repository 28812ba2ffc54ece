//! The list as text for a terminal.

use super::{Material, Role, list};
use crate::wrap::wrap;

/// The whole list, one material in a line.
pub fn overview() -> Vec<String> {
    let mut lines =
        vec![format!("{:<24}{:>12}{:>24}{:>8}   {}", "material", "density", "stiffness", "loss", "basis")];
    let value = |m: &Material, key: &str| m.figure(key).map_or_else(String::new, |f| f.typical_in_words());
    for material in list().iter().filter(|m| m.role == Role::Sheet) {
        let stiffness = if material.is_isotropic() {
            value(material, "youngs_modulus")
        } else {
            format!("{} / {}", value(material, "along_grain"), value(material, "across_grain"))
        };
        let (density, loss) = (value(material, "density"), value(material, "loss_factor"));
        let basis = weakest_basis(material);
        lines.push(format!("{:<24}{density:>12}{stiffness:>24}{loss:>8}   {basis}", material.name));
    }
    lines.push(String::new());
    lines.push(
        "Stiffness is Young's modulus, or along / across the face grain. Basis is that of the weakest value."
            .into(),
    );
    for role in [Role::Core, Role::Fluted, Role::Coat, Role::Tape, Role::Damping, Role::Hanger] {
        let names: Vec<_> = list().iter().filter(|m| m.role == role).map(|m| m.name.as_str()).collect();
        lines.push(String::new());
        lines.extend(wrap(&format!("{}.", names.join(", ")), "", "  "));
        lines.extend(wrap(&format!("Each is {}.", role.words()), "  ", "  "));
    }
    lines.push(String::new());
    lines.push("`panelwright materials NAME` shows one with spread, sources and cautions.".into());
    lines
}

fn weakest_basis(material: &Material) -> &'static str {
    let weakest = material.figures.iter().map(|f| f.basis).max_by_key(|b| *b as u8);
    weakest.map_or("", super::Basis::words)
}

/// One material in detail.
pub fn detail(material: &Material) -> Vec<String> {
    let mut lines = vec![material.name.clone()];
    lines.extend(wrap(&material.about, "  ", "  "));
    if !material.aliases.is_empty() {
        lines.extend(wrap(&format!("also: {}", material.aliases.join(", ")), "  ", "  "));
    }
    for figure in &material.figures {
        lines.push(String::new());
        lines.push(format!(
            "  {:<36}{:>14}   ({})",
            figure.label,
            figure.typical_in_words(),
            figure.range_in_words()
        ));
        lines.extend(wrap(&format!("{}: {}", figure.basis.words(), figure.source), "      ", "      "));
    }
    lines.push(String::new());
    lines.extend(wrap(&format!("In a case it is {}.", material.role.words()), "  ", "  "));
    for caution in &material.cautions {
        lines.extend(wrap(&format!("Caution: {caution}"), "  ", "  "));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::find;
    use crate::wrap::WIDTH;

    #[test]
    fn the_overview_has_a_line_for_each_and_names_the_weakest_basis() {
        let lines = overview();
        for material in list() {
            assert!(lines.iter().any(|line| line.contains(&material.name)), "{}", material.name);
        }
        let poplar = lines.iter().find(|line| line.starts_with("poplar plywood")).expect("listed");
        assert!(
            poplar.contains("450 kg/m³")
                && poplar.contains("7 GPa / 2.5 GPa")
                && poplar.ends_with("estimate")
        );
        let aluminium = lines.iter().find(|line| line.starts_with("aluminium")).expect("listed");
        assert!(aluminium.ends_with("from memory"), "{aluminium}");
    }

    #[test]
    fn the_detail_gives_value_spread_basis_source_and_caution() {
        let text = detail(find("EPS").expect("listed")).join("\n");
        for part in [
            "6 MPa",
            "(3 … 12 MPa)",
            "from memory: J. S. Horvath",
            "Caution: Burns fast and drips",
            "local codes",
        ] {
            assert!(text.contains(part), "{part} is not in:\n{text}");
        }
        let board = detail(find("cardboard").expect("listed")).join("\n");
        assert!(board.contains("In a case it is a fluted sheet: material = … in [panel]."), "{board}");
    }

    #[test]
    fn lines_fit_the_page() {
        for material in list() {
            for line in detail(material) {
                assert!(line.chars().count() <= WIDTH, "{line}");
            }
        }
    }
}
