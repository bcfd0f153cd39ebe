//! What could not be printed on a page, and how that is said.

use crate::book::Book;
use crate::finding::{Finding, order};
use crate::render::pdf::Printed;

use super::screen::Screen;

/// What a page should have shown and does not.
#[derive(Debug, Default)]
pub(super) struct LeftOut {
    /// Characters that the fonts lack, each in a sentence.
    glyphs: Vec<String>,
    /// Photos, each at the place that shows it.
    photos: Vec<Finding>,
}

impl LeftOut {
    /// What a printed file lacks.
    pub fn of(printed: &Printed, book: &Book) -> Self {
        let glyphs = printed.missing_glyphs.iter().map(|glyph| {
            let (character, text) = (glyph.character, &glyph.text);
            format!("the type has no `{character}` (U+{:04X}), which is in `{text}`", u32::from(character))
        });
        let photos = printed.missing_images.iter();
        Self {
            glyphs: glyphs.collect(),
            photos: photos.filter_map(|photo| book.unprinted(&photo.target, &photo.why)).collect(),
        }
    }

    /// Adds a photo that cannot be shown, with the reason; nothing where no notebook shows it.
    pub fn photo(&mut self, book: &Book, path: &str, why: &str) {
        self.photos.extend(book.unprinted(path, why));
    }

    pub fn extend(&mut self, other: Self) {
        self.glyphs.extend(other.glyphs);
        self.photos.extend(other.photos);
    }

    /// Reports it beside the output; `file` names the page where there are several.
    pub fn report(mut self, file: Option<&str>, book: &Book, screen: &mut Screen) {
        for glyph in &self.glyphs {
            let file = file.map_or_else(String::new, |file| format!("{file}: "));
            screen.remark(&format!("warning: {file}{glyph}"));
        }
        order(&mut self.photos);
        self.photos.dedup();
        if !self.photos.is_empty() {
            screen.report_findings(book.about.units.tongue(), &self.photos, &book.sources);
        }
    }
}
