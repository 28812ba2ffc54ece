//! `panelwright materials`: the built-in list, or one material in detail.

use crate::args;
use crate::failure::Failure;
use crate::material;
use crate::terminal;
use serde_json::json;

/// Prints the list or one material.
///
/// # Errors
/// When the material is not in the list.
pub fn run(options: &args::Materials) -> Result<(), Failure> {
    match (&options.name, options.json) {
        (None, false) => terminal::print(&material::overview().join("\n")),
        (None, true) => {
            let names: Vec<&str> = material::list().iter().map(|material| material.name.as_str()).collect();
            terminal::print(&json!(names).to_string());
        }
        (Some(name), as_json) => show(name, as_json)?,
    }
    Ok(())
}

fn show(name: &str, as_json: bool) -> Result<(), Failure> {
    let found = material::find(name).ok_or_else(|| {
        Failure::input(
            format!("`{name}` is not in the list of materials"),
            "Run `panelwright materials` for the list, or give the values inline under [panel.material].",
        )
    })?;
    match as_json {
        true => terminal::print(&for_programs(found).to_string()),
        false => terminal::print(&material::detail(found).join("\n")),
    }
    Ok(())
}

fn for_programs(material: &material::Material) -> serde_json::Value {
    let figures: Vec<_> = material
        .figures
        .iter()
        .map(|figure| json!({ "key": figure.key, "typical": figure.typical, "source": figure.source }))
        .collect();
    json!({ "name": material.name, "about": material.about, "cautions": material.cautions, "figures": figures })
}
