mod close;
mod double;
mod faults;
pub(super) mod meshes;
mod series;
mod single;
mod slender;
mod symmetry;
mod system;
