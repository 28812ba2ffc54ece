//! Links the system's OpenBLAS (package `libopenblas-dev` on Debian and Ubuntu), for the whole workspace and only here.

fn main() {
    println!("cargo:rustc-link-lib=openblas");
    println!("cargo:rerun-if-changed=build.rs");
}
