mod double;
mod meshes;
mod series;
mod single;
mod system;
