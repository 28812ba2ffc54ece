//! The map against whole computations and closed forms.

mod combs;
mod echo;
mod invented;
mod shadows;
mod sums;
mod whole;

use crate::air::Air;
use crate::scene::*;
pub(super) use invented::scene;
use invented::{panel, plywood};
use panelwright_mesh::Outline;
