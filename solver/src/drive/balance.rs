//! Where the electrical power goes.
//!
//! The electrical power is taken at the amplifiers' terminals; the losses come from currents (`R_e |i|²`), suspension
//! strokes (`Re S |v − u|²`), velocities at the hangs (`Re Z |v|²`) and modal velocities (`Σ ω_n² η_n |q̇_n|² / ω` plus the
//! residual's share); what the air takes comes from its forces on the modes. They share no formula, so that
//! `electrical = coil_heat + suspension + structure + supports + radiated` is a check and not an identity.

use super::PowerBalance;
use super::state::{ExciterState, State};

/// The power balance over frequency.
pub(super) fn powers(states: &[State]) -> PowerBalance {
    let over_exciters = |of: fn(&ExciterState) -> f64| -> Vec<f64> {
        states.iter().map(|s| s.exciters.iter().map(of).sum()).collect()
    };
    PowerBalance {
        electrical: states.iter().map(|s| s.channels.iter().map(|c| c.power).sum()).collect(),
        coil_heat: over_exciters(|e| e.coil_heat),
        suspension: over_exciters(|e| e.suspension_loss),
        structure: states.iter().map(|s| s.structure).collect(),
        supports: states.iter().map(|s| s.passive.iter().map(|p| p.loss).sum()).collect(),
        radiated: states.iter().map(|s| s.radiated).collect(),
    }
}
