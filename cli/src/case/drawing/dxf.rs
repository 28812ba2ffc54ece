//! DXF → pieces.

use super::{Unusable, spline};
use ::dxf::Drawing;
use ::dxf::entities::{Ellipse, EntityType, LwPolyline, Polyline};
use ::dxf::enums::Units;
use panelwright_mesh::Piece;
use std::f64::consts::TAU;

/// Lines and curves of the drawing's model space [m].
pub fn pieces(bytes: &[u8], unit: Option<f64>) -> Result<Vec<Piece>, Unusable> {
    let broken = |reason: String| {
        Unusable::new(
            "the drawing cannot be read",
            reason,
            "save it again as DXF (text, release 2000 or later)",
        )
    };
    // The reader is written for drawings as programs write them; one that is cut off must not end ours.
    let drawing = std::panic::catch_unwind(|| Drawing::load(&mut &bytes[..]))
        .map_err(|_| broken("it is damaged".into()))?
        .map_err(|error| broken(error.to_string()))?;
    let scale = match unit {
        Some(unit) => unit,
        None => metres(drawing.header.default_drawing_units)?,
    };
    let mut pieces = vec![];
    for entity in drawing.entities().filter(|e| !e.common.is_in_paper_space) {
        pieces.extend(of_entity(&entity.specific)?);
    }
    Ok(pieces.iter().map(|piece| scaled(piece, scale)).collect())
}

fn metres(units: Units) -> Result<f64, Unusable> {
    Ok(match units {
        Units::Millimeters => 1e-3,
        Units::Centimeters => 1e-2,
        Units::Decimeters => 0.1,
        Units::Meters => 1.0,
        Units::Inches => 0.0254,
        Units::Feet => 0.3048,
        _ => {
            let reason = "its header names no unit ($INSUNITS)";
            let help = "add a line drawing_unit = \"mm\" to the panel";
            return Err(Unusable::new("the drawing does not say how long its units are", reason, help));
        }
    })
}

/// What an entity adds to the outline; text, dimensions and hatching add nothing.
fn of_entity(entity: &EntityType) -> Result<Vec<Piece>, Unusable> {
    Ok(match entity {
        EntityType::Line(line) => {
            vec![Piece::Straight { from: [line.p1.x, line.p1.y], to: [line.p2.x, line.p2.y] }]
        }
        EntityType::Circle(circle) => {
            vec![seen([circle.center.x, circle.center.y], circle.radius, 0.0, TAU, circle.normal.z)]
        }
        EntityType::Arc(arc) => {
            let (start, end) = (arc.start_angle.to_radians(), arc.end_angle.to_radians());
            let sweep = turn(start, end);
            vec![seen([arc.center.x, arc.center.y], arc.radius, start, sweep, arc.normal.z)]
        }
        EntityType::Ellipse(ellipse) => vec![of_ellipse(ellipse)],
        EntityType::LwPolyline(line) => light(line),
        EntityType::Polyline(line) => heavy(line),
        EntityType::Spline(curve) => spline::pieces(curve)?,
        _ => vec![],
    })
}

/// From `start` counter-clockwise to `end`: more than nothing, at most one turn.
fn turn(start: f64, end: f64) -> f64 {
    let sweep = (end - start).rem_euclid(TAU);
    if sweep > 1e-12 { sweep } else { TAU }
}

/// A circular arc; a `normal` that points down shows it from behind.
fn seen([x, y]: [f64; 2], radius: f64, start: f64, sweep: f64, normal: f64) -> Piece {
    let piece = Piece::Arc { centre: [x, y], radii: [radius; 2], tilt: 0.0, start, sweep };
    if normal < 0.0 { from_behind(&piece) } else { piece }
}

fn from_behind(piece: &Piece) -> Piece {
    match *piece {
        Piece::Straight { from, to } => Piece::Straight { from: [-from[0], from[1]], to: [-to[0], to[1]] },
        Piece::Arc { centre: [x, y], radii, tilt, start, sweep } => {
            // Mirrored: θ → π − θ for a circle.
            Piece::Arc { centre: [-x, y], radii, tilt: -tilt, start: 0.5 * TAU - start, sweep: -sweep }
        }
        Piece::Cubic { points } => Piece::Cubic { points: points.map(|[x, y]| [-x, y]) },
    }
}

/// An ellipse's points are in the world's coordinates; only its sense of rotation follows its normal.
fn of_ellipse(ellipse: &Ellipse) -> Piece {
    let (x, y) = (ellipse.major_axis.x, ellipse.major_axis.y);
    let (length, sense) = (x.hypot(y), if ellipse.normal.z < 0.0 { -1.0 } else { 1.0 });
    Piece::Arc {
        centre: [ellipse.center.x, ellipse.center.y],
        radii: [length, length * ellipse.minor_axis_ratio],
        tilt: y.atan2(x),
        start: sense * ellipse.start_parameter,
        sweep: sense * turn(ellipse.start_parameter, ellipse.end_parameter),
    }
}

fn light(line: &LwPolyline) -> Vec<Piece> {
    let vertices: Vec<_> = line.vertices.iter().map(|v| ([v.x, v.y], v.bulge)).collect();
    polyline(&vertices, line.is_closed(), line.extrusion_direction.z)
}

fn heavy(line: &Polyline) -> Vec<Piece> {
    let shown = line.vertices().filter(|vertex| !vertex.is_spline_frame_control_point());
    let vertices: Vec<_> = shown.map(|v| ([v.location.x, v.location.y], v.bulge)).collect();
    polyline(&vertices, line.is_closed(), line.normal.z)
}

fn polyline(vertices: &[([f64; 2], f64)], closed: bool, normal: f64) -> Vec<Piece> {
    let next = vertices.iter().cycle().skip(1);
    let sides = if closed { vertices.len() } else { vertices.len().saturating_sub(1) };
    let pieces =
        vertices.iter().zip(next).take(sides).map(|(&(from, bulge), &(to, _))| bulged(from, to, bulge));
    pieces.map(|piece| if normal < 0.0 { from_behind(&piece) } else { piece }).collect()
}

/// The side from one vertex to the next; its bulge is the tangent of a quarter of the angle it spans.
fn bulged(from: [f64; 2], to: [f64; 2], bulge: f64) -> Piece {
    let way = [to[0] - from[0], to[1] - from[1]];
    let half = 0.5 * way[0].hypot(way[1]);
    if bulge == 0.0 || half == 0.0 {
        return Piece::Straight { from, to };
    }
    let sweep = 4.0 * bulge.atan();
    // The centre lies to the left of the way, this share of half its length off.
    let share = (1.0 - bulge * bulge) / (2.0 * bulge);
    let centre =
        [0.5 * (from[0] + to[0]) - 0.5 * way[1] * share, 0.5 * (from[1] + to[1]) + 0.5 * way[0] * share];
    let radius = half * (1.0 + bulge * bulge) / (2.0 * bulge.abs());
    let start = (from[1] - centre[1]).atan2(from[0] - centre[0]);
    Piece::Arc { centre, radii: [radius; 2], tilt: 0.0, start, sweep }
}

fn scaled(piece: &Piece, scale: f64) -> Piece {
    let there = |point: [f64; 2]| point.map(|value| scale * value);
    match *piece {
        Piece::Straight { from, to } => Piece::Straight { from: there(from), to: there(to) },
        Piece::Arc { centre, radii, tilt, start, sweep } => {
            Piece::Arc { centre: there(centre), radii: there(radii), tilt, start, sweep }
        }
        Piece::Cubic { points } => Piece::Cubic { points: points.map(there) },
    }
}
