//! What was typed, as a block of the day's notebook and as a text of its own, so that findings show it as it was typed.

use crate::finding::Finding;
use crate::source::{FileId, Sources, Span};
use crate::vocabulary::blocks::Change;
use crate::vocabulary::{Setting, Typed as _};

/// The place of what was typed, in findings.
pub const TYPED: &str = "as typed";

/// Changes as in a notebook, one a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    pub lines: Vec<String>,
}

impl Typed {
    /// Changes with `;` between them; a value needs no quotes.
    ///
    /// # Errors
    ///
    /// Where something is no change, in one line.
    pub fn read(given: &[&str]) -> Result<Self, String> {
        let mut lines = Vec::new();
        for part in given.iter().flat_map(|given| split(given)) {
            let part = part.trim();
            if part.is_empty() {
                continue;
            }
            let Some((name, value)) = part.split_once('=').filter(|_| !part.contains(['\n', '\r'])) else {
                return Err(format!("`{}` is no change", part.lines().next().unwrap_or_default()));
            };
            let (name, value) = (name.trim(), value.trim());
            let is_toml = value.starts_with(['"', '\'']) || value.parse::<f64>().is_ok() || value == "true";
            lines.push(if is_toml {
                format!("{name} = {value}")
            } else {
                format!("{name} = \"{}\"", value.replace('\\', "\\\\").replace('"', "\\\""))
            });
        }
        Ok(Self { lines })
    }

    pub fn add(&mut self, line: String) {
        self.lines.push(line);
    }

    /// The names that are changed, as they were typed.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.lines.iter().filter_map(|line| Some(line.split_once('=')?.0.trim()))
    }

    /// The changes without those of some settings; `None` where none are left.
    pub fn without(&self, names: &[Setting]) -> Option<Self> {
        let is_left = |name: &str| Setting::parse(name).is_some_and(|name| names.contains(&name));
        let kept = self.lines.iter().zip(self.names()).filter(|(_, name)| !is_left(name));
        let lines: Vec<String> = kept.map(|(line, _)| line.clone()).collect();
        (!lines.is_empty()).then_some(Self { lines })
    }

    /// One change a line.
    pub fn text(&self) -> String {
        self.lines.iter().map(|line| format!("{line}\n")).collect()
    }

    /// A day's notebook with the changes at its end.
    pub fn appended_to(&self, notebook: &str) -> String {
        let (before, after) = around(notebook);
        format!("{before}{}{after}", self.text())
    }
}

/// The text before and behind the changes in the notebook.
fn around(notebook: &str) -> (String, String) {
    (format!("{notebook}\n\n```{}\n", Change::SPEC.word), format!("{} = \"to see\"\n```\n", Change::because))
}

/// Findings placed where they were typed.
pub struct Told {
    pub findings: Vec<Finding>,
    /// What was typed, with the other notebooks that the findings point to.
    pub sources: Sources,
}

impl Typed {
    /// The place of the changes, at the end of a day's notebook.
    fn place(&self, sources: &Sources, day: FileId) -> Span {
        let (_, behind) = around("");
        let end = sources.whole(day).len().saturating_sub(behind.len());
        Span::new(day, end.saturating_sub(self.text().len()), end)
    }

    /// Whether a place is in the changes.
    pub fn has(&self, span: Span, sources: &Sources, day: FileId) -> bool {
        self.place(sources, day).contains(span)
    }

    /// Those of the findings that are in the changes at the end of a day's notebook.
    pub fn told(&self, findings: &[Finding], sources: &Sources, day: FileId) -> Told {
        let start = self.place(sources, day).start;
        let mut told = Told { findings: Vec::new(), sources: Sources::new() };
        let typed = told.sources.set(TYPED, self.text());
        let is_typed = |span: Span| self.has(span, sources, day);
        for finding in findings.iter().filter(|finding| is_typed(finding.span)) {
            let mut moved = |span: Span| {
                if is_typed(span) {
                    return Span { file: typed, start: span.start - start, end: span.end - start };
                }
                let path = sources.path(span.file);
                let known = told.sources.find(path);
                let file = known.unwrap_or_else(|| told.sources.set(path, sources.whole(span.file)));
                Span { file, ..span }
            };
            let mut finding = finding.clone();
            finding.span = moved(finding.span);
            for label in &mut finding.labels {
                label.span = moved(label.span);
            }
            for edit in finding.remedies.iter_mut().filter_map(|remedy| remedy.edit.as_mut()) {
                edit.span = moved(edit.span);
            }
            told.findings.push(finding);
        }
        told
    }
}

/// At every `;` outside quotes.
fn split(text: &str) -> Vec<&str> {
    let mut quote = None;
    text.split(|letter| match (quote, letter) {
        (None, ';') => true,
        (None, '"' | '\'') => {
            quote = Some(letter);
            false
        }
        (Some(open), letter) if open == letter => {
            quote = None;
            false
        }
        _ => false,
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_needs_no_quotes_and_a_semicolon_in_them_is_no_end() {
        let typed = Typed::read(&["fork.height = 2 mm down; pegs = \"a; b\"", "drive.rear=51"]).unwrap();
        assert_eq!(typed.lines, ["fork.height = \"2 mm down\"", "pegs = \"a; b\"", "drive.rear = 51"]);
        assert!(Typed::read(&["fork.height"]).is_err());
        assert!(Typed::read(&["fork.height = 2\n```"]).is_err());
    }
}
