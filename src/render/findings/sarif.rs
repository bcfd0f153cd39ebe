//! Findings as SARIF 2.1.0 (OASIS Standard, 27 March 2020), for tools that show the findings of others.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::finding::{Code, Edit, Finding};
use crate::source::{Sources, Span};
use crate::speech::Tongue;

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// One SARIF log. `codes` are all rules; those of the findings are added where they are missing.
pub fn sarif(findings: &[Finding], sources: &Sources, codes: &[&'static Code]) -> String {
    sarif_in(&Tongue::ENGLISH, findings, sources, codes)
}

/// The same with its messages in a language; rules are described in English.
pub fn sarif_in(tongue: &Tongue, findings: &[Finding], sources: &Sources, codes: &[&'static Code]) -> String {
    let fired = findings.iter().map(|finding| finding.code);
    let rules: BTreeMap<&str, &Code> =
        codes.iter().copied().chain(fired).map(|code| (code.name, code)).collect();
    let index: BTreeMap<&str, usize> = rules.keys().enumerate().map(|(at, name)| (*name, at)).collect();
    let log = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": env!("CARGO_PKG_NAME"),
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.values().map(|code| rule(code)).collect::<Vec<Value>>(),
            } },
            "columnKind": "unicodeCodePoints",
            "results": findings
                .iter()
                .map(|finding| result(tongue, finding, sources, index.get(finding.code.name).copied()))
                .collect::<Vec<Value>>(),
        }],
    });
    format!("{log:#}\n")
}

fn rule(code: &Code) -> Value {
    let summary = code.page.split("\n\n").next().unwrap_or("").replace('\n', " ");
    json!({
        "id": code.name,
        "shortDescription": { "text": if summary.is_empty() { code.name } else { &summary } },
        "help": { "text": code.page, "markdown": code.page },
        "defaultConfiguration": { "level": code.severity.word() },
    })
}

fn result(tongue: &Tongue, finding: &Finding, sources: &Sources, rule: Option<usize>) -> Value {
    let mut message = tongue.say(&finding.headline);
    for remedy in &finding.remedies {
        message.push_str("\nhelp: ");
        message.push_str(&tongue.say(&remedy.text));
    }
    let mut place = location(finding.span, sources);
    if let (Some(place), false) = (place.as_object_mut(), finding.label.is_empty()) {
        place.insert("message".to_owned(), json!({ "text": tongue.say(&finding.label) }));
    }
    let related = finding.labels.iter().enumerate().map(|(at, label)| {
        let mut place = location(label.span, sources);
        if let Some(place) = place.as_object_mut() {
            place.insert("id".to_owned(), json!(at + 1));
            place.insert("message".to_owned(), json!({ "text": tongue.say(&label.text) }));
        }
        place
    });
    let fixes: Vec<Value> = finding
        .remedies
        .iter()
        .filter_map(|remedy| Some(fix(&tongue.say(&remedy.text), remedy.edit.as_ref()?, sources)))
        .collect();
    let mut result = json!({
        "ruleId": finding.code.name,
        "level": finding.severity.word(),
        "message": { "text": message },
        "locations": [place],
        "relatedLocations": related.collect::<Vec<Value>>(),
    });
    if let Some(result) = result.as_object_mut() {
        if let Some(rule) = rule {
            result.insert("ruleIndex".to_owned(), json!(rule));
        }
        // An empty list would mean that fixes were searched for and none found.
        if !fixes.is_empty() {
            result.insert("fixes".to_owned(), Value::Array(fixes));
        }
    }
    result
}

fn fix(text: &str, edit: &Edit, sources: &Sources) -> Value {
    json!({
        "description": { "text": text },
        "artifactChanges": [{
            "artifactLocation": artifact(edit.span, sources),
            "replacements": [{
                "deletedRegion": region(edit.span, sources),
                "insertedContent": { "text": edit.replacement },
            }],
        }],
    })
}

fn location(span: Span, sources: &Sources) -> Value {
    json!({ "physicalLocation": {
        "artifactLocation": artifact(span, sources),
        "region": region(span, sources),
    } })
}

fn artifact(span: Span, sources: &Sources) -> Value {
    json!({ "uri": relative_uri(sources.path(span.file)) })
}

fn region(span: Span, sources: &Sources) -> Value {
    let (start, end) = (sources.start(span), sources.end(span));
    json!({
        "startLine": start.line,
        "startColumn": start.column,
        "endLine": end.line,
        "endColumn": end.column,
    })
}

/// A path as a URI reference (RFC 3986, sections 2.1 and 4.2): all but unreserved letters and `/` is
/// percent-encoded, so that a colon in the first name is no scheme.
fn relative_uri(path: &str) -> String {
    let mut uri = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'-' | b'.' | b'_' | b'~') {
            uri.push(char::from(byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::relative_uri;

    #[test]
    fn paths_become_references() {
        assert_eq!(relative_uri("days/2026-04-11.md"), "days/2026-04-11.md");
        assert_eq!(relative_uri("a b/é:#.md"), "a%20b/%C3%A9%3A%23.md");
    }
}
