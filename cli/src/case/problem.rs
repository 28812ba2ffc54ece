//! What is wrong with a case file, each problem with its place, its reason and what to write instead.

use super::excerpt::{Excerpts, underlined};
use miette::{Diagnostic, LabeledSpan, Severity, SourceCode};
use std::fmt;
use std::ops::Range;

/// One problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Error, or warning when the case can be computed all the same.
    pub severity: Severity,
    /// The problem in one sentence.
    pub message: String,
    /// Bytes of the source it concerns.
    pub span: Range<usize>,
    /// The reason, shown at the pointer.
    pub label: String,
    /// What to write instead.
    pub help: String,
    /// True when something is absent; such problems are left out of a file that could not be read in full.
    pub missing: bool,
}

impl Problem {
    /// An error at `span`.
    pub fn error(span: Range<usize>, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Error,
            message: message.into(),
            span,
            label: "here".into(),
            help: String::new(),
            missing: false,
        }
    }

    /// A warning at `span`.
    pub fn warning(span: Range<usize>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(span, message) }
    }

    /// With the reason at the pointer.
    pub fn because(self, label: impl Into<String>) -> Self {
        Self { label: label.into(), ..self }
    }

    /// With what to write instead.
    pub fn instead(self, help: impl Into<String>) -> Self {
        Self { help: help.into(), ..self }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Problem {}

impl Diagnostic for Problem {
    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        (!self.help.is_empty()).then(|| Box::new(&self.help) as Box<dyn fmt::Display>)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = LabeledSpan::new_primary_with_span(Some(self.label.clone()), self.span.clone());
        Some(Box::new(std::iter::once(label)))
    }
}

/// Problems of one file, in the order of its lines, with the file's text to show them in.
#[derive(Debug)]
pub struct Problems {
    summary: String,
    help: Option<String>,
    source: Option<Excerpts>,
    list: Vec<Problem>,
}

/// Why a case cannot be used: every problem of the file at once.
pub type CaseErrors = Box<Problems>;

impl Problems {
    /// Problems found in `text`, which was read from the file called `name`.
    pub fn in_text(name: &str, text: &str, mut list: Vec<Problem>) -> Self {
        list.sort_by_key(|p| (p.span.start, p.span.end));
        let errors = list.iter().filter(|p| p.severity == Severity::Error).count();
        let (count, noun) = if errors > 0 { (errors, "problem") } else { (list.len(), "warning") };
        let summary = format!("{name}: {count} {noun}{}", if count == 1 { "" } else { "s" });
        list.iter_mut().for_each(|problem| problem.span = underlined(text, &problem.span));
        let source = Some(Excerpts::of(name, text));
        Self { summary, help: None, source, list }
    }

    /// A file that cannot be read at all.
    pub fn of_file(summary: String, help: String) -> Self {
        Self { summary, help: Some(help), source: None, list: Vec::new() }
    }

    /// Each problem.
    pub fn list(&self) -> &[Problem] {
        &self.list
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.summary)
    }
}

impl std::error::Error for Problems {}

impl Diagnostic for Problems {
    fn severity(&self) -> Option<Severity> {
        let only_warnings =
            !self.list.is_empty() && self.list.iter().all(|p| p.severity == Severity::Warning);
        Some(if only_warnings { Severity::Warning } else { Severity::Error })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|h| Box::new(h) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.source.as_ref().map(|s| s as &dyn SourceCode)
    }

    fn related<'a>(&'a self) -> Option<Box<dyn Iterator<Item = &'a dyn Diagnostic> + 'a>> {
        Some(Box::new(self.list.iter().map(|p| p as &dyn Diagnostic)))
    }
}
