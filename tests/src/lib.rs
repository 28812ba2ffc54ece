//! Helpers of the end-to-end tests.

pub mod browser;
pub mod cluster;
pub mod python;
pub mod several;
pub mod specimen;
pub mod studies;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Folder of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ has a parent").to_path_buf()
}

/// A case of `cases/` by file name.
pub fn case(name: &str) -> PathBuf {
    root().join("cases").join(name)
}

/// What a run of the program left behind.
#[derive(Debug)]
pub struct Ran {
    /// Exit code; `None` after a signal.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Runs the binary with `arguments` in `folder`, without colours.
pub fn run(folder: &Path, arguments: &[&str]) -> Ran {
    Ran::from(program(folder, arguments).output().expect("the built binary starts"))
}

/// The binary with `arguments`, ready to be started in `folder`, without colours.
///
/// # Panics
/// If it is not built.
pub fn program(folder: &Path, arguments: &[&str]) -> Command {
    let program = assert_cmd::cargo::cargo_bin("panelwright");
    assert!(
        program.exists(),
        "{} is not built: run `make test`, or build the workspace first",
        program.display()
    );
    let mut command = Command::new(program);
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1");
    command
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code(),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
}
