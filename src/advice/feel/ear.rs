//! Whose words are understood: by the advice that ships or a book's own, in each language that riders write in.

use std::sync::{LazyLock, OnceLock};

use crate::advice::parts::{Advice, said_in};
use crate::advice::shipped::LANGUAGES;
use crate::book::{Book, Day};
use crate::vocabulary::blocks::Stint;
use crate::vocabulary::values::Written;

use super::{Feel, Hearing, Understood, sections};

/// Understands feelings, by the ways of saying things in an advice file, and in the rider's own language.
///
/// What ships is listened for by one ear, for as long as the program runs.
pub struct Ear<'a>(Option<Hearings<'a>>);

/// What is understood of riders of each language, made ready when one is first heard.
struct Hearings<'a> {
    advice: &'a Advice,
    english: OnceLock<Hearing<'a>>,
    /// By the language's tag.
    others: [(&'static str, OnceLock<Hearing<'a>>); LANGUAGES.len()],
}

static SHIPPED: LazyLock<Hearings<'static>> = LazyLock::new(|| Hearings::new(&Advice::Shipped));

impl<'a> Hearings<'a> {
    fn new(advice: &'a Advice) -> Self {
        let others = LANGUAGES.map(|(tag, _)| (tag, OnceLock::new()));
        Self { advice, english: OnceLock::new(), others }
    }

    /// English where a language has no words of its own.
    fn of(&self, tag: &str) -> &Hearing<'a> {
        match self.others.iter().find(|(known, _)| *known == tag) {
            Some((_, hearing)) => hearing.get_or_init(|| Hearing::new(self.advice, said_in(tag))),
            None => self.english.get_or_init(|| Hearing::new(self.advice, None)),
        }
    }
}

impl<'a> Ear<'a> {
    pub fn new(advice: &'a Advice) -> Self {
        match advice {
            Advice::Shipped => Self(None),
            Advice::Own(_) => Self(Some(Hearings::new(advice))),
        }
    }

    /// What the rider of a day says is English, or what they write in.
    pub(super) fn of(&self, book: &Book, day: &Day) -> &Hearing<'a> {
        let tag = book.language_of(day.rider.as_deref());
        match &self.0 {
            None => SHIPPED.of(tag),
            Some(own) => own.of(tag),
        }
    }

    /// All complaints of a stint, in their order, without findings.
    pub fn feels(&self, book: &Book, day: &Day, stint: &Stint) -> Vec<Feel> {
        let hear = |texts| self.of(book, day).understand_all(texts, &sections(book, day));
        stint.feel.as_ref().map_or_else(Vec::new, hear)
    }

    /// The first text of a stint in which no complaint is understood, though there seems to be one.
    pub fn unheard<'s>(&self, book: &Book, day: &Day, stint: &'s Stint) -> Option<&'s str> {
        let texts = stint.feel.as_ref()?;
        let (hearing, sections) = (self.of(book, day), sections(book, day));
        let is_unheard = |text: &&'s Written| {
            let Understood { feels, finding } = hearing.understand(text, &sections);
            feels.is_empty() && finding.is_some()
        };
        texts.values.iter().find(is_unheard).map(|text| text.text.as_str())
    }
}
