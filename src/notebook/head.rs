//! Where the head of a notebook begins and ends.

use std::ops::Range;

const MARK: &str = "+++";

/// What comes before the Markdown.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum HeadSource {
    /// The notebook begins with its prose.
    None,
    /// The TOML between the marks; the line of the first mark.
    Closed { mark: Range<usize>, toml: Range<usize> },
    /// There is no second mark: the TOML ends at the first empty line.
    Open { mark: Range<usize>, toml: Range<usize> },
}

/// Splits a notebook into its head and the offset where its Markdown begins.
///
/// Only empty lines may come before a head.
pub(super) fn split(text: &str) -> (HeadSource, usize) {
    let start = text.len() - without_mark(text).len();
    let mut lines = Lines { text, at: start };
    let Some(mark) = lines.by_ref().find(|line| !is_empty(text, line)) else {
        return (HeadSource::None, start);
    };
    if !is_mark(text, &mark) {
        return (HeadSource::None, start);
    }
    let toml_start = lines.at;
    let mut first_empty = None;
    let mark = mark.start..mark.start + text.get(mark.clone()).unwrap_or("").trim_end().len();
    while let Some(line) = lines.next() {
        if is_mark(text, &line) {
            return (HeadSource::Closed { mark, toml: toml_start..line.start }, lines.at);
        }
        if first_empty.is_none() && is_empty(text, &line) {
            first_empty = Some(line.start);
        }
    }
    let end = first_empty.unwrap_or(text.len());
    (HeadSource::Open { mark, toml: toml_start..end }, end)
}

/// A text without the byte-order mark that some editors write before it.
pub(super) fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

fn is_mark(text: &str, line: &Range<usize>) -> bool {
    text.get(line.clone()).is_some_and(|line| line.trim_end() == MARK)
}

fn is_empty(text: &str, line: &Range<usize>) -> bool {
    text.get(line.clone()).is_some_and(|line| line.trim().is_empty())
}

/// The ranges of lines, with their line ends.
struct Lines<'t> {
    text: &'t str,
    at: usize,
}

impl Iterator for Lines<'_> {
    type Item = Range<usize>;

    fn next(&mut self) -> Option<Self::Item> {
        let line = self.text.get(self.at..)?.split_inclusive('\n').next()?;
        let start = self.at;
        self.at += line.len();
        Some(start..self.at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(text: &str) -> (&'static str, &str, &str) {
        let (source, body) = split(text);
        let (name, toml) = match source {
            HeadSource::None => ("none", 0..0),
            HeadSource::Closed { toml, .. } => ("closed", toml),
            HeadSource::Open { toml, .. } => ("open", toml),
        };
        (name, &text[toml], &text[body..])
    }

    #[test]
    fn heads_are_found_at_the_top_only() {
        assert_eq!(head("+++\na = 1\n+++\n# T\n"), ("closed", "a = 1\n", "# T\n"));
        assert_eq!(head("\u{feff}+++\r\na = 1\r\n+++ \r\nT"), ("closed", "a = 1\r\n", "T"));
        assert_eq!(head("\n \n+++\n+++"), ("closed", "", ""));
        assert_eq!(head("T\n+++\na = 1\n+++\n"), ("none", "", "T\n+++\na = 1\n+++\n"));
        assert_eq!(head("+++\na = 1\n\n# T\n"), ("open", "a = 1\n", "\n# T\n"));
        assert_eq!(head("+++"), ("open", "", ""));
        assert_eq!(head(""), ("none", "", ""));
    }
}
