//! Files that are there whole or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// Writes a file so that it is there whole or not at all.
///
/// # Errors
/// When it cannot be written; what was there before stays.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    fill_whole(path, |file| file.write_all(bytes))
}

/// Lets `fill` write a file so that it is there whole or not at all.
///
/// # Errors
/// Those of `fill`, or when it cannot be put in its place; what was there before stays.
pub fn fill_whole(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let partial = path.with_extension(format!("{}.partial", std::process::id()));
    let written = (|| {
        let mut file = File::create(&partial)?;
        fill(&mut file)?;
        file.sync_all()?;
        fs::rename(&partial, path)
    })();
    if written.is_err() {
        let _ = fs::remove_file(&partial);
    }
    written
}
