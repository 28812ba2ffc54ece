//! What can be wrong with an STL file, and where.

use super::{FARTHEST, MOST_FACETS};
use thiserror::Error;

/// Bytes of a file that is none that are quoted.
const QUOTED: usize = 24;

/// Why bytes could not be read as STL. Facets count from 1, lines from 1, coordinates are in the file's unit.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum StlFault {
    /// Nothing in it.
    #[error("the file is empty; export the body again")]
    Empty,
    /// No facet in it.
    #[error("the file has no facets; select the body before exporting it")]
    NoFacets,
    /// The unit is no length.
    #[error("a file unit of {unit} m is no length; give the metres per file unit, 0.001 for millimetres")]
    Unit {
        /// What was given [m].
        unit: f64,
    },
    /// Neither form.
    #[error("this is no STL file: it starts with \"{start}\"; export the body as binary or text STL")]
    NotStl {
        /// Its first bytes, escaped.
        start: String,
    },
    /// Fewer facets than the header says.
    #[error(
        "the file is cut short: its header says {expected} facets ({expected_bytes} bytes), there are {found} ({found_bytes} bytes); \
         copy or export it again"
    )]
    CutShort {
        /// Facets that the header says.
        expected: usize,
        /// Whole facets there are.
        found: usize,
        /// Bytes the file would have.
        expected_bytes: u64,
        /// Bytes it has.
        found_bytes: u64,
    },
    /// More bytes than the header says.
    #[error(
        "the header says {expected} facets ({expected_bytes} bytes), yet the file has {found_bytes} bytes; export it again, one body \
         per file"
    )]
    TooLong {
        /// Facets that the header says.
        expected: usize,
        /// Bytes the file would have.
        expected_bytes: u64,
        /// Bytes it has.
        found_bytes: u64,
    },
    /// More facets than are read.
    #[error(
        "the file has {count} facets, at most {MOST_FACETS} are read; export it with a coarser tolerance, or reduce it"
    )]
    TooMany {
        /// Facets that the header says, or that were read so far.
        count: usize,
    },
    /// A coordinate is not a number or absurdly large.
    #[error(
        "facet {facet}{}: {value} is no coordinate of a body (a number within {FARTHEST} m); export the body again",
        at_line(*line)
    )]
    Coordinate {
        /// Facet.
        facet: usize,
        /// Line of a text file.
        line: Option<usize>,
        /// What stands there.
        value: f64,
    },
    /// A word of a text file is not what must stand there.
    #[error("line {line}: \"{found}\" where {expected} was expected; export the body again")]
    Word {
        /// Line.
        line: usize,
        /// What stands there, shortened.
        found: String,
        /// What must stand there.
        expected: &'static str,
    },
    /// A text file ends in the middle.
    #[error(
        "the file ends at line {line} after {facets} whole facets, where {expected} was expected; copy or export it again"
    )]
    EndsEarly {
        /// Last line.
        line: usize,
        /// Whole facets before.
        facets: usize,
        /// What must follow.
        expected: &'static str,
    },
}

impl StlFault {
    /// Neither form: quotes how it starts.
    pub(super) fn not_stl(bytes: &[u8]) -> Self {
        let start = bytes.iter().take(QUOTED).flat_map(|byte| byte.escape_ascii());
        Self::NotStl { start: start.map(char::from).collect() }
    }
}

fn at_line(line: Option<usize>) -> String {
    line.map(|line| format!(", line {line}")).unwrap_or_default()
}
