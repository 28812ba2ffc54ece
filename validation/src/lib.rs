//! Published problems: one per file, each owning its exact solution, its source and its tolerance.
//!
//! `make validation` prints computed beside published; `make test` asserts the same rows.

mod a_weighting;
mod added_mass;
mod air;
mod attached_bar;
mod attached_invariants;
mod attached_mass;
mod attached_patch;
mod attached_spring;
mod baffled;
mod bodies;
mod boundary_convergence;
mod c_weighting;
mod cap_on_sphere;
mod centre_of_one_source;
mod centre_of_two_sources;
mod circular_piston;
mod circular_screen;
mod coincidence;
mod exciter_coupled;
mod exciter_point_mass;
mod filters;
mod free_disc;
mod infinite_plate_mobility;
mod lay_up;
mod linkwitz_riley;
mod mean_radiation;
mod modal_count;
mod modal_radiation;
mod moving_discs;
mod moving_spheres;
mod narrow_octave_bands;
mod octaves;
mod piston_far_field;
mod piston_in_box;
mod piston_in_circular_baffle;
mod piston_near_field;
mod piston_on_a_plane;
mod plate_isotropic;
mod plate_modal_count;
mod plate_on_strips;
mod plate_orthotropic;
mod plate_orthotropic_free;
mod plate_outlines;
mod plate_outlines_shear;
mod plate_sandwich;
mod plate_shear_deformable;
mod plate_thickness_sweep;
mod plates;
mod rectangular_piston;
mod rectangular_screen;
mod screens;
mod smoothing;
mod sphere_scattering;
#[allow(dead_code)] // the tests of the boundary elements use all of it
#[path = "../../solver/src/boundary/tests/series.rs"]
mod spherical;
mod supported;
mod third_octaves;
mod weak_modes;

/// One compared number.
#[derive(Clone, Debug)]
pub struct Row {
    /// What is compared, with its parameters.
    pub quantity: String,
    /// Value computed by the solver.
    pub computed: f64,
    /// Value published, or recomputed from the publication's formula.
    pub expected: f64,
    /// Accepted deviation.
    pub tolerance: Tolerance,
}

/// How far computed and expected may differ.
#[derive(Clone, Copy, Debug)]
pub enum Tolerance {
    /// Relative to the expected value.
    Relative(f64),
    /// In the quantity's own unit.
    Absolute(f64),
}

/// One published problem.
pub struct Problem {
    /// Short name.
    pub name: &'static str,
    /// Publication the expected values come from, and how they were recomputed.
    pub source: &'static str,
    /// Solves the problem and lists the comparison.
    pub rows: fn() -> Vec<Row>,
}

impl Row {
    /// Deviation of computed from expected, relative or absolute as the tolerance is.
    pub fn deviation(&self) -> f64 {
        match self.tolerance {
            Tolerance::Relative(_) => self.computed / self.expected - 1.0,
            Tolerance::Absolute(_) => self.computed - self.expected,
        }
    }

    /// True when the deviation is within tolerance; a value that is not a number never is.
    pub fn holds(&self) -> bool {
        let (Tolerance::Relative(limit) | Tolerance::Absolute(limit)) = self.tolerance;
        self.deviation().abs() <= limit
    }
}

/// Every problem, in the order of the printed table.
pub fn problems() -> Vec<Problem> {
    let mut problems = Vec::new();
    problems.extend(lay_up::PROBLEMS);
    problems.extend(plate_isotropic::PROBLEMS);
    problems.extend(plate_orthotropic::PROBLEMS);
    problems.push(plate_orthotropic_free::PROBLEM);
    problems.push(plate_on_strips::PROBLEM);
    problems.extend(plate_shear_deformable::PROBLEMS);
    problems.push(plate_sandwich::PROBLEM);
    problems.push(plate_thickness_sweep::PROBLEM);
    problems.extend(plate_outlines::PROBLEMS);
    problems.extend(plate_outlines_shear::PROBLEMS);
    problems.push(plate_modal_count::PROBLEM);
    problems.extend(infinite_plate_mobility::PROBLEMS);
    problems.push(exciter_point_mass::PROBLEM);
    problems.push(attached_mass::PROBLEM);
    problems.push(attached_spring::PROBLEM);
    problems.push(attached_patch::PROBLEM);
    problems.push(attached_bar::PROBLEM);
    problems.push(attached_invariants::PROBLEM);
    problems.push(exciter_coupled::PROBLEM);
    problems.extend([
        air::problem(),
        piston_near_field::problem(),
        piston_far_field::problem(),
        circular_piston::problem(),
        rectangular_piston::problem(),
        modal_radiation::problem(),
        weak_modes::problem(),
        mean_radiation::problem(),
        added_mass::problem(),
        rectangular_screen::problem(),
        circular_screen::problem(),
        coincidence::problem(),
        modal_count::problem(),
        third_octaves::problem(),
        octaves::problem(),
        narrow_octave_bands::problem(),
        smoothing::problem(),
        a_weighting::problem(),
        c_weighting::problem(),
        centre_of_one_source::problem(),
        centre_of_two_sources::problem(),
    ]);
    problems.extend(free_disc::problems());
    problems.extend(moving_spheres::problems());
    problems.extend(cap_on_sphere::problems());
    problems.extend(sphere_scattering::problems());
    problems.push(boundary_convergence::problem());
    problems.extend(moving_discs::problems());
    problems.push(piston_on_a_plane::problem());
    problems.push(piston_in_circular_baffle::problem());
    problems.push(piston_in_box::problem());
    problems.extend([filters::problem(), linkwitz_riley::problem()]);
    problems
}
