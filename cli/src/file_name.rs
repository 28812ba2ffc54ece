//! Names of things as names of files.

/// A name that every file system takes: letters and digits in lower case, all else a hyphen. Different names can come to the same.
pub(crate) fn file_name(name: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().map(kept).collect()
}
