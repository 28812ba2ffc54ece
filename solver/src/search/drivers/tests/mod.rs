//! The map against whole computations and closed forms.

mod combs;
mod echo;
mod invented;
mod shadows;
mod sums;
mod whole;

use crate::air::Air;
use crate::scene::*;
use invented::{panel, plywood, scene};
use panelwright_mesh::Outline;
