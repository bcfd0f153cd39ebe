//! Findings as JSON, one a line. A public format: keys are added, never renamed.

use serde::Serialize;

use crate::finding::Finding;
use crate::source::{Sources, Span};
use crate::speech::{Message, Tongue};

#[derive(Serialize)]
struct Line<'a> {
    code: &'a str,
    severity: &'a str,
    headline: String,
    file: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    labels: Vec<Label<'a>>,
    remedy: Vec<String>,
}

#[derive(Serialize)]
struct Label<'a> {
    file: &'a str,
    line: u32,
    column: u32,
    text: String,
}

/// One object a line, in the order given. What was found at the finding's own place is its first label.
///
/// Lines and columns count from 1, columns in Unicode scalar values; paths are relative to the book.
pub fn json(findings: &[Finding], sources: &Sources) -> String {
    json_in(&Tongue::ENGLISH, findings, sources)
}

/// The same in a language; keys and codes stay as they are.
pub fn json_in(tongue: &Tongue, findings: &[Finding], sources: &Sources) -> String {
    let mut text = String::new();
    for finding in findings {
        // Only strings and numbers: JSON can hold them all.
        text.push_str(&serde_json::to_string(&line(tongue, finding, sources)).unwrap_or_default());
        text.push('\n');
    }
    text
}

fn line<'a>(tongue: &Tongue, finding: &'a Finding, sources: &'a Sources) -> Line<'a> {
    let (start, end) = (sources.start(finding.span), sources.end(finding.span));
    let label = |span: Span, text: &Message| {
        let start = sources.start(span);
        let (file, text) = (sources.path(span.file), tongue.say(text));
        Label { file, line: start.line, column: start.column, text }
    };
    let own = (!finding.label.is_empty()).then(|| label(finding.span, &finding.label));
    let others = finding.labels.iter().map(|other| label(other.span, &other.text));
    Line {
        code: finding.code.name,
        severity: finding.severity.word(),
        headline: tongue.say(&finding.headline),
        file: sources.path(finding.span.file),
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
        labels: own.into_iter().chain(others).collect(),
        remedy: finding.remedies.iter().map(|remedy| tongue.say(&remedy.text)).collect(),
    }
}
