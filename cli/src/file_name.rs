//! Names of things as names of files.

/// A name that every file system takes: letters and digits in lower case, all else a hyphen. Different names can come to the same.
pub(crate) fn file_name(name: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().map(kept).collect()
}

/// Names that were given to files.
#[derive(Default)]
pub(crate) struct FileNames(Vec<String>);

impl FileNames {
    /// `stem.ending`, a number behind the stem when that is taken.
    pub fn free(&mut self, stem: &str, ending: &str) -> String {
        let numbered = (2..).map(|number| format!("{stem}-{number}.{ending}"));
        let mut names = std::iter::once(format!("{stem}.{ending}")).chain(numbered);
        let name = names.find(|name| !self.0.contains(name)).unwrap_or_default();
        self.0.push(name.clone());
        name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_come_to_the_same_get_files_of_their_own() {
        let mut names = FileNames::default();
        let of = |names: &mut FileNames, name: &str| names.free(&file_name(name), "wav");
        assert_eq!(of(&mut names, "Sofa 1"), "sofa-1.wav");
        assert_eq!(of(&mut names, "sofa-1"), "sofa-1-2.wav");
        assert_eq!(of(&mut names, "SOFA 1"), "sofa-1-3.wav");
        assert_eq!(of(&mut names, "desk"), "desk.wav");
    }
}
