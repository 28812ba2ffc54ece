//! What is known once a system is solved: the sound on the surface, and with it everywhere.

use super::blocks::Point;
use super::body::{Body, POINTS};
use super::element::{Ball, Place, Six, WHOLE, shape_values, share, within};
use super::incident::{IncidentField, with_images};
use super::potentials::{PointField, Source, Sources};
use super::triangle_rule::TriangleRule;
use super::wave::Wave;
use nalgebra::Vector3;
use num_complex::Complex64;
use rayon::prelude::*;

/// Sound of a body at one frequency.
pub struct SurfaceField<'a> {
    pub(super) body: &'a Body,
    pub(super) wave: Wave,
    /// jωρ.
    pub(super) inertia: Complex64,
    /// Pressure [Pa RMS] at every point of the surface.
    pub pressure: Vec<Complex64>,
    /// Outward normal derivative of the pressure [Pa/m RMS] at the six points of every element.
    pub slopes: Vec<Six<Complex64>>,
    pub(super) incident: Vec<Box<dyn IncidentField>>,
    /// Steps the iteration took.
    pub steps: usize,
    /// Relative residual it reached.
    pub residual: f64,
}

/// Parts of an element are divided until their distance from the receiver is this many times their radius.
const NEAR: f64 = 2.5;
/// Parts as small as this over the element are not divided further: the receiver lies on the surface.
const SMALLEST: f64 = 1e-7;

impl SurfaceField<'_> {
    /// Pressure and gradient at points [m] outside the body, by Green's formula
    /// `p = ∫ p ∂G/∂n′ − G ∂p/∂n′ dS + p_inc`. Elements near a point are divided as its distance asks for, so that a point may lie
    /// closer to a wall than the size of its elements.
    pub fn at(&self, points: &[Vector3<f64>]) -> Vec<PointField> {
        let (radiated, arriving) = (self.radiated_at(points), self.arriving_at(points));
        radiated.iter().zip(&arriving).map(|(radiated, arriving)| radiated.plus(arriving)).collect()
    }

    /// The part of [`at`](Self::at) that the body radiates and scatters.
    pub fn radiated_at(&self, points: &[Vector3<f64>]) -> Vec<PointField> {
        self.radiated_by(&(0..self.body.len()).collect::<Vec<_>>(), points)
    }

    /// The share of these elements in [`radiated_at`](Self::radiated_at).
    pub fn radiated_by(&self, elements: &[usize], points: &[Vector3<f64>]) -> Vec<PointField> {
        let all: Vec<Source> = elements.iter().flat_map(|&index| self.element_sources(index)).collect();
        let all = Sources::new(&all, &self.body.images);
        let ball = |&index: &usize| (index, self.body.elements[index].ball(&WHOLE));
        let balls: Vec<(usize, Ball)> = elements.iter().map(ball).collect();
        let near = TriangleRule::twelve();
        points.par_iter().map(|&point| self.at_point(point, &all, &balls, &near)).collect()
    }

    /// The part of [`at`](Self::at) that arrives, thrown back by mirror planes but not by the body.
    pub fn arriving_at(&self, points: &[Vector3<f64>]) -> Vec<PointField> {
        let at = |&point: &_| with_images(&self.incident, &self.body.images, point, self.wave.k);
        points.par_iter().map(at).collect()
    }

    /// Wavenumber k [rad/m].
    pub fn wavenumber(&self) -> f64 {
        self.wave.k
    }

    /// The sum of two fields of one system, and of what arrives in both.
    ///
    /// # Panics
    /// When the fields are those of different bodies.
    pub fn plus(mut self, other: Self) -> Self {
        assert!(std::ptr::eq(self.body, other.body), "fields of one body");
        self.pressure.iter_mut().zip(&other.pressure).for_each(|(p, more)| *p += more);
        self.slopes.iter_mut().flatten().zip(other.slopes.iter().flatten()).for_each(|(q, more)| *q += more);
        self.incident.extend(other.incident);
        self.steps += other.steps;
        self.residual = self.residual.max(other.residual);
        self
    }

    fn at_point(
        &self,
        point: Vector3<f64>,
        all: &Sources,
        balls: &[(usize, Ball)],
        rule: &TriangleRule,
    ) -> PointField {
        let mut field = all.at(point, self.wave.k);
        for image in &self.body.images {
            // Seen from the point's image the image of an element is the element.
            let seen = image.of(point);
            for &(index, ball) in balls {
                if (ball.middle - seen).norm() < (NEAR + 1.0) * ball.reach {
                    let mut correction = self.correction(index, seen, rule);
                    let signs = image.of(Vector3::repeat(1.0));
                    (0..3).for_each(|c| correction.gradient[c] *= signs[c]);
                    field = field.plus(&correction);
                }
            }
        }
        field
    }

    /// What division of one element changes.
    fn correction(&self, index: usize, point: Vector3<f64>, rule: &TriangleRule) -> PointField {
        let mut fine = vec![];
        self.divide(index, &WHOLE, point, rule, &mut fine);
        let coarse = self.element_sources(index).map(|source| Source {
            monopole: -source.monopole,
            dipole: -source.dipole,
            ..source
        });
        fine.extend(coarse);
        Sources::new(&fine, &self.body.images[..1]).at(point, self.wave.k)
    }

    fn divide(
        &self,
        index: usize,
        part: &[Place; 3],
        point: Vector3<f64>,
        rule: &TriangleRule,
        sources: &mut Vec<Source>,
    ) {
        let element = &self.body.elements[index];
        let ball = element.ball(part);
        let share = share(part);
        if (ball.middle - point).norm() >= NEAR * ball.reach || share < SMALLEST {
            sources.extend(
                rule.iter().map(|(place, weight)| self.source(index, within(part, place), share * weight)),
            );
            return;
        }
        for half in element.halves(part) {
            self.divide(index, &half, point, rule, sources);
        }
    }

    /// The sources of one element by the plain rule.
    pub(super) fn element_sources(&self, index: usize) -> [Source; POINTS] {
        let rule = TriangleRule::six();
        std::array::from_fn(|q| self.source(index, rule.places[q], rule.weights[q]))
    }

    /// Layers at a place on an element.
    fn source(&self, index: usize, place: Place, weight: f64) -> Source {
        let spot = self.body.elements[index].at(place);
        let jacobian = spot.area.norm();
        let [pressure, slope] = self.on_element(index, place);
        Source {
            position: spot.position,
            normal: spot.area / jacobian,
            monopole: -weight * jacobian * slope,
            dipole: weight * jacobian * pressure,
        }
    }

    /// Pressure [Pa RMS] on an element at barycentric coordinates.
    pub fn pressure_on(&self, element: usize, place: [f64; 3]) -> Complex64 {
        self.on_element(element, place)[0]
    }

    /// `∫ p w dS` over the surface as it was given, without its images; `weight` makes w of patch, place [m] and outward normal. With the normal
    /// velocity of a motion of unit amplitude for w it is the force [N RMS] with which the motion pushes against the air.
    pub fn integrated(&self, weight: impl Fn(u16, Vector3<f64>, Vector3<f64>) -> f64) -> Complex64 {
        let rule = TriangleRule::six();
        let element = |index: usize| -> Complex64 {
            let at = |(point, &place): (&Point, &Place)| {
                let area = point.area.norm();
                self.on_element(index, place)[0]
                    * area
                    * weight(self.body.patches[index], point.position, point.area / area)
            };
            self.body.quadrature[index].iter().zip(&rule.places).map(at).sum()
        };
        (0..self.body.len()).map(element).sum()
    }

    /// Pressure [Pa RMS] and its normal derivative [Pa/m RMS] on an element.
    pub(super) fn on_element(&self, index: usize, place: Place) -> [Complex64; 2] {
        let values = shape_values(place);
        let nodes = &self.body.nodes[index];
        let pressure = (0..6).map(|j| values[j] * self.pressure[nodes[j] as usize]).sum();
        let slope = (0..6).map(|j| values[j] * self.slopes[index][j]).sum();
        [pressure, slope]
    }

    /// `r p exp(jkr)` [Pa m RMS] of the radiated and scattered field far away in the directions of unit vectors:
    /// `∫ (jk d·n′ p − ∂p/∂n′) exp(jk d·y) dS/(4π)`.
    pub fn far(&self, directions: &[Vector3<f64>]) -> Vec<Complex64> {
        let (images, k) = (&self.body.images, self.wave.k);
        let sources: Vec<Source> =
            (0..self.body.len()).flat_map(|index| self.element_sources(index)).collect();
        let sources = Sources::new(&sources, &images[..1]);
        // Seen from an image of the direction the image of the body is the body.
        let seen = |&d: &Vector3<f64>| images.iter().map(|image| sources.far(image.of(d), k)).sum();
        directions.par_iter().map(seen).collect()
    }
}
