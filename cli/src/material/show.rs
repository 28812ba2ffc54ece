//! The list as text for a terminal.

use super::{Material, list};

const WIDTH: usize = 100;

/// The whole list, one material in a line.
pub fn overview() -> Vec<String> {
    let mut lines =
        vec![format!("{:<24}{:>12}{:>24}{:>8}   {}", "material", "density", "stiffness", "loss", "basis")];
    let value = |m: &Material, key: &str| m.figure(key).map_or_else(String::new, |f| f.typical_in_words());
    for material in list().iter().filter(|m| m.needs_layup.is_none()) {
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
    let later: Vec<_> = list().iter().filter(|m| m.needs_layup.is_some()).map(|m| m.name.as_str()).collect();
    lines.push(format!("Known, but not computed yet, because they need a lay-up: {}.", later.join(", ")));
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
    lines.extend(wrap(&material.about, "  "));
    if !material.aliases.is_empty() {
        lines.extend(wrap(&format!("also: {}", material.aliases.join(", ")), "  "));
    }
    for figure in &material.figures {
        lines.push(String::new());
        lines.push(format!(
            "  {:<36}{:>14}   ({})",
            figure.label,
            figure.typical_in_words(),
            figure.range_in_words()
        ));
        lines.extend(wrap(&format!("{}: {}", figure.basis.words(), figure.source), "      "));
    }
    lines.push(String::new());
    if let Some(reason) = &material.needs_layup {
        lines.extend(wrap(&format!("Not computed yet: {reason}"), "  "));
    }
    for caution in &material.cautions {
        lines.extend(wrap(&format!("Caution: {caution}"), "  "));
    }
    lines
}

fn wrap(text: &str, indent: &str) -> Vec<String> {
    let mut lines = vec![String::from(indent)];
    for word in text.split_whitespace() {
        let last = lines.last_mut().expect("starts with one line and only grows");
        if last.chars().count() + word.chars().count() >= WIDTH && last.trim() != "" {
            lines.push(format!("{indent}{word}"));
        } else {
            if last.trim() != "" {
                last.push(' ');
            }
            last.push_str(word);
        }
    }
    lines
}
