//! Texts cut behind their findings.

use std::ops::Range;

use crate::finding::Finding;
use crate::notebook::fence_around;

/// More other places than this are a list, and are not shown one by one.
pub(super) const MOST: usize = 4;

/// The marks around the part of a line that is meant.
const MARKS: (char, char) = ('▸', '◂');

/// The lines of a block or table up to each one with a finding, whose part is between marks; the rest comes last. Fence marks are
/// left out.
pub(super) fn lines<'f>(
    text: &str,
    range: Range<usize>,
    findings: &[&'f Finding],
) -> Vec<(String, Vec<&'f Finding>)> {
    let mut pieces: Vec<(String, Vec<&'f Finding>)> = Vec::new();
    let mut code = String::new();
    let mut at = range.start;
    let block = text.get(range.clone()).unwrap_or_default();
    let is_fenced = fence(block).is_some();
    let count = block.lines().count();
    for (number, line) in block.split_inclusive('\n').enumerate() {
        let end = at + line.len();
        let is_last = number + 1 == count;
        let on_line = |finding: &&&'f Finding| {
            let start = finding.span.start as usize;
            (at <= start && start < end) || (is_last && start >= end)
        };
        let here: Vec<&Finding> = findings.iter().filter(on_line).copied().collect();
        let spans = here.iter().map(|finding| finding.span.range());
        let marked = marked(line.trim_end_matches(['\n', '\r']), at, spans);
        let shown = match fence(&marked) {
            Some(rest) if is_fenced && number == 0 => rest.trim(),
            Some("") if is_fenced && is_last => "",
            _ => marked.as_str(),
        };
        if !(is_fenced && is_last && shown.is_empty()) {
            code.push_str(shown);
            code.push('\n');
        }
        if !here.is_empty() {
            pieces.push((std::mem::take(&mut code), here));
        }
        at = end;
    }
    if !code.trim().is_empty() || pieces.is_empty() {
        pieces.push((code, Vec::new()));
    }
    pieces
}

/// What follows the marks of a fence; `None` for a line without them.
fn fence(line: &str) -> Option<&str> {
    let line = line.trim_start().lines().next()?;
    ["```", "~~~"].iter().find_map(|mark| {
        let sign = mark.chars().next()?;
        line.starts_with(mark).then(|| line.trim_start_matches(sign))
    })
}

/// A line that begins at a byte of its file, with the spans on it between marks.
fn marked(line: &str, start: usize, spans: impl Iterator<Item = Range<usize>>) -> String {
    let mut spans: Vec<(usize, usize)> = spans
        .map(|span| (span.start.saturating_sub(start), span.end.saturating_sub(start).min(line.len())))
        .filter(|(from, to)| from < to && line.get(*from..*to).is_some())
        .collect();
    spans.sort_unstable();
    spans.dedup_by(|next, first| next.0 < first.1);
    let mut out = String::with_capacity(line.len());
    let mut at = 0;
    for (from, to) in spans {
        out.push_str(line.get(at..from).unwrap_or_default());
        out.push(MARKS.0);
        out.push_str(line.get(from..to).unwrap_or_default());
        out.push(MARKS.1);
        at = to;
    }
    out.push_str(line.get(at..).unwrap_or_default());
    out
}

/// A fence around lines, longer than any in them.
pub(super) fn fenced(code: &str) -> String {
    let fence = fence_around(code);
    format!("\n\n{fence}\n{code}{fence}\n\n")
}

/// Stretches of prose up to the end of each paragraph with a finding; the rest comes last. No fence is cut in two.
pub(super) fn paragraphs<'f>(
    text: &str,
    range: Range<usize>,
    findings: &[&'f Finding],
) -> Vec<(Range<usize>, Vec<&'f Finding>)> {
    let mut ends: Vec<usize> = Vec::new();
    let (mut at, mut is_open) = (range.start, false);
    for line in text.get(range.clone()).unwrap_or_default().split_inclusive('\n') {
        at += line.len();
        is_open ^= fence(line).is_some();
        if line.trim().is_empty() && !is_open {
            ends.push(at);
        }
    }
    ends.push(range.end);
    let mut pieces: Vec<(Range<usize>, Vec<&'f Finding>)> = Vec::new();
    let mut from = range.start;
    for end in ends {
        let is_before = |finding: &&&'f Finding| {
            let start = finding.span.start as usize;
            (from <= start && start < end) || (end == range.end && start >= end)
        };
        let here: Vec<&Finding> = findings.iter().filter(is_before).copied().collect();
        if !here.is_empty() {
            pieces.push((from..end, here));
            from = end;
        }
    }
    if from < range.end {
        pieces.push((from..range.end, Vec::new()));
    }
    pieces
}
