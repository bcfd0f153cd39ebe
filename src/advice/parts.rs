//! The parts of advice, each asked for by itself.

use std::sync::{Arc, LazyLock, OnceLock};

use super::data::{Complaint, Practice, Said, Sayings};
use super::injury::Injury;
use super::shipped;

/// What is known about complaints: what ships, or that overlaid with a book's own file.
///
/// Of what ships, a part is read when somebody first asks for it: a check needs the words of riders and of injuries, and
/// no steps.
#[derive(Debug, Clone, Default)]
pub enum Advice {
    #[default]
    Shipped,
    Own(Box<Parts>),
}

/// All of advice.
#[derive(Debug, Clone, PartialEq)]
pub struct Parts {
    pub sayings: Sayings,
    pub injury: Injury,
    pub practice: Practice,
}

static SAYINGS: LazyLock<Sayings> = LazyLock::new(shipped::sayings);
static INJURY: LazyLock<Injury> = LazyLock::new(Injury::shipped);
static PRACTICE: LazyLock<Practice> = LazyLock::new(|| shipped::practice(&SAYINGS.places));

/// What riders say in a language other than English, by its tag; read when the first of them is heard.
pub(super) fn said_in(tag: &str) -> Option<&'static Said> {
    static READ: [OnceLock<Sayings>; shipped::LANGUAGES.len()] =
        [const { OnceLock::new() }; shipped::LANGUAGES.len()];
    let ((_, text), read) = shipped::LANGUAGES.iter().zip(&READ).find(|((known, _), _)| *known == tag)?;
    Some(&read.get_or_init(|| shipped::sayings_in(text, &SAYINGS.places, shipped::words()).0).said)
}

/// What riders say in each language other than English, by its tag.
pub fn said_elsewhere() -> impl Iterator<Item = (&'static str, &'static Said)> {
    shipped::LANGUAGES.iter().filter_map(|(tag, _)| Some((*tag, said_in(tag)?)))
}

impl Advice {
    /// The advice that ships with the program.
    pub fn shipped() -> Arc<Self> {
        static SHIPPED: LazyLock<Arc<Advice>> = LazyLock::new(Arc::default);
        Arc::clone(&SHIPPED)
    }

    pub fn sayings(&self) -> &Sayings {
        match self {
            Self::Shipped => &SAYINGS,
            Self::Own(parts) => &parts.sayings,
        }
    }

    pub fn injury(&self) -> &Injury {
        match self {
            Self::Shipped => &INJURY,
            Self::Own(parts) => &parts.injury,
        }
    }

    pub fn practice(&self) -> &Practice {
        match self {
            Self::Shipped => &PRACTICE,
            Self::Own(parts) => &parts.practice,
        }
    }

    /// The words for complaints, each once, in the order of the file.
    pub fn words(&self) -> Vec<&str> {
        match self {
            Self::Shipped => shipped::words().collect(),
            Self::Own(parts) => parts.practice.words(),
        }
    }
}

impl Practice {
    /// The words for complaints, each once, in the order of the file.
    pub(super) fn words(&self) -> Vec<&str> {
        let mut words: Vec<&str> = Vec::new();
        for word in self.complaints.iter().flat_map(Complaint::words) {
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words
    }
}

impl PartialEq for Advice {
    fn eq(&self, other: &Self) -> bool {
        self.sayings() == other.sayings()
            && self.injury() == other.injury()
            && self.practice() == other.practice()
    }
}
