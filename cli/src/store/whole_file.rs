//! Files that are there whole or not at all.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;

/// Writes a file so that it is there whole or not at all.
///
/// # Errors
/// When it cannot be written; what was there before stays.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let partial = path.with_extension(format!("{}.partial", std::process::id()));
    let written = (|| {
        let mut file = File::create(&partial)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&partial, path)
    })();
    if written.is_err() {
        let _ = fs::remove_file(&partial);
    }
    written
}
