//! One body at one frequency: the system of equations and its solution.

use super::body::Body;
use super::element::{Element, NODE_PLACES, Six};
use super::error::BoundaryError;
use super::incident::{IncidentField, with_images};
use super::operator::{Operator, Representation};
use super::pair::PairOperators;
use super::potentials::{Source, Sources};
use super::precondition::Blocks;
use super::surface_field::SurfaceField;
use super::wave::{Kernel, Wave};
use crate::air::Air;
use crate::gmres::{Stop, gmres};
use nalgebra::Vector3;
use num_complex::Complex64;
use rayon::prelude::*;

/// Relative residual sought, an estimate of the error of the pressure: a hundredth of the discretisation's, ten times the operator's rounding.
const RESIDUAL: f64 = 1e-5;
const STEPS: usize = 400;
/// Points of a block of the preconditioner: up to here a factorisation is cheaper than the steps it saves.
const BLOCK: usize = 500;

/// What drives the sound.
#[derive(Default)]
pub struct Drive {
    /// Outward normal velocity [m/s RMS] at the six points of every element (corners, then sides), so that it may jump from one element
    /// to the next. Nothing moves when it is empty.
    pub velocity: Vec<Six<Complex64>>,
    /// Fields that arrive from elsewhere; mirror planes throw them back.
    pub incident: Vec<Box<dyn IncidentField>>,
}

impl Drive {
    /// Every place of the surface moves with the outward normal velocity [m/s RMS] that `velocity` makes of patch, place [m] and normal.
    pub fn moving(body: &Body, velocity: impl Fn(u16, Vector3<f64>, Vector3<f64>) -> Complex64) -> Self {
        let of = |(element, &patch): (&Element, &u16)| {
            NODE_PLACES.map(|place| {
                let spot = element.at(place);
                velocity(patch, spot.position, spot.area.normalize())
            })
        };
        Self { velocity: body.elements.iter().zip(&body.patches).map(of).collect(), incident: vec![] }
    }

    /// The elements of a patch move with one normal velocity [m/s RMS], all else is still.
    pub fn patch(body: &Body, patch: u16, velocity: Complex64) -> Self {
        Self::moving(body, |own, _, _| if own == patch { velocity } else { Complex64::ZERO })
    }

    /// The elements of a patch move as a rigid piece with velocity `along` [m/s RMS] in space.
    pub fn rigid(body: &Body, patch: u16, along: [Complex64; 3]) -> Self {
        let across = |normal: Vector3<f64>| (0..3).map(|c| along[c] * normal[c]).sum();
        Self::moving(body, |own, _, normal| if own == patch { across(normal) } else { Complex64::ZERO })
    }

    /// A field that arrives.
    pub fn arriving(field: impl IncidentField + 'static) -> Self {
        Self { velocity: vec![], incident: vec![Box::new(field)] }
    }
}

/// How many right sides a system will serve, which decides how it is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Iteration, preconditioned by factorised blocks.
    Iterate,
    /// One factorisation of the whole matrix, refined by iteration: for many right sides.
    Factorise,
}

/// A body at one frequency.
pub struct System<'a> {
    pub(super) body: &'a Body,
    frequency: f64,
    air: Air,
    pub(super) wave: Wave,
    /// jωρ.
    inertia: Complex64,
    /// jkβ of every element.
    absorption: Vec<Complex64>,
    representation: Representation,
    operator: Operator<'a>,
    preconditioner: Blocks,
}

impl<'a> System<'a> {
    /// The system at `frequency` [Hz]. `admittance` gives the normalised specific admittance β = ρc/Z of every patch, 0 where rigid.
    ///
    /// # Errors
    /// When the matrix is singular, which overlapping parts of the surface may cause.
    pub fn new(
        body: &'a Body,
        frequency: f64,
        air: &Air,
        admittance: impl Fn(u16) -> Complex64,
        method: Method,
    ) -> Result<Self, BoundaryError> {
        let representation = match method {
            Method::Iterate => Representation::quicker(body, air.wavenumber(frequency)),
            Method::Factorise => Representation::Full,
        };
        Self::represented(body, frequency, air, admittance, method, representation)
    }

    /// [`System::new`] with the operator held in a given way; only a full matrix can be factorised.
    ///
    /// # Errors
    /// The same.
    pub fn represented(
        body: &'a Body,
        frequency: f64,
        air: &Air,
        admittance: impl Fn(u16) -> Complex64,
        method: Method,
        representation: Representation,
    ) -> Result<Self, BoundaryError> {
        let k = air.wavenumber(frequency);
        let wave = Wave { k, coupling: 1.0 / k.max(1.0 / body.radius()) };
        let absorption: Vec<Complex64> =
            body.patches.iter().map(|&patch| Complex64::new(0.0, k) * admittance(patch)).collect();
        let operator = Operator::new(body, &wave, &absorption, representation);
        let largest = match method {
            Method::Iterate => BLOCK,
            Method::Factorise => body.unknowns(),
        };
        let preconditioner = Blocks::new(body, &operator, largest)?;
        let inertia = Complex64::new(0.0, k * air.impedance());
        let air = *air;
        Ok(Self { body, frequency, air, wave, inertia, absorption, representation, operator, preconditioner })
    }

    /// The body.
    pub fn body(&self) -> &'a Body {
        self.body
    }

    /// The frequency [Hz].
    pub fn frequency(&self) -> f64 {
        self.frequency
    }

    /// The medium.
    pub fn air(&self) -> &Air {
        &self.air
    }

    /// How the operator is held.
    pub fn representation(&self) -> Representation {
        self.representation
    }

    /// The sound of a drive.
    ///
    /// # Errors
    /// When the iteration does not converge.
    pub fn solve(&self, drive: Drive) -> Result<SurfaceField<'a>, BoundaryError> {
        let slopes: Vec<Six<Complex64>> =
            drive.velocity.iter().map(|velocity| velocity.map(|v| -self.inertia * v)).collect();
        let right = self.right_side(&slopes, &drive.incident);
        let stop = Stop { residual: RESIDUAL, steps: STEPS };
        let operator = |x: &[Complex64]| self.preconditioner.apply(&self.operator.apply(x));
        let solved = gmres(operator, self.preconditioner.apply(&right), stop);
        if solved.residual > RESIDUAL {
            let (residual, steps) = (solved.residual, solved.steps);
            return Err(BoundaryError::NotConverged { residual, sought: RESIDUAL, steps });
        }
        let slopes = self.all_slopes(slopes, &solved.x);
        Ok(SurfaceField {
            body: self.body,
            wave: self.wave,
            inertia: self.inertia,
            pressure: solved.x,
            slopes,
            incident: drive.incident,
            steps: solved.steps,
            residual: solved.residual,
        })
    }

    /// Normal derivatives at the element sides: what is prescribed, and what the pressure makes of absorbing elements.
    fn all_slopes(&self, mut slopes: Vec<Six<Complex64>>, pressure: &[Complex64]) -> Vec<Six<Complex64>> {
        slopes.resize(self.body.len(), [Complex64::ZERO; 6]);
        for ((slopes, nodes), absorbed) in slopes.iter_mut().zip(&self.body.nodes).zip(&self.absorption) {
            slopes
                .iter_mut()
                .zip(nodes)
                .for_each(|(slope, &node)| *slope += absorbed * pressure[node as usize]);
        }
        slopes
    }

    /// `⟨φ, −(S + α/2 + αK′) q + p_inc + α ∂p_inc/∂n⟩`.
    fn right_side(&self, slopes: &[Six<Complex64>], incident: &[Box<dyn IncidentField>]) -> Vec<Complex64> {
        let moving: Vec<usize> =
            (0..slopes.len()).filter(|&e| slopes[e].iter().any(|slope| *slope != Complex64::ZERO)).collect();
        let sources = self.layers(slopes, &moving);
        let by_element: Vec<Six<Complex64>> = (0..self.body.len())
            .into_par_iter()
            .map(|element| self.tests(element, slopes, &sources, incident))
            .collect();
        let mut right = vec![Complex64::ZERO; self.body.unknowns()];
        for (nodes, tests) in self.body.nodes.iter().zip(by_element) {
            nodes.iter().zip(tests).for_each(|(&node, test)| right[node as usize] += test);
        }
        right
    }

    /// Prescribed normal derivatives as monopoles of strength −q at the points of the plain rule.
    fn layers(&self, slopes: &[Six<Complex64>], moving: &[usize]) -> Sources {
        let layer = |&element: &usize| {
            self.body.quadrature[element].map(|point| {
                let slope: Complex64 = (0..6).map(|j| point.values[j] * slopes[element][j]).sum();
                Source {
                    position: point.position,
                    normal: point.area / point.weight,
                    monopole: -point.weight * slope,
                    dipole: Complex64::ZERO,
                }
            })
        };
        Sources::new(&moving.iter().flat_map(layer).collect::<Vec<_>>(), &self.body.images)
    }

    /// What the shape functions of an element see.
    fn tests(
        &self,
        element: usize,
        slopes: &[Six<Complex64>],
        sources: &Sources,
        incident: &[Box<dyn IncidentField>],
    ) -> Six<Complex64> {
        let (body, wave) = (self.body, &self.wave);
        let mut tests = [Complex64::ZERO; 6];
        for point in &body.quadrature[element] {
            let arriving = with_images(incident, &body.images, point.position, wave.k);
            let field = sources.at(point.position, wave.k).plus(&arriving);
            let seen = field.pressure * point.weight + wave.alpha() * field.slope(point.area);
            (0..6).for_each(|i| tests[i] += point.values[i] * seen);
        }
        let moves = |e: usize| slopes.get(e).is_some_and(|s| s.iter().any(|slope| *slope != Complex64::ZERO));
        for partner in body.partners[element].iter().filter(|partner| moves(partner.element)) {
            let near = PairOperators::near(body, element, partner, wave).velocity;
            let plain = PairOperators::plain(body, element, partner, wave, Kernel::Whole).velocity;
            for i in 0..6 {
                tests[i] -= (0..6)
                    .map(|j| (near[i][j] - plain[i][j]) * slopes[partner.element][j])
                    .sum::<Complex64>();
            }
        }
        tests
    }
}
