//! `results.h5` read by a stranger: plain Python with h5py.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Reads the file at `path` with `read_results.py`, which checks names, units and meanings; returns what it printed.
///
/// # Panics
/// If the script finds something missing, or no Python with h5py is there: a file nobody read is not a file that can be read.
pub fn read_results(path: &Path) -> String {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("read_results.py");
    let output = Command::new(python()).arg(script).arg(path).output().expect("Python starts");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let (said, complained) = (text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{said}{complained}");
    said
}

/// A Python that has h5py: `PANELWRIGHT_PYTHON`, or the system's own, for which `make test` installs it.
fn python() -> PathBuf {
    let python =
        std::env::var_os("PANELWRIGHT_PYTHON").map_or_else(|| "/usr/bin/python3".into(), PathBuf::from);
    let has_h5py =
        Command::new(&python).args(["-c", "import h5py"]).output().is_ok_and(|ran| ran.status.success());
    assert!(
        has_h5py,
        "{} has no h5py: run `make test`, which installs it, or set PANELWRIGHT_PYTHON to a Python that has it",
        python.display()
    );
    python
}
