mod double;
mod meshes;
mod series;
