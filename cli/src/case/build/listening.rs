//! `[[seat]]`, `[map]`, `[polar]` → receivers.

use super::names;
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_mesh::Outline;
use panelwright_solver::scene::{MapPlane, PolarArc, Seat};

/// Distance [m] of the seat that a case without seats gets.
const USUAL_DISTANCE: f64 = 2.0;

/// Most microphones of a map.
const MOST_MICROPHONES: f64 = 50_000.0;

/// All seats in panel coordinates; `origin` is what they are measured from.
pub fn seats(case: &Section, origin: Option<[f64; 3]>, problems: &mut Vec<Problem>) -> Option<Vec<Seat>> {
    let sections = case.tables("seat")?;
    let names = names(sections, "seat", problems);
    let [x, y, z] = origin?;
    if sections.is_empty() {
        return Some(vec![Seat { name: "on axis, 2 m".into(), position: [x, y, z + USUAL_DISTANCE] }]);
    }
    let seat = |(section, name): (&Section, String)| {
        let (right, above) = (section.number("to_the_right")?, section.number("above")?);
        Some(Seat { name, position: [x + right, y + above, z + section.number("in_front")?] })
    };
    sections.iter().zip(names).map(seat).collect()
}

/// The output map.
pub fn map(section: &Section, outline: Option<&Outline>, problems: &mut Vec<Problem>) -> Option<MapPlane> {
    let (distance, margin, spacing) =
        (section.number("distance")?, section.number("margin")?, section.number("spacing")?);
    let (width, height) = outline?.bounding_box();
    let along = |side: f64| ((side + 2.0 * margin) / spacing).ceil() + 1.0;
    let microphones = along(width) * along(height);
    if microphones > MOST_MICROPHONES {
        let problem = Problem::error(
            section.place("spacing"),
            format!("the map would have {microphones:.0} microphones"),
        );
        let wanted = spacing * (microphones / MOST_MICROPHONES).sqrt();
        let help = format!("write a spacing of {:.0} mm or more, or a smaller margin", (wanted * 1e3).ceil());
        problems.push(problem.because(format!("at most {MOST_MICROPHONES:.0}")).instead(help));
        return None;
    }
    Some(MapPlane { distance, margin, spacing })
}

/// The polar arcs.
pub fn arc(section: &Section) -> Option<PolarArc> {
    Some(PolarArc { distance: section.number("distance")?, step: section.number("step")? })
}
