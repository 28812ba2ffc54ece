//! What the ear and the builder ask of a prediction.
//!
//! Plain arrays in, [`Findings`] out: nothing here knows how the pressure came about. Every quantity is defined, with its
//! source, in the documentation of its function; `cli/docs/definitions.md` collects the same definitions for readers.

mod acoustic_centre;
mod agreement;
mod balloon;
mod bands;
mod beam;
mod blended;
mod comb;
mod dead_spots;
mod disturbed;
mod extrema;
mod findings;
mod level;
mod output_map;
mod panel;
mod polar;
mod seat;
mod sensitivity;
mod smoothing;
mod spherical_wave;
mod spread;
mod summary;
mod surround_words;
mod surrounds;
mod warnings;
mod wave_front;
mod weighting;

pub use acoustic_centre::intensity_centre;
pub use agreement::{
    AgreementAt, Apart, BandAgreement, Blur, Centred, Heard, Loudness, MASKED, agreement_at,
    localisation_blur,
};
pub use balloon::{Balloon, balloon, solid_angles};
pub use bands::{band_mean_square, band_weights, fractional_octaves, indices_in_band};
pub use beam::{beamwidth, group_delay};
pub use blended::{BlendedAt, InTime, PartAt, blended_at};
pub use comb::{Comb, comb};
pub use dead_spots::dead_spots;
pub use disturbed::{DisturbedAt, DisturbedDriver, disturbed_at, disturbed_words};
pub use extrema::{Extremum, Shift, Turn, extrema, shifts};
pub use findings::*;
pub use level::{LevelReference, level, power_level, pressure_level, spl, velocity_level};
pub use output_map::output_map;
pub use panel::{coincidence, modal_density, modal_overlap, panel_findings};
pub use polar::{directivity_index, polar};
pub use seat::seat_findings;
pub(crate) use seat::{lower_limit, lower_limit_of};
pub(crate) use sensitivity::REFERENCE_RANGE;
pub use sensitivity::sensitivity;
pub(crate) use smoothing::Smoother;
pub use smoothing::smooth;
pub(crate) use smoothing::smoothing_weights;
pub use spread::{fitted, quantiles, spread_seat, spread_sensitivity, stability};
pub use summary::summary;
pub(crate) use surround_words::level_words;
pub use surround_words::surround_summary;
pub use surrounds::{
    BandGain, ComputedBand, HeardAt, OneSurround, Reflection, SurroundFindings, gains, heard_at,
};
pub use warnings::{
    centre_fit, frequency_resolution, map_spacing, plate_theory, thickness_shear, thin_plate_validity,
};
pub use wave_front::wave_front_centre;
pub use weighting::{a_weighting, c_weighting};
