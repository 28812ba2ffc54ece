//! The piece of a case file that a message shows: whole lines, unless one is too long for any screen.

use miette::{MietteError, MietteSpanContents, NamedSource, SourceCode, SourceSpan, SpanContents};
use std::ops::Range;

/// Lines longer than this many bytes are shown in part. (A line of 65 536 columns and more cannot be laid out at all.)
const LONGEST_LINE: usize = 400;
/// As many bytes are shown before and behind the place.
const AROUND: usize = 40;
/// Longest stretch of text that is underlined [bytes].
const LONGEST_SPAN: usize = 160;

/// Text of a case file that messages quote.
#[derive(Debug)]
pub struct Excerpts {
    name: String,
    source: NamedSource<String>,
}

impl Excerpts {
    /// Of the `text` of the file called `name`.
    pub fn of(name: &str, text: &str) -> Self {
        Self { name: name.to_owned(), source: NamedSource::new(name, text.to_owned()).with_language("toml") }
    }

    fn text(&self) -> &str {
        self.source.inner()
    }

    /// The line that holds byte `at`, without its end.
    fn line(&self, at: usize) -> Range<usize> {
        let bytes = self.text().as_bytes();
        let start = bytes[..at].iter().rposition(|&b| b == b'\n').map_or(0, |end| end + 1);
        start..bytes[at..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |length| at + length)
    }
}

impl SourceCode for Excerpts {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        lines_before: usize,
        lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let whole = self.source.read_span(span, lines_before, lines_after)?;
        let longest = whole.data().split(|&b| b == b'\n').map(<[u8]>::len).max();
        if longest.is_none_or(|length| length <= LONGEST_LINE) {
            return Ok(whole);
        }
        let (text, line) = (self.text(), self.line(span.offset()));
        let start = text.ceil_char_boundary(span.offset().saturating_sub(AROUND).max(line.start));
        let end = text.floor_char_boundary((span.offset() + span.len() + AROUND).min(line.end).max(start));
        let number = text.as_bytes()[..line.start].iter().filter(|&&b| b == b'\n').count();
        let column = span.offset() - line.start;
        let data = &text.as_bytes()[start..end];
        let place = (start, data.len()).into();
        Ok(Box::new(MietteSpanContents::new_named(self.name.clone(), data, place, number, column, 1)))
    }
}

/// The part of `span` that is underlined: all of it, or its first stretch if it is long, to the end of the line at most.
pub fn underlined(text: &str, span: &Range<usize>) -> Range<usize> {
    if span.len() <= LONGEST_SPAN || text.len() < span.end {
        return span.clone();
    }
    let shortened = text.floor_char_boundary(span.start + LONGEST_SPAN);
    let line = text[span.start..shortened].find('\n').map_or(shortened, |length| span.start + length);
    span.start..line.max(span.start)
}
