//! Words of injury and of a crash in what a rider wrote.
//!
//! Which words these are is data. In doubt the answer is yes: a rider asked once too often rides an hour later; one who is
//! not asked may ride with a concussion.

mod looks;
mod made;
mod phrases;
#[rustfmt::skip]
mod ready;
pub(super) mod tokens;

use std::ops::Range;

use crate::finding::is_a_letter_off;

use super::table::{Keys, Laid, Takes, table};
use Takes::Text;

use looks::{LEAST_MISSPELT, Looks};
use phrases::{ANY_WORD, Phrase, Phrases, Words};
use tokens::{Token, any_word, clauses, plain};

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
    /// Phrases with a word of a crash in them that mean no crash: *prueba de caída*.
    no_crash: Phrases = "no_crash", Text;
    /// Phrases with a sign in them that are about the machine: *numb front end*.
    no_sign: Phrases = "no_sign", Text;
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

/// What was found in a text, in lower case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub words: String,
    /// The bytes of the text.
    pub at: Range<usize>,
}

/// What is looked for in what a rider wrote.
#[derive(Debug, Clone, Copy)]
pub enum Sought {
    Sign,
    Crash,
}

impl Injury {
    /// The words that ship.
    pub fn shipped() -> Self {
        ready::injury()
    }

    /// The first sign of an injury in a text.
    pub fn sign(&self, text: &str) -> Option<Found> {
        self.find(Sought::Sign, text)
    }

    /// The first word of a crash in a text.
    pub fn crash(&self, text: &str) -> Option<Found> {
        self.find(Sought::Crash, text)
    }

    /// The first of what is looked for in a text.
    pub fn find(&self, sought: Sought, text: &str) -> Option<Found> {
        // Most texts have no such word at all.
        let may_hold = self.may_hold(sought, text);
        let is_near = |looks: &Looks, word: &str| self.is_near(sought, looks, word);
        let mut clauses = may_hold.then(|| clauses(text, is_near))?;
        clauses.find_map(|clause| self.find_in_clause(sought, &clause.tokens()))
    }

    /// Whether a text may hold it. That is known much sooner than where it stands, and the answer is never wrongly no.
    pub fn may_hold(&self, sought: Sought, text: &str) -> bool {
        any_word(text, |looks, word| self.is_near(sought, looks, word))
    }

    /// Whether a clause with a word that looks so may hold it. The word is as written.
    fn is_near(&self, sought: Sought, looks: &Looks, word: &str) -> bool {
        let is_spelt = |telling: &str| self.is_spelt(&plain(word), telling);
        match sought {
            Sought::Sign => Phrases::any_near([&self.signs, &self.doubtful, &self.hurt], looks, is_spelt),
            Sought::Crash => Phrases::any_near([&self.crash], looks, is_spelt),
        }
    }

    fn find_in_clause(&self, sought: Sought, tokens: &[Token<'_>]) -> Option<Found> {
        if matches!(sought, Sought::Crash) {
            return self.first(tokens, &self.crash, |here| {
                (!self.is_part_of(&self.no_crash, tokens, &here)).then_some(here)
            });
        }
        let is_sign = |here| (!self.is_part_of(&self.no_sign, tokens, &here)).then_some(here);
        let plain = self.first(tokens, &self.signs, is_sign);
        let is_of_no_thing = |here| (!self.is_of_a_thing(tokens, &here)).then_some(here);
        let doubtful = self.first(tokens, &self.doubtful, is_of_no_thing);
        let hurt = self.first(tokens, &self.hurt, |here| self.with_limb(tokens, &here));
        plain.into_iter().chain(doubtful).chain(hurt).min_by_key(|found| found.at.start)
    }

    /// Whether words are part of a phrase that means something else.
    fn is_part_of(&self, others: &Phrases, tokens: &[Token<'_>], here: &Range<usize>) -> bool {
        (here.start.saturating_sub(NEAR)..=here.start).any(|start| {
            let phrases = tokens.get(start).into_iter().flat_map(|token| others.at(token));
            let mut ends = phrases.filter_map(|phrase| self.end_of(tokens, start, phrase));
            ends.any(|end| end >= here.end)
        })
    }

    /// The first of some phrases in a clause that is not denied. `meant` gives the words that mean it; `None` where it is
    /// not meant.
    fn first(
        &self,
        tokens: &[Token<'_>],
        phrases: &Phrases,
        meant: impl Fn(Range<usize>) -> Option<Range<usize>>,
    ) -> Option<Found> {
        // Looked for in vain in most clauses: they are near to a phrase of another list.
        if !tokens
            .iter()
            .any(|token| Phrases::any_near([phrases], &token.looks, |word| self.is_spelt(&token.plain, word)))
        {
            return None;
        }
        tokens.iter().enumerate().find_map(|(start, token)| {
            let mut ends = phrases.at(token).filter_map(|phrase| self.end_of(tokens, start, phrase));
            let here = ends.find_map(|end| {
                let is_denied = self.is_denied(tokens, start, end);
                (!is_denied).then(|| meant(start..end)).flatten()
            })?;
            let here = tokens.get(here)?;
            let words: Vec<String> = here.iter().map(Token::written).collect();
            Some(Found { words: words.join(" "), at: here.first()?.at().start..here.last()?.at().end })
        })
    }

    /// Where a phrase ends that begins at a word.
    fn end_of(&self, tokens: &[Token<'_>], start: usize, phrase: Phrase<'_>) -> Option<usize> {
        let mut end = start;
        for word in phrase.words() {
            let token = tokens.get(end)?;
            if word != ANY_WORD && !self.is_spelt(&token.plain, word) {
                return None;
            }
            end += 1;
        }
        Some(end)
    }

    /// Whether a word is another one, or that with one wrong letter behind the first.
    fn is_spelt(&self, written: &str, word: &str) -> bool {
        if written == word {
            return true;
        }
        // The cheapest comparison comes first.
        let letter = if written.is_ascii() && word.is_ascii() { 1 } else { char::MAX.len_utf8() };
        let may_be = word.len() >= LEAST_MISSPELT
            && written.len().abs_diff(word.len()) <= letter
            && written.chars().next() == word.chars().next();
        may_be
            && word.chars().count() >= LEAST_MISSPELT
            && is_a_letter_off(written, word)
            && !self.never.has_word(written)
    }

    /// Whether the words from one to another are denied: *no crash*, *no headache or dizziness*.
    fn is_denied(&self, tokens: &[Token<'_>], start: usize, end: usize) -> bool {
        if tokens.get(end).is_some_and(|token| self.free.has(token)) {
            return true;
        }
        let mut at = start;
        while let Some(before) = at.checked_sub(1) {
            let Some(token) = tokens.get(before) else { return false };
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

/// The words of a clause around a phrase, and the place of each.
fn near<'t, 's>(
    tokens: &'t [Token<'s>],
    here: &Range<usize>,
) -> impl Iterator<Item = (usize, &'t Token<'s>)> {
    let around = here.start.saturating_sub(NEAR)..(here.end + NEAR).min(tokens.len());
    around.clone().zip(tokens.get(around).unwrap_or_default())
}
