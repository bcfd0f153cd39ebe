//! Findings in the protocol's form.

use std::collections::BTreeMap;

use lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Uri,
};

use crate::finding::{Finding, Severity};
use crate::session::Compiled;
use crate::source::FileId;

use super::text::Lines;

/// Findings as an editor shows them. `uri` gives the address of a path in the book.
pub(super) fn diagnostics(
    compiled: &Compiled,
    findings: &[Finding],
    uri: impl Fn(&str) -> Option<Uri>,
) -> Vec<Diagnostic> {
    let (sources, tongue) = (&compiled.book.sources, compiled.book.about.units.tongue());
    let mut lines: BTreeMap<FileId, Lines<'_>> = BTreeMap::new();
    let mut range = |span: crate::source::Span| {
        lines.entry(span.file).or_insert_with(|| Lines::of(sources.whole(span.file))).range(span)
    };
    let mut diagnostic = |finding: &Finding| {
        let related = finding.labels.iter().filter_map(|label| {
            let uri = uri(sources.path(label.span.file))?;
            let location = Location { uri, range: range(label.span) };
            Some(DiagnosticRelatedInformation { location, message: tongue.say(&label.text) })
        });
        let related: Vec<_> = related.collect();
        Diagnostic {
            range: range(finding.span),
            severity: Some(severity(finding.severity)),
            code: Some(NumberOrString::String(finding.code.name.to_owned())),
            source: Some("loambook".to_owned()),
            message: finding.lines(tongue).join("\n"),
            related_information: Some(related).filter(|related| !related.is_empty()),
            ..Diagnostic::default()
        }
    };
    findings.iter().map(&mut diagnostic).collect()
}

fn severity(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::ERROR,
        Severity::Warning => DiagnosticSeverity::WARNING,
        Severity::Note => DiagnosticSeverity::INFORMATION,
    }
}
