//! The words and phrases that are looked for, as data gives them.

use super::looks::Looks;
use super::tokens::{Token, plain};
use super::{Keys, Laid, Takes};

pub const ANY_WORD: &str = "*";

/// Words of nearly every diary, which tell nothing where a phrase has another: *sore back*.
const EVERYDAY: [&str; 14] = [
    "back", "could", "does", "feel", "grip", "hand", "hands", "head", "left", "lift", "not", "right", "same",
    "stand",
];

/// Single words, without accents and capitals.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words(Vec<String>);

/// Words that follow each other, with a space between them; `*` is any one word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phrase {
    text: Box<str>,
    /// The length of the first word.
    first: usize,
}

/// Phrases by how their first word may look.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Phrases {
    /// By their first word; of those with the same, the one laid first comes first.
    all: Vec<Phrase>,
    /// The marks of first words in their order, each with the phrases that begin with the word.
    marks: Vec<(u32, Places)>,
    /// How first words may look, and how the telling words of phrases may: of most texts neither is there.
    first: Glance,
    telling: Glance,
    /// Those that may begin with any word.
    begin_with_any: Vec<Places>,
}

/// The places of some phrases that stand together: the first, and the one behind the last.
type Places = (u32, u32);

/// How some words may look.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Glance {
    /// Their marks in order.
    marks: Vec<u32>,
    /// The marks shortened to a bit each: most words have none of these bits.
    bits: Vec<u64>,
    /// Whether any word may be meant.
    is_open: bool,
}

/// How many bits a mark is shortened to.
const SHORTENED: u32 = 15;

impl Glance {
    fn of(mut marks: Vec<u32>, is_open: bool) -> Self {
        marks.sort_unstable();
        marks.dedup();
        let mut bits = vec![0; 1 << (SHORTENED - u64::BITS.ilog2())];
        for mark in &marks {
            let (at, bit) = shortened(*mark);
            if let Some(bits) = bits.get_mut(at) {
                *bits |= bit;
            }
        }
        Self { marks, bits, is_open }
    }

    fn may_be(&self, looks: &Looks) -> bool {
        Self::any([self], looks)
    }

    /// Whether a word that looks so may be one of any of them.
    fn any<const COUNT: usize>(all: [&Self; COUNT], looks: &Looks) -> bool {
        let is_any = looks.marks().any(|mark| {
            let (at, bit) = shortened(mark);
            let has = |all: &Self| all.bits.get(at).is_some_and(|bits| bits & bit != 0);
            all.iter().any(|all| has(all) && all.marks.binary_search(&mark).is_ok())
        });
        is_any || looks.may_be_any() || all.iter().any(|all| all.is_open)
    }
}

impl Laid for Words {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        for word in keys.field::<Vec<String>>(key, takes).unwrap_or_default() {
            let word = plain(&word).into_owned();
            if !self.0.contains(&word) {
                self.0.push(word);
            }
        }
    }
}

impl Laid for Phrases {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        let texts: Vec<String> = keys.field(key, takes).unwrap_or_default();
        self.add(texts.iter().filter_map(|text| Phrase::new(text)));
    }
}

impl Words {
    pub fn has(&self, token: &Token<'_>) -> bool {
        self.has_word(&token.plain)
    }

    pub fn has_word(&self, plain: &str) -> bool {
        self.0.iter().any(|word| word == plain)
    }
}

impl Phrase {
    /// `None` for a text without words.
    fn new(text: &str) -> Option<Self> {
        let mut all = String::with_capacity(text.len());
        for word in text.split_whitespace() {
            let word = if word == ANY_WORD { word.into() } else { plain(word) };
            if !all.is_empty() && !word.is_empty() {
                all.push(' ');
            }
            all.push_str(&word);
        }
        let first = all.find(' ').unwrap_or(all.len());
        (!all.is_empty()).then(|| Self { text: all.into(), first })
    }

    fn first(&self) -> &str {
        self.text.get(..self.first).unwrap_or_default()
    }

    /// The word that tells most: short ones are everywhere. `None` where there is none but numbers and *any word*.
    fn telling(&self) -> Option<&str> {
        let words = self.words().filter(|word| word.starts_with(char::is_alphabetic));
        words.max_by_key(|word| (!EVERYDAY.contains(word), word.len()))
    }

    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.text.split(' ')
    }
}

impl Phrases {
    fn add(&mut self, phrases: impl Iterator<Item = Phrase>) {
        let mut all = std::mem::take(&mut self.all);
        all.extend(phrases);
        all.sort_by(|one, other| one.first().cmp(other.first()));
        for phrase in all {
            let mut alike = self.all.iter().rev().take_while(|known| known.first() == phrase.first());
            if !alike.any(|known| *known == phrase) {
                self.all.push(phrase);
            }
        }
        self.marks.clear();
        self.begin_with_any.clear();
        let mut behind = 0;
        for alike in self.all.chunk_by(|one, other| one.first() == other.first()) {
            let places = (behind, behind + u32::try_from(alike.len()).unwrap_or(u32::MAX));
            behind = places.1;
            let first = alike.first().map(Phrase::first).filter(|word| *word != ANY_WORD);
            match first.and_then(Looks::of_slips) {
                Some(marks) => self.marks.extend(marks.into_iter().map(|mark| (mark, places))),
                None => self.begin_with_any.push(places),
            }
        }
        self.marks.sort_unstable();
        self.first =
            Glance::of(self.marks.iter().map(|(mark, _)| *mark).collect(), !self.begin_with_any.is_empty());
        let telling = || self.all.iter().map(|phrase| phrase.telling().and_then(Looks::of_slips));
        self.telling =
            Glance::of(telling().flatten().flatten().collect(), telling().any(|marks| marks.is_none()));
    }

    /// Whether a clause with a word that looks so may hold one of any of these. A clause that does has such a word, and one
    /// that begins with a letter.
    pub fn any_near<const COUNT: usize>(all: [&Self; COUNT], looks: &Looks) -> bool {
        Glance::any(all.map(|phrases| &phrases.telling), looks)
    }

    /// Whether one may begin with a word that looks so. One that does is never missed.
    pub fn may_begin(&self, looks: &Looks) -> bool {
        self.first.may_be(looks)
    }

    /// The phrases that may begin at a word.
    pub fn at(&self, token: &Token<'_>) -> impl Iterator<Item = &Phrase> {
        let marked = token.looks.marks().flat_map(|mark| {
            let from = self.marks.partition_point(|(known, _)| *known < mark);
            let behind = self.marks.get(from..).unwrap_or_default().iter();
            behind.take_while(move |(known, _)| *known == mark).map(|(_, places)| *places)
        });
        let all = u32::try_from(self.all.len()).unwrap_or(u32::MAX);
        let foreign = token.looks.may_be_any().then_some((0, all));
        let places = marked.chain(self.begin_with_any.iter().copied()).chain(foreign);
        places.flat_map(|(from, to)| self.all.get(from as usize..to as usize).unwrap_or_default())
    }
}

/// The place and the bit of a mark among those seen.
fn shortened(mark: u32) -> (usize, u64) {
    let short = mark.wrapping_mul(0x9e37_79b1) >> (u32::BITS - SHORTENED);
    ((short / u64::BITS) as usize, 1 << (short % u64::BITS))
}
