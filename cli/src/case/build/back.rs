//! `back` → what is behind the panel.

use super::keys::needed;
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_solver::scene::Back;
use std::f64::consts::PI;

/// Loss factor of the air in a space that gives none (estimate).
const EMPTY_SPACE: f64 = 0.05;

/// What is behind the panel; `None` if it could not be read.
pub fn build(panel: &Section, problems: &mut Vec<Problem>) -> Option<Back> {
    let Some(table) = panel.table("back") else {
        return panel.text("back").map(|word| if word == "baffled" { Back::Baffled } else { Back::Open });
    };
    let kind = table.text("kind")?;
    let keys: &[&str] = match kind {
        "wall" => &["distance", "reflection"],
        "closed" => &["depth", "loss_factor"],
        _ => &["depth", "loss_factor", "vent_area", "vent_length"],
    };
    others_are_absent(table, kind, keys, problems)?;
    let loss_factor = table.number("loss_factor").unwrap_or(EMPTY_SPACE);
    if kind == "wall" {
        let distance = needed(table, "distance", problems)?;
        return Some(Back::Wall { distance, reflection: table.number("reflection").unwrap_or(1.0) });
    }
    let depth = needed(table, "depth", problems);
    if kind == "closed" {
        return Some(Back::Closed { depth: depth?, loss_factor });
    }
    let area = needed(table, "vent_area", problems);
    let length = needed(table, "vent_length", problems);
    let (vent_area, vent_length) = (area?, effective_length(area?, length?));
    Some(Back::Vented { depth: depth?, loss_factor, vent_area, vent_length })
}

/// Length of an opening with the air that swings along outside: `8a/3π` at each end, a the radius of a circle of the same area, as if each end
/// opened in a wall (Lord Rayleigh, The Theory of Sound, 2nd ed. 1896, § 312 and app. A; upper limit of his estimate).
fn effective_length(area: f64, length: f64) -> f64 {
    length + 16.0 / (3.0 * PI) * (area / PI).sqrt()
}

fn others_are_absent(table: &Section, kind: &str, keys: &[&str], problems: &mut Vec<Problem>) -> Option<()> {
    let all = ["distance", "reflection", "depth", "loss_factor", "vent_area", "vent_length"];
    let extra: Vec<_> = all.into_iter().filter(|key| table.mentions(key) && !keys.contains(key)).collect();
    for key in &extra {
        let problem =
            Problem::error(table.place(key), format!("`{key}` does not belong to kind = \"{kind}\""));
        let help = format!("take this line out; possible are {}", keys.join(", "));
        problems.push(problem.because("without effect").instead(help));
    }
    extra.is_empty().then_some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vent_carries_air_at_both_ends() {
        // A hole of 20 mm radius in a thin wall: 16/3π · 20 mm = 33.95 mm.
        approx::assert_relative_eq!(effective_length(PI * 4e-4, 0.0), 0.033_953, max_relative = 1e-4);
    }
}
