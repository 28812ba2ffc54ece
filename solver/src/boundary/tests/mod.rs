mod close;
mod double;
mod meshes;
mod series;
mod single;
mod symmetry;
mod system;
