//! The words and phrases that are looked for, as data gives them.

use std::borrow::Cow;

use super::looks::Looks;
use super::tokens::{Token, plain};
use super::{Keys, Laid, Takes};

pub const ANY_WORD: &str = "*";

/// Words of nearly every diary, the commonest first. They tell nothing where a phrase has another (*sore back*), and of two
/// the rarer one tells more.
const EVERYDAY: [&str; 25] = [
    "the", "a", "and", "in", "to", "of", "at", "on", "no", "feel", "left", "right", "back", "head", "hand",
    "hands", "same", "grip", "where", "lift", "stand", "not", "can", "does", "could",
];

/// Single words, without accents and capitals, a line each.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words(pub(super) Cow<'static, str>);

/// Words that follow each other, with a space between them; `*` is any one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Phrase<'p>(&'p str);

/// Phrases by how their first word may look.
///
/// They are numbers and one text, so that those that ship can be made ready beforehand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Phrases {
    /// A line each, by their first word; of those with the same, the one laid first comes first.
    pub(super) text: Cow<'static, str>,
    /// The marks of first words in their order, each with the place of the first line that begins with the word.
    pub(super) marks: Cow<'static, [(u32, u32)]>,
    /// The first lines of those that may begin with any word.
    pub(super) begin_with_any: Cow<'static, [u32]>,
    /// The marks of the telling words of phrases in their order, each with the word's place: in most texts there is none of
    /// these words.
    pub(super) telling: Cow<'static, [(u32, u32)]>,
    /// These marks shortened to a bit each. None is missed.
    glance: Cow<'static, [u64]>,
    /// Whether there is a phrase without a telling word.
    pub(super) is_open: bool,
}

/// Phrases that were made ready. A test of this room writes them.
pub struct Ready {
    pub text: &'static str,
    pub marks: &'static [(u32, u32)],
    pub begin_with_any: &'static [u32],
    pub telling: &'static [(u32, u32)],
    pub glance: &'static [u64],
    /// Whether there is a phrase without a telling word.
    pub is_open: bool,
}

/// How many bits a mark is shortened to.
const SHORTENED: u32 = 16;
const GLANCE: usize = 1 << (SHORTENED - u64::BITS.ilog2());

/// Marks shortened to a bit each.
#[expect(clippy::indexing_slicing, reason = "a shortened mark is the number of a bit that there is")]
pub const fn glance(marks: &[(u32, u32)]) -> [u64; GLANCE] {
    let mut all = [0; GLANCE];
    let mut rest = marks;
    while let [(mark, _), behind @ ..] = rest {
        let (at, bit) = shortened(*mark);
        all[at] |= bit;
        rest = behind;
    }
    all
}

impl Laid for Words {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        for word in keys.field::<Vec<String>>(key, takes).unwrap_or_default() {
            let word = plain(&word);
            if !self.has_word(&word) {
                let all = self.0.to_mut();
                all.push_str(&word);
                all.push('\n');
            }
        }
    }
}

impl Laid for Phrases {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        let texts: Vec<String> = keys.field(key, takes).unwrap_or_default();
        if !texts.is_empty() {
            self.add(&texts);
        }
    }
}

impl Words {
    pub const fn ready(text: &'static str) -> Self {
        Self(Cow::Borrowed(text))
    }

    pub fn has(&self, token: &Token<'_>) -> bool {
        self.has_word(&token.plain)
    }

    pub fn has_word(&self, plain: &str) -> bool {
        self.0.lines().any(|word| word == plain)
    }
}

impl<'p> Phrase<'p> {
    fn first(self) -> &'p str {
        self.0.split(' ').next().unwrap_or_default()
    }

    /// The word that tells most, and its place in the phrase: short ones are everywhere. `None` where there is none but
    /// numbers and *any word*.
    fn telling(self) -> Option<(usize, &'p str)> {
        let mut at = 0;
        let words = self.words().map(|word| {
            let here = at;
            at += word.len() + 1;
            (here, word)
        });
        let words = words.filter(|(_, word)| word.starts_with(char::is_alphabetic));
        let rarity = |word: &str| EVERYDAY.iter().position(|known| *known == word).unwrap_or(EVERYDAY.len());
        words.max_by_key(|(_, word)| (rarity(word), word.len()))
    }

    pub fn words(self) -> impl Iterator<Item = &'p str> {
        self.0.split(' ')
    }
}

/// A phrase in plain words; empty for a text without words.
fn phrase(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        let word = if word == ANY_WORD { word.into() } else { plain(word) };
        if !all.is_empty() && !word.is_empty() {
            all.push(' ');
        }
        all.push_str(&word);
    }
    all
}

impl Phrases {
    pub const fn ready(ready: &Ready) -> Self {
        let Ready { text, marks, begin_with_any, telling, glance, is_open } = *ready;
        Self {
            text: Cow::Borrowed(text),
            marks: Cow::Borrowed(marks),
            begin_with_any: Cow::Borrowed(begin_with_any),
            telling: Cow::Borrowed(telling),
            glance: Cow::Borrowed(glance),
            is_open,
        }
    }

    fn add(&mut self, texts: &[String]) {
        let more: Vec<String> =
            texts.iter().map(|text| phrase(text)).filter(|text| !text.is_empty()).collect();
        let mut all: Vec<Phrase<'_>> =
            self.text.lines().chain(more.iter().map(String::as_str)).map(Phrase).collect();
        all.sort_by(|one, other| one.first().cmp(other.first()));
        let (mut text, mut marks, mut begin_with_any) = (String::new(), Vec::new(), Vec::new());
        let (mut telling, mut is_open) = (Vec::new(), false);
        for alike in all.chunk_by(|one, other| one.first() == other.first()) {
            let place = u32::try_from(text.len()).unwrap_or(u32::MAX);
            let first = alike.first().map(|phrase| phrase.first()).filter(|word| *word != ANY_WORD);
            match first.and_then(Looks::of_slips) {
                Some(own) => marks.extend(own.into_iter().map(|mark| (mark, place))),
                None => begin_with_any.push(place),
            }
            for (nth, phrase) in alike.iter().enumerate() {
                if alike.iter().take(nth).any(|known| known == phrase) {
                    continue;
                }
                let own = phrase.telling().and_then(|(at, word)| {
                    let place = u32::try_from(text.len() + at).ok()?;
                    Some(Looks::of_slips(word)?.into_iter().map(move |mark| (mark, place)))
                });
                match own {
                    Some(own) => telling.extend(own),
                    None => is_open = true,
                }
                text.push_str(phrase.0);
                text.push('\n');
            }
        }
        marks.sort_unstable();
        // Phrases share telling words, and each is compared once.
        let of_word = |(mark, place): &(u32, u32)| (*mark, word_at(&text, *place).to_owned());
        telling.sort_by_cached_key(of_word);
        telling.dedup_by_key(|known| of_word(known));
        *self = Self {
            glance: glance(&telling).to_vec().into(),
            telling: telling.into(),
            is_open,
            text: text.into(),
            marks: marks.into(),
            begin_with_any: begin_with_any.into(),
        };
    }

    /// Whether a clause with a word that looks so may hold one of any of these. `is_spelt` says whether the word is another
    /// one. A clause that does has such a word, and one that begins with a letter.
    pub fn any_near<const COUNT: usize>(
        all: [&Self; COUNT],
        looks: &Looks,
        is_spelt: impl Fn(&str) -> bool,
    ) -> bool {
        let is_any = looks.marks().any(|mark| {
            let (at, bit) = shortened(mark);
            let has = |all: &Self| all.glance.get(at).is_some_and(|bits| bits & bit != 0);
            all.iter().any(|all| has(all) && all.telling(mark).any(&is_spelt))
        });
        is_any || looks.may_be_any() || all.iter().any(|all| all.is_open)
    }

    /// The telling words with a mark.
    fn telling(&self, mark: u32) -> impl Iterator<Item = &str> {
        of_mark(&self.telling, mark).map(|place| word_at(&self.text, place))
    }

    /// The phrases that may begin at a word.
    pub fn at(&self, token: &Token<'_>) -> impl Iterator<Item = Phrase<'_>> {
        let marked = token.looks.marks().flat_map(|mark| of_mark(&self.marks, mark));
        let alike = marked.chain(self.begin_with_any.iter().copied()).flat_map(|place| {
            let mut lines = self.from(place).peekable();
            let first = lines.peek().map(|phrase| phrase.first()).unwrap_or_default();
            lines.take_while(move |phrase| phrase.first() == first)
        });
        let foreign = token.looks.may_be_any().then(|| self.from(0));
        alike.chain(foreign.into_iter().flatten())
    }

    /// Those from a line on.
    fn from(&self, place: u32) -> impl Iterator<Item = Phrase<'_>> {
        self.text.get(place as usize..).unwrap_or_default().lines().map(Phrase)
    }
}

/// What stands under a mark.
fn of_mark(all: &[(u32, u32)], mark: u32) -> impl Iterator<Item = u32> {
    let from = all.partition_point(|(known, _)| *known < mark);
    let behind = all.get(from..).unwrap_or_default().iter();
    behind.take_while(move |(known, _)| *known == mark).map(|(_, place)| *place)
}

/// The word at a place of some lines.
fn word_at(text: &str, place: u32) -> &str {
    let rest = text.get(place as usize..).unwrap_or_default();
    rest.split([' ', '\n']).next().unwrap_or_default()
}

/// The place and the bit of a mark among those seen.
const fn shortened(mark: u32) -> (usize, u64) {
    let short = mark.wrapping_mul(0x9e37_79b1) >> (u32::BITS - SHORTENED);
    ((short / u64::BITS) as usize, 1 << (short % u64::BITS))
}
