//! Markdown's inline events into stretches of text, each in one style.

use pulldown_cmark::{Event, Tag, TagEnd};

use super::tree::Inline;

/// Collects the text of one paragraph, heading or cell.
#[derive(Debug, Default)]
pub(super) struct Inlines {
    out: Vec<Inline>,
    strong: usize,
    emphasised: usize,
    struck: usize,
    links: Vec<Option<String>>,
    /// Targets of images, each with its description as far as it was read.
    pub images: Vec<(String, String)>,
    open_images: usize,
}

impl Inlines {
    /// Takes one event; returns false for one that is not inline.
    pub fn take(&mut self, event: &Event<'_>) -> bool {
        match event {
            Event::Text(text) => self.push(text, false),
            Event::Code(text) => self.push(text, true),
            // Raw HTML is shown as text: nothing that a rider wrote may become markup.
            Event::Html(text) | Event::InlineHtml(text) => self.push(text, false),
            Event::SoftBreak => self.push(" ", false),
            Event::HardBreak => {
                self.push("", false);
                if let Some(last) = self.out.last_mut() {
                    last.is_line_end = true;
                }
            }
            Event::Start(Tag::Strong) => self.strong += 1,
            Event::End(TagEnd::Strong) => self.strong = self.strong.saturating_sub(1),
            Event::Start(Tag::Emphasis) => self.emphasised += 1,
            Event::End(TagEnd::Emphasis) => self.emphasised = self.emphasised.saturating_sub(1),
            Event::Start(Tag::Strikethrough) => self.struck += 1,
            Event::End(TagEnd::Strikethrough) => self.struck = self.struck.saturating_sub(1),
            Event::Start(Tag::Link { dest_url, .. }) => self.links.push(safe_link(dest_url)),
            Event::End(TagEnd::Link) => {
                self.links.pop();
            }
            Event::Start(Tag::Image { dest_url, .. }) => {
                self.images.push((dest_url.to_string(), String::new()));
                self.open_images += 1;
            }
            Event::End(TagEnd::Image) => self.open_images = self.open_images.saturating_sub(1),
            _ => return false,
        }
        true
    }

    /// What was collected, with neighbours of one style joined.
    pub fn finish(self) -> Vec<Inline> {
        let mut merged: Vec<Inline> = Vec::new();
        for next in self.out {
            match merged.last_mut() {
                Some(last) if !last.is_line_end && same_style(last, &next) => {
                    last.text.push_str(&next.text);
                    last.is_line_end = next.is_line_end;
                }
                _ => merged.push(next),
            }
        }
        merged
    }

    fn push(&mut self, text: &str, is_code: bool) {
        if self.open_images > 0 {
            if let Some((_, description)) = self.images.last_mut() {
                description.push_str(text);
            }
            return;
        }
        self.out.push(Inline {
            text: text.to_owned(),
            is_strong: self.strong > 0,
            is_emphasised: self.emphasised > 0,
            is_code,
            is_struck: self.struck > 0,
            link: self.links.last().cloned().flatten(),
            is_line_end: false,
        });
    }
}

fn same_style(a: &Inline, b: &Inline) -> bool {
    (a.is_strong, a.is_emphasised, a.is_code, a.is_struck, &a.link)
        == (b.is_strong, b.is_emphasised, b.is_code, b.is_struck, &b.link)
}

/// A link's target, if a printed or sent page may link there.
fn safe_link(target: &str) -> Option<String> {
    let lower = target.to_ascii_lowercase();
    ["https://", "http://", "mailto:"]
        .iter()
        .any(|scheme| lower.starts_with(scheme))
        .then(|| target.to_owned())
        .or_else(|| is_beside(target).then(|| target.to_owned()))
}

/// Whether a target is the address of an HTML file in the same folder: the sheets behind a roster.
fn is_beside(target: &str) -> bool {
    let is_plain = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '~' | '%');
    target.strip_suffix(".html").is_some_and(|name| !name.is_empty() && name.chars().all(is_plain))
}
