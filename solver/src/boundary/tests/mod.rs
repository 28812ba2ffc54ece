mod close;
mod double;
pub(super) mod meshes;
mod series;
mod single;
mod symmetry;
mod system;
