//! Do bodies keep off each other, and off the panel?

use super::facets::Facets;
use super::solid::{Patches, Shape, Solid};
use super::{AssemblyFault, Gap, LEAST_GAP};
use crate::scene::Behind;
use nalgebra::{Isometry3, Translation3, UnitQuaternion, Vector3};
use panelwright_mesh::Outline;
use panelwright_mesh::check::{Place, Span, gap, meeting};
use panelwright_mesh::shapes::Slab;

/// Name of what is behind the driver.
const PANEL: &str = "panel";
/// A board is looked at as a plate of this thickness [m] behind its front.
const BOARD: f64 = 1e-4;

/// The narrowest air between any two bodies, or between one and the panel.
///
/// # Errors
/// Bodies that cross, lie within each other or come too close; bodies that reach the panel.
pub fn least_gap(solids: &[Solid], behind: &Behind, place: [f64; 3]) -> Result<Option<Gap>, AssemblyFault> {
    let mut bodies = solids.iter().map(Facets::of).collect::<Result<Vec<_>, _>>()?;
    let to_plane = bodies.iter().map(|body| before_the_panel(body, behind, place));
    let mut gaps: Vec<Gap> = to_plane.collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect();
    if let Behind::Board(outline) = behind {
        bodies.push(Facets::of(&board(outline, place))?);
    }
    for (number, one) in bodies.iter().enumerate() {
        for other in &bodies[number + 1..] {
            gaps.extend(apart(one, other)?);
        }
    }
    Ok(gaps.into_iter().min_by(|a, b| a.span.length().total_cmp(&b.span.length())))
}

/// The way from a body's rearmost point to the plane; none to a board, whose distance depends on its outline.
fn before_the_panel(body: &Facets, behind: &Behind, place: [f64; 3]) -> Result<Option<Gap>, AssemblyFault> {
    let place = Vector3::from(place);
    let rearmost = match behind {
        Behind::Nothing => None,
        Behind::Plane => body.lowest(|_| true),
        Behind::Board(outline) => {
            body.lowest(|point| outline.contains([point.x + place.x, point.y + place.y]))
        }
    };
    let Some(rearmost) = rearmost else { return Ok(None) };
    let at = rearmost + place;
    if at.z < LEAST_GAP {
        return Err(AssemblyFault::BehindThePanel { part: body.name.clone(), at: Place(at) });
    }
    let foot = Vector3::new(rearmost.x, rearmost.y, -place.z);
    let gap = Gap { parts: [body.name.clone(), PANEL.into()], span: Span { ends: [rearmost, foot] } };
    Ok((*behind == Behind::Plane).then_some(gap))
}

/// The air between two bodies.
fn apart(one: &Facets, other: &Facets) -> Result<Option<Gap>, AssemblyFault> {
    if let Some((triangles, at)) = meeting(&one.surface, &other.surface) {
        let parts = [one.part(triangles[0]), other.part(triangles[1])];
        return Err(AssemblyFault::Cross { parts, at });
    }
    for (inner, outer) in [(one, other), (other, one)] {
        if let Some(&point) = inner.surface.points.first().filter(|&&point| outer.encloses(point)) {
            let (inner, outer) = (inner.name.clone(), outer.name.clone());
            return Err(AssemblyFault::Within { inner, outer, at: Place(point) });
        }
    }
    let Some(span) = gap(&one.surface, &other.surface) else { return Ok(None) };
    let parts = [one.name.clone(), other.name.clone()];
    if span.length() < LEAST_GAP {
        return Err(AssemblyFault::Close { parts, gap: span.length(), at: Place(span.middle()) });
    }
    Ok(Some(Gap { parts, span }))
}

/// The panel as a plate, in the coordinates of the driver.
fn board(outline: &Outline, place: [f64; 3]) -> Solid {
    let [x, y] = outline.centre();
    let middle = Vector3::new(x, y, 0.0) - Vector3::from(place);
    Solid {
        name: PANEL.into(),
        shape: Shape::Flat(Box::new(Slab::plain(outline.clone(), BOARD))),
        place: Isometry3::from_parts(Translation3::from(middle), UnitQuaternion::identity()),
        patches: Patches::OfTheShape,
    }
}

/// What a part from a file, as it was divided, meets.
pub fn met_by(divided: &panelwright_mesh::Surface, others: &[Facets]) -> Option<(String, Place)> {
    others.iter().find_map(|other| {
        let (triangles, at) = meeting(divided, &other.surface)?;
        Some((other.part(triangles[1]), at))
    })
}
