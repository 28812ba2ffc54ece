//! A body as boundary elements see it: what does not depend on the frequency.

use super::blocks::Point;
use super::element::{Element, Six};
use super::error::BoundaryError;
use super::mirrors::{Image, Mirrors};
use super::moments::{MomentRules, Moments};
use super::neighbours::{Neighbours, neighbours};
use super::triangle_rule::TriangleRule;
use nalgebra::Vector3;
use panelwright_mesh::{Edge, QuadraticSurface, edge};
use std::collections::HashMap;

/// Points of the plain rule per element.
pub(super) const POINTS: usize = 6;

/// A point closer to a mirror plane than this, over the size of the body, is taken to lie on it.
const ON_PLANE: f64 = 1e-7;

/// A closed body, with all that its discretisation needs at any frequency.
pub struct Body {
    pub(super) points: Vec<Vector3<f64>>,
    /// Nodes of every element.
    pub(super) nodes: Vec<Six<u32>>,
    pub(super) patches: Vec<u16>,
    pub(super) images: Vec<Image>,
    pub(super) elements: Vec<Element>,
    /// Points of the plain rule on every element.
    pub(super) quadrature: Vec<[Point; POINTS]>,
    /// Moments of pairs of elements near each other.
    pub(super) near: Vec<Moments>,
    /// For every element what is near it, ordered by the other element and image.
    pub(super) partners: Vec<Vec<Partner>>,
}

/// What is near an element.
#[derive(Clone, Copy, Debug)]
pub(super) struct Partner {
    pub element: usize,
    pub image: usize,
    /// Index of the pair.
    pub pair: usize,
    /// True when the element is the source of the pair.
    pub exchanged: bool,
}

impl Body {
    /// The body with this surface, given whole, or up to the planes of `mirrors` that it is symmetric to.
    ///
    /// # Errors
    /// When the surface is not closed, has elements without area, or reaches beyond a mirror plane.
    pub fn new(surface: &QuadraticSurface, mirrors: Mirrors) -> Result<Self, BoundaryError> {
        Self::with_rules(surface, mirrors, &MomentRules::new())
    }

    /// Judges a surface as [`Body::new`] does, without the work for the matrices.
    ///
    /// # Errors
    /// The same.
    pub fn check(surface: &QuadraticSurface, mirrors: Mirrors) -> Result<(), BoundaryError> {
        judged(surface, mirrors).map(|_| ())
    }

    pub(super) fn with_rules(
        surface: &QuadraticSurface,
        mirrors: Mirrors,
        rules: &MomentRules,
    ) -> Result<Self, BoundaryError> {
        let points = judged(surface, mirrors)?;
        let place = |nodes: &Six<u32>| Element { nodes: nodes.map(|node| points[node as usize]), sense: 1.0 };
        let elements: Vec<Element> = surface.elements.iter().map(place).collect();
        let corners: Vec<[u32; 3]> = surface.elements.iter().map(|&[a, b, c, ..]| [a, b, c]).collect();
        let images = mirrors.images();
        let close = neighbours(&elements, &corners, &images);
        let pair = |pair: &Neighbours| {
            let source = images[pair.image].of_element(&elements[pair.source]);
            ([elements[pair.tested], source], pair.relation)
        };
        let near = rules.all(&close.iter().map(pair).collect::<Vec<_>>());
        let plain = TriangleRule::six();
        let on = |element: &Element| {
            std::array::from_fn(|q| Point::new(element, plain.places[q], plain.weights[q]))
        };
        Ok(Self {
            quadrature: elements.iter().map(on).collect(),
            partners: partners(&close, elements.len()),
            nodes: surface.elements.clone(),
            patches: surface.patches.clone(),
            points,
            images,
            elements,
            near,
        })
    }

    /// Number of unknowns: points of the surface.
    pub fn unknowns(&self) -> usize {
        self.points.len()
    }

    /// Number of elements.
    pub fn len(&self) -> usize {
        self.elements.len()
    }

    /// True without elements, which [`Body::new`] refuses.
    pub fn is_empty(&self) -> bool {
        self.elements.is_empty()
    }

    /// Point [m] of an element at barycentric coordinates, and its outward normal times the Jacobian [m²], twice the area of a plane element.
    pub fn place(&self, element: usize, place: [f64; 3]) -> [Vector3<f64>; 2] {
        let spot = self.elements[element].at(place);
        [spot.position, spot.area]
    }

    /// Points of the surface [m]: corners of elements, then middles of their sides.
    pub fn points(&self) -> &[Vector3<f64>] {
        &self.points
    }

    /// Points [m] of every element: its corners, then the middles of its sides.
    pub fn elements(&self) -> impl Iterator<Item = [Vector3<f64>; 6]> + '_ {
        self.elements.iter().map(|element| element.nodes)
    }

    /// True when the body goes on beyond mirror planes.
    pub fn is_mirrored(&self) -> bool {
        self.images.len() > 1
    }

    /// Radius [m] of a ball around the middle of the points (images included) that holds them all.
    pub fn radius(&self) -> f64 {
        let all = || self.images.iter().flat_map(|image| self.points.iter().map(|point| image.of(*point)));
        let count = (self.points.len() * self.images.len()) as f64;
        let middle = all().sum::<Vector3<f64>>() / count;
        all().map(|point| (point - middle).norm()).fold(0.0, f64::max)
    }
}

fn partners(near: &[Neighbours], count: usize) -> Vec<Vec<Partner>> {
    let mut partners = vec![vec![]; count];
    for (pair, Neighbours { tested, source, image, .. }) in near.iter().enumerate() {
        partners[*tested].push(Partner { element: *source, image: *image, pair, exchanged: false });
        if source != tested {
            partners[*source].push(Partner { element: *tested, image: *image, pair, exchanged: true });
        }
    }
    partners.iter_mut().for_each(|list| list.sort_by_key(|partner| (partner.element, partner.image)));
    partners
}

/// The points, if the surface can be a body.
fn judged(surface: &QuadraticSurface, mirrors: Mirrors) -> Result<Vec<Vector3<f64>>, BoundaryError> {
    let points = snapped(surface, mirrors);
    check(surface, &points, mirrors)?;
    Ok(points)
}

/// Points with those near a mirror plane put on it.
fn snapped(surface: &QuadraticSurface, mirrors: Mirrors) -> Vec<Vector3<f64>> {
    let size = surface.points.iter().map(|point| point.amax()).fold(0.0, f64::max);
    let snap = |point: &Vector3<f64>| {
        let on = |along: usize| mirrors.0[along] && point[along].abs() <= ON_PLANE * size;
        Vector3::from_fn(|along, _| if on(along) { 0.0 } else { point[along] })
    };
    surface.points.iter().map(snap).collect()
}

fn check(surface: &QuadraticSurface, points: &[Vector3<f64>], mirrors: Mirrors) -> Result<(), BoundaryError> {
    if surface.elements.is_empty() {
        return Err(BoundaryError::Empty);
    }
    for (element, nodes) in surface.elements.iter().enumerate() {
        if let Some(&point) = nodes.iter().find(|&&node| node as usize >= points.len()) {
            return Err(BoundaryError::NoSuchPoint { element, point, count: points.len() });
        }
        let corners = [0, 1, 2].map(|i| points[nodes[i] as usize]);
        let (ab, ac) = (corners[1] - corners[0], corners[2] - corners[0]);
        if ab.cross(&ac).norm() <= 1e-12 * (ab.norm_squared() + ac.norm_squared()) {
            return Err(BoundaryError::Flat { element, at: corners[0].into() });
        }
        for along in (0..3).filter(|&along| mirrors.0[along]) {
            let across = corners.map(|corner| corner[along]);
            if across.iter().any(|&x| x < 0.0) || across == [0.0; 3] {
                return Err(BoundaryError::BeyondMirror { element, axis: ['x', 'y', 'z'][along] });
            }
        }
    }
    closed(surface, points, mirrors)
}

/// Every side belongs to two elements, or to one and lies in a mirror plane.
fn closed(
    surface: &QuadraticSurface,
    points: &[Vector3<f64>],
    mirrors: Mirrors,
) -> Result<(), BoundaryError> {
    let mut sides: HashMap<Edge, usize> = HashMap::new();
    for nodes in &surface.elements {
        for side in 0..3 {
            *sides.entry(edge(nodes[side], nodes[(side + 1) % 3])).or_default() += 1;
        }
    }
    let in_plane = |ends: &Edge| {
        (0..3).any(|along| mirrors.0[along] && ends.iter().all(|&end| points[end as usize][along] == 0.0))
    };
    let wrong = |(ends, count): &(&Edge, &usize)| **count != 2 && !(**count == 1 && in_plane(ends));
    match sides.iter().filter(wrong).min() {
        None => Ok(()),
        Some((ends, &count)) => {
            let [from, to] = ends.map(|end| points[end as usize].into());
            Err(BoundaryError::Open { from, to, count })
        }
    }
}
