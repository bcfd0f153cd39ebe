//! Findings as text for a terminal, with the lines they are about.

use std::borrow::Cow;
use std::ops::Range;

use annotate_snippets::{
    Annotation, AnnotationKind, Element, Group, Level, Message, Origin, Renderer, Snippet,
};

use crate::finding::{Finding, Severity};
use crate::source::{FileId, Sources, Span};

/// How findings are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    pub colour: bool,
    /// Columns of the terminal; longer lines are cut around what they are shown for.
    pub width: usize,
}

impl Default for Look {
    fn default() -> Self {
        Self { colour: false, width: 120 }
    }
}

/// Places of one file that lie further apart are shown apart: what lies between is handed to the
/// renderer, which reads all of it.
const NEAR_LINES: u32 = 60;

/// A longer line is not shown, only its place: the renderer reads all of a line for each finding on it.
const LONGEST_LINE: u32 = 4096;

/// Each finding with the lines it is about and its help, in the order given.
pub fn text(findings: &[Finding], sources: &Sources, look: Look) -> String {
    let renderer = if look.colour { Renderer::styled() } else { Renderer::plain() }.term_width(look.width);
    let mut text = String::new();
    for finding in findings {
        text.push_str(&renderer.render(&[group(finding, sources)]));
        text.push_str("\n\n");
    }
    text
}

/// What was found in one line: `2 errors, 1 warning`; `nothing to report` where nothing was.
pub fn tally(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    let parts: Vec<String> =
        [(Severity::Error, "error"), (Severity::Warning, "warning"), (Severity::Note, "note")]
            .into_iter()
            .map(|(severity, word)| (count(severity), word))
            .filter(|&(count, _)| count > 0)
            .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
            .collect();
    if parts.is_empty() { "nothing to report".to_owned() } else { parts.join(", ") }
}

fn group<'a>(finding: &'a Finding, sources: &'a Sources) -> Group<'a> {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let title = level.primary_title(visible(&finding.headline)).id(finding.code.name);
    let windows = windows(finding, sources).into_iter().flat_map(|window| window.elements(sources));
    let help = finding.remedies.iter().map(|remedy| help(&remedy.text));
    title.elements(windows.chain(help.map(Element::from)))
}

fn help(text: &str) -> Message<'_> {
    Level::HELP.message(visible(text))
}

/// Lines of one file that are shown together, with the places to mark.
struct Window<'a> {
    file: FileId,
    first: u32,
    last: u32,
    places: Vec<Place<'a>>,
}

struct Place<'a> {
    span: Span,
    text: &'a str,
    is_primary: bool,
}

fn windows<'a>(finding: &'a Finding, sources: &Sources) -> Vec<Window<'a>> {
    let primary = Place { span: finding.span, text: &finding.label, is_primary: true };
    let others =
        finding.labels.iter().map(|label| Place { span: label.span, text: &label.text, is_primary: false });
    let mut windows: Vec<Window<'a>> = Vec::new();
    for place in std::iter::once(primary).chain(others) {
        let file = place.span.file;
        let first = sources.start(place.span).line;
        // What goes on for long is marked where it begins.
        let last = sources.end(place.span).line.min(first + NEAR_LINES);
        let is_near = |window: &&mut Window<'_>| {
            window.file == file && first <= window.last + NEAR_LINES && last + NEAR_LINES >= window.first
        };
        match windows.iter_mut().find(is_near) {
            Some(window) => {
                window.first = window.first.min(first);
                window.last = window.last.max(last);
                window.places.push(place);
            }
            None => windows.push(Window { file, first, last, places: vec![place] }),
        }
    }
    windows
}

impl<'a> Window<'a> {
    fn elements(self, sources: &'a Sources) -> Vec<Element<'a>> {
        let path = visible(sources.path(self.file));
        let lines = (self.first..=self.last).filter_map(|line| sources.line(self.file, line));
        let is_shown = lines.clone().all(|line| line.end - line.start <= LONGEST_LINE);
        let bounds = lines.reduce(|first, last| Span { end: last.end, ..first });
        let has_text = !sources.whole(self.file).is_empty();
        match bounds {
            Some(bounds) if is_shown && has_text => vec![self.lines(path, bounds, sources)],
            _ => self.places_alone(&path, sources),
        }
    }

    fn lines(self, path: Cow<'a, str>, bounds: Span, sources: &'a Sources) -> Element<'a> {
        let text = sources.text(bounds);
        let marks = self.places.iter().map(|place| {
            let kind = if place.is_primary { AnnotationKind::Primary } else { AnnotationKind::Context };
            let mark: Annotation<'a> = kind.span(within(place.span, bounds, text));
            if place.text.is_empty() { mark } else { mark.label(visible(place.text)) }
        });
        Snippet::source(text).path(path).line_start(self.first as usize).annotations(marks).into()
    }

    fn places_alone(self, path: &Cow<'a, str>, sources: &Sources) -> Vec<Element<'a>> {
        let mut elements = Vec::new();
        for place in self.places {
            let at = sources.start(place.span);
            let origin = Origin::path(path.clone()).line(at.line as usize).char_column(at.column as usize);
            elements.push(origin.into());
            if !place.text.is_empty() {
                elements.push(Level::NOTE.message(visible(place.text)).into());
            }
        }
        elements
    }
}

/// A span as a range of the window's text. The one place where it is seen to that none lies outside or
/// cuts a character, at which the renderer would fall over.
fn within(span: Span, bounds: Span, text: &str) -> Range<usize> {
    let clamp = |offset: u32| {
        text.floor_char_boundary((offset.clamp(bounds.start, bounds.end) - bounds.start) as usize)
    };
    clamp(span.start)..clamp(span.end)
}

/// Text from a notebook without characters that a terminal would obey or that change the direction of
/// what follows.
fn visible(text: &str) -> Cow<'_, str> {
    let is_obeyed = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if text.contains(is_obeyed) { text.replace(is_obeyed, "\u{fffd}").into() } else { text.into() }
}
