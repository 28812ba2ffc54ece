mod close;
mod double;
mod faults;
mod meshes;
mod series;
mod single;
mod symmetry;
mod system;
