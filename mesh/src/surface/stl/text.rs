//! The text form: `solid NAME (facet normal x y z outer loop (vertex x y z)×3 endloop endfacet)* endsolid NAME`, keywords in any case.

use super::{FARTHEST, Facet, MOST_FACETS, StlFault, normal};
use crate::Surface;
use std::fmt::Write;

/// A facet must follow the first line within so many bytes of a text file.
const SEARCHED: usize = 4096;
/// Letters of an offending word that are quoted.
const QUOTED: usize = 40;

/// True for something that starts like a text file and goes on like one, or is text that ends after the first word.
pub fn looks_like_it(bytes: &[u8]) -> bool {
    let start = bytes[..bytes.len().min(SEARCHED)].to_ascii_lowercase();
    let start = start.trim_ascii_start();
    let contains = |word: &[u8]| start.windows(word.len()).any(|window| window == word);
    start.starts_with(b"solid") && (contains(b"facet") || contains(b"endsolid") || !start.contains(&0))
}

/// All facets, each with the number of its solid.
pub fn facets(bytes: &[u8], unit: f64) -> Result<Vec<Facet>, StlFault> {
    let text = String::from_utf8_lossy(bytes);
    let mut reader = Reader { words: Words::of(&text), facets: vec![], unit };
    let mut solid = 0;
    while reader.words.peek().is_some() {
        reader.solid(solid)?;
        solid = solid.saturating_add(1);
    }
    Ok(reader.facets)
}

/// Words with the lines they stand in.
struct Words<'a> {
    lines: std::iter::Enumerate<std::str::Lines<'a>>,
    rest: &'a str,
    line: usize,
}

impl<'a> Words<'a> {
    fn of(text: &'a str) -> Self {
        Self { lines: text.lines().enumerate(), rest: "", line: 0 }
    }

    fn peek(&mut self) -> Option<&'a str> {
        while self.rest.trim_start().is_empty() {
            let (number, line) = self.lines.next()?;
            (self.line, self.rest) = (number + 1, line);
        }
        self.rest.split_whitespace().next()
    }

    fn next(&mut self) -> Option<&'a str> {
        let word = self.peek()?;
        self.rest = &self.rest.trim_start()[word.len()..];
        Some(word)
    }

    fn skip_line(&mut self) {
        self.rest = "";
    }
}

struct Reader<'a> {
    words: Words<'a>,
    facets: Vec<Facet>,
    unit: f64,
}

impl Reader<'_> {
    fn solid(&mut self, solid: u16) -> Result<(), StlFault> {
        self.keyword("solid")?;
        self.words.skip_line(); // its name
        loop {
            let Some(word) = self.words.peek() else { return Err(self.ends("\"facet\" or \"endsolid\"")) };
            if word.eq_ignore_ascii_case("endsolid") {
                self.words.skip_line();
                return Ok(());
            }
            if !word.eq_ignore_ascii_case("facet") {
                return Err(self.wrong(word, "\"facet\" or \"endsolid\""));
            }
            if self.facets.len() >= MOST_FACETS {
                return Err(StlFault::TooMany { count: self.facets.len() + 1 });
            }
            let corners = self.facet()?;
            self.facets.push(Facet { corners, solid });
        }
    }

    fn facet(&mut self) -> Result<[[f64; 3]; 3], StlFault> {
        self.keyword("facet")?;
        self.keyword("normal")?;
        for _ in 0..3 {
            self.number()?;
        }
        self.keyword("outer")?;
        self.keyword("loop")?;
        let corners = [self.vertex()?, self.vertex()?, self.vertex()?];
        self.keyword("endloop")?;
        self.keyword("endfacet")?;
        Ok(corners)
    }

    fn vertex(&mut self) -> Result<[f64; 3], StlFault> {
        self.keyword("vertex")?;
        Ok([self.coordinate()?, self.coordinate()?, self.coordinate()?])
    }

    fn coordinate(&mut self) -> Result<f64, StlFault> {
        let value = self.number()?;
        if (self.unit * value).abs() <= FARTHEST {
            return Ok(value);
        }
        Err(StlFault::Coordinate { facet: self.facets.len() + 1, line: Some(self.words.line), value })
    }

    fn number(&mut self) -> Result<f64, StlFault> {
        let Some(word) = self.words.next() else { return Err(self.ends("a number")) };
        word.parse().map_err(|_| self.wrong(word, "a number"))
    }

    fn keyword(&mut self, expected: &'static str) -> Result<(), StlFault> {
        let Some(word) = self.words.next() else { return Err(self.ends(expected)) };
        if word.eq_ignore_ascii_case(expected) { Ok(()) } else { Err(self.wrong(word, expected)) }
    }

    fn wrong(&self, found: &str, expected: &'static str) -> StlFault {
        StlFault::Word { line: self.words.line, found: found.chars().take(QUOTED).collect(), expected }
    }

    fn ends(&self, expected: &'static str) -> StlFault {
        StlFault::EndsEarly { line: self.words.line, facets: self.facets.len(), expected }
    }
}

/// The text of a file.
pub fn write(surface: &Surface, unit: f64) -> String {
    let mut patches = surface.patches.clone();
    patches.sort_unstable();
    patches.dedup();
    let mut text = String::new();
    for patch in patches {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "solid patch{patch}");
        for triangle in (0..surface.triangles.len()).filter(|&t| surface.patches[t] == patch) {
            write_facet(&mut text, surface, triangle, unit);
        }
        let _ = writeln!(text, "endsolid patch{patch}");
    }
    text
}

fn write_facet(text: &mut String, surface: &Surface, triangle: usize, unit: f64) {
    let n = normal(surface, triangle);
    let _ = writeln!(text, "facet normal {} {} {}\nouter loop", n.x, n.y, n.z);
    for corner in surface.corners(triangle).map(|corner| corner / unit) {
        let _ = writeln!(text, "vertex {} {} {}", corner.x, corner.y, corner.z);
    }
    text.push_str("endloop\nendfacet\n");
}
