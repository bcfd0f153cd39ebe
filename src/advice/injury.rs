//! Words of injury and of a crash in what a rider wrote.
//!
//! Which words these are is data. In doubt the answer is yes: a rider asked once too often rides an hour later; one who is
//! not asked may ride with a concussion.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use crate::finding::is_a_letter_off;

use super::table::{Keys, Laid, Takes, table};
use Takes::Text;

/// A shorter word must be spelt right: of four letters, one changed makes another word.
const LEAST_MISSPELT: usize = 7;

/// How many words before or behind a phrase still belong to it.
const NEAR: usize = 4;

table! { over
    /// What shows an injury, and what shows a crash. A file adds words, and removes none.
    #[derive(Default)]
    Injury;
    /// What comes first, before anything else.
    say: String = "say", Text;
    /// What others are shown, and nothing more.
    others: String = "others", Text;
    /// How to ask for the signs after a crash.
    ask: String = "ask", Text;
    /// How to look over the machine after a crash.
    look_over: String = "look_over", Text;
    signs: Phrases = "signs", Text;
    /// Signs of an injury unless they are about one of `things`.
    doubtful: Phrases = "doubtful", Text;
    things: Words = "things", Text;
    /// Parts of a body: a doubtful phrase about one of these is about no thing.
    body: Words = "body", Text;
    /// Words that are signs of an injury near one of `limb`, unless the limb is part of a thing's name.
    hurt: Phrases = "hurt", Text;
    limb: Words = "limb", Text;
    /// Words that make a limb beside them the name of a thing: *hand guard*.
    named: Words = "named", Text;
    crash: Phrases = "crash", Text;
    /// Words that deny what follows, and words that may come between.
    not: Words = "not", Text;
    between: Words = "between", Text;
    /// Words that continue a denial: *no headache or dizziness*.
    or: Words = "or", Text;
    /// Words that deny what stands before: *injury-free*.
    free: Words = "free", Text;
    /// Words one letter away that mean something else.
    never: Words = "never", Text;
}

/// Single words, without accents and capitals.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words(Vec<String>);

/// Words that follow each other; `*` is any one word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phrase {
    words: Vec<String>,
}

/// Phrases by their first word, since every word of a diary is compared with them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Phrases {
    /// Those whose first word must be spelt right.
    by_word: BTreeMap<String, Vec<Phrase>>,
    /// Those whose first word may be misspelt behind its first letter; by that letter and the number of letters.
    by_letter: BTreeMap<(char, usize), Vec<Phrase>>,
    /// Those that begin with any word.
    by_none: Vec<Phrase>,
    /// Whether the first word of some begins with a digit.
    begins_with_digit: bool,
}

impl Laid for Words {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        for word in keys.field::<Vec<String>>(key, takes).unwrap_or_default() {
            let word = plain(&word);
            if !self.0.contains(&word) {
                self.0.push(word);
            }
        }
    }
}

impl Laid for Phrases {
    fn lay(&mut self, keys: &mut Keys<'_, '_>, key: &'static str, takes: Takes) {
        let texts: Vec<String> = keys.field(key, takes).unwrap_or_default();
        texts.iter().for_each(|text| self.push(Phrase::new(text)));
    }
}

impl Words {
    fn has(&self, token: &Token<'_>) -> bool {
        self.0.iter().any(|word| *word == token.plain)
    }
}

impl Phrases {
    /// Adds a phrase, unless it is there.
    pub fn push(&mut self, phrase: Phrase) {
        let first = phrase.words.first().filter(|word| *word != ANY_WORD);
        let initial = first.and_then(|word| word.chars().next());
        self.begins_with_digit |= initial.is_some_and(|initial| initial.is_ascii_digit());
        let alike = match (first, initial) {
            (Some(first), Some(initial)) => match first.chars().count() {
                length if length >= LEAST_MISSPELT => self.by_letter.entry((initial, length)).or_default(),
                _ => self.by_word.entry(first.clone()).or_default(),
            },
            _ => &mut self.by_none,
        };
        if !alike.contains(&phrase) {
            alike.push(phrase);
        }
    }

    /// The phrases that may begin at a word.
    fn at(&self, token: &Token<'_>) -> impl Iterator<Item = &Phrase> {
        // Many words of a diary are numbers, with which few phrases begin.
        let begins = token.plain.chars().next();
        let letter = begins.filter(|letter| !letter.is_ascii_digit() || self.begins_with_digit);
        let as_spelt = letter.and_then(|_| self.by_word.get(token.plain.as_ref())).into_iter().flatten();
        // One wrong letter is one more, one less or another.
        let length = token.plain.chars().count();
        let may_be = letter.into_iter().flat_map(move |letter| {
            self.by_letter.range((letter, length.saturating_sub(1))..=(letter, length + 1))
        });
        as_spelt
            .chain(may_be.flat_map(|(_, alike)| alike))
            .chain(begins.into_iter().flat_map(|_| &self.by_none))
    }
}

/// What was found in a text, in lower case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub words: String,
    /// The bytes of the text.
    pub at: Range<usize>,
}

/// A word of a text.
struct Token<'t> {
    /// Without accents and capitals.
    plain: Cow<'t, str>,
    /// As written.
    raw: &'t str,
    from: usize,
    /// Its clause in the text.
    clause: usize,
}

impl Token<'_> {
    /// In lower case.
    fn written(&self) -> String {
        small(self.raw)
    }
}

impl Phrase {
    pub fn new(text: &str) -> Self {
        let words = text
            .split_whitespace()
            .map(|word| if word == ANY_WORD { ANY_WORD.to_owned() } else { plain(word) });
        Self { words: words.filter(|word| !word.is_empty()).collect() }
    }
}

const ANY_WORD: &str = "*";

impl Injury {
    /// The first sign of an injury in a text.
    pub fn sign(&self, text: &str) -> Option<Found> {
        let tokens = tokens(text);
        let plain = self.first(&tokens, &self.signs, Some);
        let doubtful =
            self.first(&tokens, &self.doubtful, |here| (!self.is_of_a_thing(&tokens, &here)).then_some(here));
        let hurt = self.first(&tokens, &self.hurt, |here| self.with_limb(&tokens, &here));
        plain.into_iter().chain(doubtful).chain(hurt).min_by_key(|found| found.at.start)
    }

    /// The first word of a crash in a text.
    pub fn crash(&self, text: &str) -> Option<Found> {
        self.first(&tokens(text), &self.crash, Some)
    }

    /// The first of some phrases that is not denied. `meant` gives the words that mean it; `None` where it is
    /// not meant.
    fn first(
        &self,
        tokens: &[Token<'_>],
        phrases: &Phrases,
        meant: impl Fn(Range<usize>) -> Option<Range<usize>>,
    ) -> Option<Found> {
        tokens.iter().enumerate().find_map(|(start, token)| {
            let mut ends = phrases.at(token).filter_map(|phrase| self.end_of(tokens, start, phrase));
            let here = ends.find_map(|end| {
                let is_denied = self.is_denied(tokens, start, end);
                (!is_denied).then(|| meant(start..end)).flatten()
            })?;
            let here = tokens.get(here)?;
            let words: Vec<String> = here.iter().map(Token::written).collect();
            let last = here.last()?;
            Some(Found { words: words.join(" "), at: here.first()?.from..last.from + last.raw.len() })
        })
    }

    /// Where a phrase ends that begins at a word.
    fn end_of(&self, tokens: &[Token<'_>], start: usize, phrase: &Phrase) -> Option<usize> {
        let end = start + phrase.words.len();
        let here = tokens.get(start..end).filter(|here| !here.is_empty())?;
        let clause = here.first()?.clause;
        let is_same = |(token, word): (&Token<'_>, &String)| {
            token.clause == clause && (word == ANY_WORD || self.is_spelt(&token.plain, word))
        };
        here.iter().zip(&phrase.words).all(is_same).then_some(end)
    }

    /// Whether a word is another one, or that with one wrong letter behind the first.
    fn is_spelt(&self, written: &str, word: &str) -> bool {
        if written == word {
            return true;
        }
        // Every word of a diary is compared with many others: the cheapest comparison comes first.
        let letter = if written.is_ascii() && word.is_ascii() { 1 } else { char::MAX.len_utf8() };
        let may_be = word.len() >= LEAST_MISSPELT
            && written.len().abs_diff(word.len()) <= letter
            && written.chars().next() == word.chars().next();
        may_be
            && word.chars().count() >= LEAST_MISSPELT
            && is_a_letter_off(written, word)
            && !self.never.0.iter().any(|never| never == written)
    }

    /// Whether the words from one to another are denied: *no crash*, *no headache or dizziness*.
    fn is_denied(&self, tokens: &[Token<'_>], start: usize, end: usize) -> bool {
        let Some(clause) = tokens.get(start).map(|token| token.clause) else { return false };
        let of_clause = |index: usize| tokens.get(index).filter(|token| token.clause == clause);
        if of_clause(end).is_some_and(|token| self.free.has(token)) {
            return true;
        }
        let mut at = start;
        while let Some(before) = at.checked_sub(1) {
            let Some(token) = of_clause(before) else { return false };
            if self.not.has(token) {
                return true;
            }
            if self.or.has(token) {
                // Something asked for before it: if that is denied, so is this.
                let all = [&self.signs, &self.doubtful, &self.hurt, &self.crash];
                let ends_here = |other: &usize| {
                    let token = tokens.get(*other);
                    let mut here =
                        token.into_iter().flat_map(|token| all.iter().flat_map(|all| all.at(token)));
                    here.any(|phrase| self.end_of(tokens, *other, phrase) == Some(before))
                };
                let Some(other) = (0..before).rev().find(ends_here) else { return false };
                at = other;
            } else if self.between.has(token) {
                at = before;
            } else {
                return false;
            }
        }
        false
    }

    /// Whether it is about a thing and no part of a body, around it or in place of its `*`: *cannot feel any
    /// difference*, *the engine overheated*.
    fn is_of_a_thing(&self, tokens: &[Token<'_>], here: &Range<usize>) -> bool {
        let has = |words: &Words| near(tokens, here).any(|(_, token)| words.has(token));
        has(&self.things) && !has(&self.body)
    }

    /// The words from a phrase to a limb near it that is not part of a thing's name: *swollen wrist*, and not *broken hand
    /// guard*.
    fn with_limb(&self, tokens: &[Token<'_>], here: &Range<usize>) -> Option<Range<usize>> {
        let names_a_thing = |at: usize| tokens.get(at).is_some_and(|token| self.named.has(token));
        let (limb, _) = near(tokens, here).find(|(at, token)| {
            self.limb.has(token)
                && !names_a_thing(at + 1)
                && !at.checked_sub(1).is_some_and(names_a_thing)
                && !self.is_denied(tokens, *at, at + 1)
        })?;
        Some(limb.min(here.start)..here.end.max(limb + 1))
    }
}

/// The words of a phrase's clause around it, and the place of each.
fn near<'t, 's>(
    tokens: &'t [Token<'s>],
    here: &Range<usize>,
) -> impl Iterator<Item = (usize, &'t Token<'s>)> {
    let clause = tokens.get(here.start).map(|token| token.clause);
    let around = here.start.saturating_sub(NEAR)..here.end + NEAR;
    let is_near =
        move |(at, token): &(usize, &Token<'_>)| Some(token.clause) == clause && around.contains(at);
    tokens.iter().enumerate().filter(is_near)
}

/// The words of a text, each with its clause: a comma, a full stop and an empty line end one.
fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut all: Vec<Token<'_>> = Vec::new();
    let mut clause = 0;
    let mut word: Option<Range<usize>> = None;
    let mut was_line_end = false;
    let end = text.len();
    for (at, letter) in text.char_indices().chain(std::iter::once((end, ' '))) {
        if letter.is_alphanumeric() {
            let behind = at + letter.len_utf8();
            word.get_or_insert(at..behind).end = behind;
            was_line_end = false;
            continue;
        }
        // *can't* is one word.
        if is_apostrophe(letter) && word.is_some() {
            continue;
        }
        if let Some(word) = word.take() {
            let (from, raw) = (word.start, text.get(word).unwrap_or_default());
            all.push(Token { plain: without_accents(raw), raw, from, clause });
        }
        if matches!(letter, '.' | ',' | ';' | ':' | '!' | '?' | '(' | ')' | '–' | '—' | '|')
            || (letter == '\n' && was_line_end)
        {
            clause += 1;
        }
        was_line_end = letter == '\n' || (was_line_end && letter.is_whitespace());
    }
    all
}

fn is_apostrophe(letter: char) -> bool {
    matches!(letter, '\'' | '\u{2019}')
}

/// A word in lower case, without apostrophes.
fn small(raw: &str) -> String {
    raw.replace(is_apostrophe, "").to_lowercase()
}

/// Whether a word is all in lower case without accents.
fn is_plain(word: &str) -> bool {
    word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
}

/// A word in lower case, without apostrophes and accents.
fn without_accents(raw: &str) -> Cow<'_, str> {
    if is_plain(raw) {
        return Cow::Borrowed(raw);
    }
    let plain: String = small(raw).chars().map(without_accent).collect();
    Cow::Owned(plain.replace('ß', "ss"))
}

/// A word in lower case without accents: most are already.
pub(super) fn plain(word: &str) -> String {
    if is_plain(word) {
        return word.to_owned();
    }
    tokens(word).iter().map(|token| token.plain.as_ref()).collect()
}

pub(super) fn without_accent(letter: char) -> char {
    match letter {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => 'a',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' => 'o',
        'ù' | 'ú' | 'û' | 'ü' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        other => other,
    }
}
