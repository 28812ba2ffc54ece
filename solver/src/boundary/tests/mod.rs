mod close;
mod double;
mod grid_timing;
pub(super) mod meshes;
mod series;
mod single;
mod symmetry;
mod system;
