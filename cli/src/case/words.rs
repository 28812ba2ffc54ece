//! Lay-up, supports, attachments and back in words, for `check` and for the report.

use super::build::{Makeup, Ply};
use super::describe::Fact;
use super::quantity::{EDGE_STIFFNESS, EDGE_TURNING, LENGTH, MASS, SPRING, SURFACE_MASS, short};
use panelwright_mesh::Outline;
use panelwright_solver::plate::{Grain, Solid};
use panelwright_solver::scene::{Attachments, Back, EdgeCondition, FactorRange, Panel, Spread, Strip};

fn mm(metres: f64) -> String {
    LENGTH.show((metres * 1e5).round() / 1e5, "mm")
}

fn at([x, y]: [f64; 2]) -> String {
    format!("{:.0} mm from the left, {:.0} mm from the bottom", x * 1e3, y * 1e3)
}

fn two_digits(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}

/// What the outline is, as a word before its size; nothing for a rectangle.
pub(crate) fn shape(outline: &Outline) -> &'static str {
    match outline {
        Outline::Rectangle { .. } => "",
        Outline::RoundedRectangle { .. } => "rounded rectangle ",
        Outline::Ellipse { width, height } if width == height => "circle ",
        Outline::Ellipse { .. } => "ellipse ",
        Outline::Shape(_) => "free shape within ",
    }
}

/// Number of cut-outs and the area left, after the size; nothing for a plain rectangle.
pub(crate) fn holes(outline: &Outline) -> String {
    let cutouts = match outline.contours() - 1 {
        0 => String::new(),
        1 => " with one cut-out".into(),
        count => format!(" with {count} cut-outs"),
    };
    match outline {
        Outline::Rectangle { .. } => String::new(),
        _ => format!("{cutouts}, {:.3} m²", outline.area()),
    }
}

/// The makeup in a few words: "4 mm poplar plywood, grain horizontal".
pub(crate) fn makeup(makeup: &Makeup, thickness: f64) -> String {
    match makeup {
        Makeup::Stack(plies) => match &plies[..] {
            [Ply::Sheet { material, grain, .. }] => {
                format!("{} {}{}", mm(thickness), material.name, grain_of(&material.solid, *grain))
            }
            _ => format!("{} in {} layers", mm(thickness), plies.len()),
        },
        Makeup::Fluted { sheet, walls, listed } => {
            let name = listed.map_or_else(|| format!("fluted {}", walls[0].name), |m| m.name.clone());
            format!("{} {name}, flutes {}", mm(thickness), direction(sheet.flutes))
        }
    }
}

/// The layers of a stack or the walls of a fluted sheet, from front to back; nothing for a single sheet.
pub(crate) fn layers(makeup: &Makeup) -> Vec<String> {
    match makeup {
        Makeup::Stack(plies) if plies.len() > 1 => plies.iter().map(layer).collect(),
        Makeup::Stack(_) => vec![],
        Makeup::Fluted { sheet, walls, .. } => vec![
            format!("two skins of {} {}", mm(sheet.skin_thickness), walls[0].name),
            format!("webs of {} {}, every {}", mm(sheet.web_thickness), walls[1].name, mm(sheet.pitch)),
        ],
    }
}

fn layer(ply: &Ply) -> String {
    match ply {
        Ply::Sheet { material, thickness, grain } => {
            format!("{} {}{}", mm(*thickness), material.name, grain_of(&material.solid, *grain))
        }
        Ply::Coat(mass) => format!("{} of paint, paper or glue", SURFACE_MASS.show(*mass, "g/m²")),
    }
}

fn grain_of(solid: &Solid, grain: Grain) -> String {
    let even = solid.along == solid.across && solid.through.is_none_or(|[a, b]| a == b);
    if even { String::new() } else { format!(", grain {}", direction(grain)) }
}

fn direction(grain: Grain) -> &'static str {
    match grain {
        Grain::Horizontal => "horizontal",
        Grain::Vertical => "vertical",
    }
}

/// How the edges are held.
pub(crate) fn edges(panel: &Panel) -> String {
    let (width, height) = panel.outline.bounding_box();
    match panel.edges.sides(width, height) {
        Some([left, bottom, right, top]) if left == bottom && bottom == right && right == top => {
            format!("all {}", edge(left))
        }
        Some(sides) => {
            let names = ["left", "bottom", "right", "top"];
            names
                .iter()
                .zip(sides)
                .map(|(name, side)| format!("{name} {}", edge(side)))
                .collect::<Vec<_>>()
                .join(", ")
        }
        None => stretches(panel),
    }
}

fn stretches(panel: &Panel) -> String {
    let stretch = |s: &panelwright_solver::scene::Stretch| {
        let contour = match s.contour {
            0 => String::new(),
            hole => format!("contour {hole} "),
        };
        format!("{contour}from {:.0} to {:.0} mm {}", s.from * 1e3, s.to * 1e3, edge(s.condition))
    };
    let list: Vec<_> = panel.edges.stretches.iter().map(stretch).collect();
    format!(
        "along the contour {}, elsewhere {}; the first that covers a place holds",
        list.join(", "),
        edge(panel.edges.elsewhere)
    )
}

fn edge(condition: EdgeCondition) -> String {
    match condition {
        EdgeCondition::Free => "free".into(),
        EdgeCondition::SimplySupported => "simply supported".into(),
        EdgeCondition::Clamped => "clamped".into(),
        EdgeCondition::Strip(Strip { stiffness, rotational, loss_factor }) => format!(
            "on a strip of {} and {} (loss factor {})",
            EDGE_STIFFNESS.show(two_digits(stiffness), "kN/m²"),
            EDGE_TURNING.show(two_digits(rotational), "N"),
            short(loss_factor)
        ),
    }
}

/// The ranges that widen the band.
pub(crate) fn spread(spread: &Spread) -> String {
    if spread.samples == 0 {
        return "not computed".into();
    }
    let range = |range: FactorRange| {
        let percent = |factor: f64| format!("{:+.0} %", (factor - 1.0) * 100.0).replace('-', "−");
        format!("{} … {}", percent(range.low), percent(range.high))
    };
    let supports = match spread.supports {
        FactorRange::EXACT => String::new(),
        supports => format!(", supports {}", range(supports)),
    };
    format!(
        "{} variations: stiffness {} (along x), {} (along y), mass {}, thickness {}, loss {}{supports}, positions ±{:.1} mm",
        spread.samples,
        range(spread.along_x),
        range(spread.along_y),
        range(spread.surface_mass),
        range(spread.thickness.range),
        range(spread.loss),
        spread.position * 1e3
    )
}

/// What is behind the panel.
pub(crate) fn back(back: Back) -> String {
    match back {
        Back::Open => "open: sound goes round the edges".into(),
        Back::Baffled => "in an opening of a large wall, open behind".into(),
        Back::Wall { distance, reflection } => {
            format!("open, {} in front of a wall that reflects {}", mm(distance), short(reflection))
        }
        Back::Closed { depth, loss_factor } => {
            format!("closed, {} deep, loss factor of its air {}", mm(depth), short(loss_factor))
        }
        Back::Vented { depth, loss_factor, vent_area, vent_length } => format!(
            "vented, {} deep, loss factor of its air {}, opening of {} cm² with an effective length of {}",
            mm(depth),
            short(loss_factor),
            short(two_digits(vent_area * 1e4)),
            mm(vent_length)
        ),
    }
}

/// What is fixed to the panel, one fact each.
pub(crate) fn attachments(fixed: &Attachments) -> Vec<Fact> {
    let fact = |subject, text| Fact { subject, text };
    let mut facts = Vec::new();
    facts.extend(fixed.hangs.iter().map(|h| {
        let stiffness = SPRING.show(h.stiffness, "N/mm");
        fact(
            "hang",
            format!("\"{}\", {}, {stiffness}, loss factor {}", h.name, at(h.position), short(h.loss_factor)),
        )
    }));
    facts.extend(
        fixed
            .masses
            .iter()
            .map(|m| fact("mass", format!("\"{}\", {}, {}", m.name, at(m.position), MASS.show(m.mass, "g")))),
    );
    facts.extend(fixed.patches.iter().map(|p| {
        let [width, height] = p.size.map(|side| side * 1e3);
        let added = format!(
            "{}, {} N·m, loss factor {}",
            SURFACE_MASS.show(two_digits(p.surface_mass), "kg/m²"),
            short(two_digits(p.stiffness)),
            short(p.loss_factor)
        );
        fact(
            "patch",
            format!(
                "\"{}\", {width:.0} × {height:.0} mm, lower left corner {}, {added}",
                p.name,
                at(p.corner)
            ),
        )
    }));
    facts.extend(fixed.bars.iter().map(|b| {
        let added = format!(
            "{} g/m, {} N·m², loss factor {}",
            short(two_digits(b.line_mass * 1e3)),
            short(two_digits(b.stiffness)),
            short(b.loss_factor)
        );
        fact("bar", format!("\"{}\", from {} to {}, {added}", b.name, at(b.ends[0]), at(b.ends[1])))
    }));
    facts
}
