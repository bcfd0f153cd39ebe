//! What is told of a feeling that is not understood, or not all of it.

use super::super::codes;
use super::super::phrases::Token;
use super::{
    Ear, Heard, Hearing, LEAST_SLIP, List, Listened, STRENGTHS, Understood, before_free_text, is_counted,
    is_small, sections,
};
use crate::book::{Book, Day};
use crate::finding::{Finding, closest, distance};
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::blocks::{BETTER, SAME, Stint, WORSE};
use crate::vocabulary::values::{Texts, Written};

/// Lists of words that say nothing of a second complaint.
const LISTED: [List; 5] = [List::Parts, List::Counted, List::NotSo, List::IsOver, List::NoPlace];
/// Lists of words behind *at* and the like that are no place.
const BEHIND: [List; 3] = [List::Parts, List::Counted, List::NoPlace];

/// Verdicts, each with the words for it.
const VERDICTS: [(&str, List); 3] = [(BETTER, List::Better), (SAME, List::Same), (WORSE, List::Worse)];

/// What is wrong with the feelings of a day.
pub fn check(book: &Book, day: &Day, ear: &Ear<'_>) -> Vec<Finding> {
    let felt = day.notebook.all::<Stint>().enumerate();
    let felt: Vec<(usize, &Stint, &Texts)> =
        felt.filter_map(|(index, stint)| Some((index, stint, stint.feel.as_ref()?))).collect();
    if felt.is_empty() {
        return Vec::new();
    }
    let (hearing, sections) = (ear.of(book, day), sections(book, day));
    let mut findings = Vec::new();
    for (index, stint, texts) in felt {
        let understood: Vec<Understood> =
            texts.values.iter().map(|text| hearing.understand(text, &sections)).collect();
        // The first stint of a day compares with nothing.
        let may_be_verdict =
            index > 0 && stint.verdict.is_none() && understood.iter().all(|it| it.feels.is_empty());
        let verdict = may_be_verdict.then(|| hearing.verdict(texts)).flatten();
        let is_verdict =
            |text: &Written| verdict.as_ref().is_some_and(|found| text.span.contains(found.span));
        for (text, found) in texts.values.iter().zip(understood) {
            let is_own = |found: &Finding| {
                found.code.name != codes::NO_COMPLAINT.name
                    || !is_verdict(text) && !hearing.is_injury(&text.text)
            };
            findings.extend(found.finding.filter(is_own));
        }
        findings.extend(verdict);
    }
    findings
}

impl Hearing<'_> {
    /// Whether words are of an injury or a crash: no complaint about the machine, and understood.
    fn is_injury(&self, words: &str) -> bool {
        let injury = self.advice.injury();
        injury.sign(words).is_some() || injury.crash(words).is_some()
    }

    /// A feeling without a complaint that compares with the stint before. Where the stint has no verdict, what the change
    /// did would be lost.
    fn verdict(&self, texts: &Texts) -> Option<Finding> {
        texts.values.iter().find_map(|written| {
            let text = Listened { tokens: self.tokens(before_free_text(&written.text)), written };
            if text.tokens.iter().any(|token| List::NotSo.has(token)) {
                return None;
            }
            let meant = |token: &Token<'_>| VERDICTS.iter().find(|(_, list)| list.has(token));
            let (token, (verdict, _)) = text.tokens.iter().find_map(|token| Some((token, meant(token)?)))?;
            let said = &token.text;
            let headline = say!("`{said}` compares with the stint before: that is a verdict", said);
            let finding = Finding::new(&codes::VERDICT, text.span(token), headline);
            let help = say!("write `verdict = \"{verdict}\"`, and in `feel` what it does", verdict);
            // Behind the texts of a list there is a bracket, perhaps some lines further down.
            let behind = Span::new(texts.span.file, texts.span.end as usize, texts.span.end as usize);
            Some(finding.fix(help, behind, format!("\nverdict = \"{verdict}\"")))
        })
    }

    /// A word that is nearly one of those that are understood.
    pub(super) fn slip(&self, text: &Listened<'_>, unknown: &[&Token<'_>]) -> Option<Finding> {
        unknown.iter().find_map(|token| {
            // Whoever crashed is not cramped.
            let near = self.near(token).filter(|_| !self.is_injury(&token.text))?;
            let span = text.span(token);
            let headline = say!("`{token}` is not understood; it is kept as written", token = token.text);
            Some(Finding::new(&codes::UNKNOWN_WORD, span, headline).fix(
                say!("did you mean `{near}`?", near),
                span,
                near.to_owned(),
            ))
        })
    }

    /// The word that was most likely meant. It must be nearer than a name would, since any word may stand here.
    fn near(&self, token: &Token<'_>) -> Option<&str> {
        let word = &*token.text;
        let length = word.chars().count();
        let is_own = [List::NotSo, List::IsOver, List::Counted].iter().any(|list| list.has(token));
        if length < LEAST_SLIP || is_own {
            return None;
        }
        let cap = if length > 6 { 2 } else { 1 };
        let alike = |way: &&str| way.chars().next() == word.chars().next() && way.len() >= LEAST_SLIP;
        let near =
            self.lexicon.singles().filter(alike).filter_map(|way| Some((distance(word, way, cap)?, way)));
        near.min().map(|(_, way)| way)
    }

    pub(super) fn no_complaint(&self, text: &Listened<'_>, unknown: &[&Token<'_>]) -> Finding {
        if let Some(slip) = self.slip(text, unknown) {
            return slip;
        }
        let words = self.advice.words();
        let of_token = |token: &Token<'_>| -> Vec<&str> {
            let begun = |word: &&&str| word.split('-').next() == Some(&*token.text);
            let mut near: Vec<&str> = words.iter().filter(begun).copied().collect();
            near.extend(closest(&token.text, words.iter().copied()));
            near
        };
        let mut near: Vec<&str> = Vec::new();
        for word in unknown.iter().flat_map(|token| of_token(token)) {
            if !near.contains(&word) {
                near.push(word);
            }
        }
        let headline = say!("no complaint is understood here; the words are kept as written");
        let finding = Finding::new(&codes::NO_COMPLAINT, text.written.span, headline);
        let near: Vec<String> = near.into_iter().take(3).map(|word| format!("`{word}`")).collect();
        let finding = if near.is_empty() {
            finding
        } else {
            finding.help(say!("the nearest that is known: {near}", near = near.join(", ")))
        };
        finding.help(say!("`loambook words feel` lists what is understood; other words go into `note`"))
    }
}

fn is_article(word: &str) -> bool {
    matches!(word, "the" | "a" | "an" | "my" | "every" | "each" | "that")
}

fn not_heard(text: &Listened<'_>, token: &Token<'_>, what: &str) -> Finding {
    let word = &token.text;
    let (headline, help) = match what {
        "place" => (
            say!("`{word}` looks like a second place that is not understood; it is kept as written", word),
            say!("a track's notebook can name it under `sections`; other words go after ` - `"),
        ),
        _ => (
            say!(
                "`{word}` looks like a second complaint that is not understood; it is kept as written",
                word
            ),
            say!("`loambook words feel` lists what is understood; other words go after ` - `"),
        ),
    };
    Finding::new(&codes::LEFT_OVER, text.span(token), headline).help(help)
}

/// What looks like a second complaint or place and is not understood. Small words, and words for when, how often and how
/// long, do not count.
pub(super) fn left_over(
    text: &Listened<'_>,
    is_heard: &impl Fn(usize) -> bool,
    is_of_section: &impl Fn(usize) -> bool,
) -> Option<Finding> {
    let is_open = |at: usize| !is_heard(at) && !is_of_section(at);
    // A clause that names a part of the machine and something it does, of which nothing is understood.
    let mut from = 0;
    for clause in text.tokens.chunk_by(|one, next| one.clause == next.clause && !List::Joins.has(next)) {
        let range = from..from + clause.len();
        from = range.end;
        let says_nothing = range.clone().all(is_open);
        let names_a_part = clause.iter().any(|token| List::Parts.has(token));
        let mut own = clause.iter().filter(|token| {
            let is_known = is_small(token) || LISTED.iter().any(|list| list.has(token));
            token.number().is_none() && !is_known
        });
        if let Some(token) = own.next_back().filter(|_| says_nothing && names_a_part) {
            return Some(not_heard(text, token, "complaint"));
        }
    }
    // *at the pylons*: a place that is not on file.
    let place = text.tokens.iter().enumerate().skip(1).find(|(at, token)| {
        let before = (1..=2).filter_map(|back| Some((at.checked_sub(back)?, back)));
        let stands_behind = before.into_iter().any(|(before, back)| {
            let is_led = text
                .tokens
                .get(before)
                .is_some_and(|word| word.clause == token.clause && List::At.has(word) && is_open(before));
            is_led && (back == 1 || text.tokens.get(before + 1).is_some_and(|word| is_article(&word.text)))
        });
        let is_known = is_small(token) || BEHIND.iter().any(|list| list.has(token));
        let is_counting = text.tokens.get(at + 1).is_some_and(|next| List::Counted.has(next));
        stands_behind && is_open(*at) && token.number().is_none() && !is_known && !is_counting
    });
    place.map(|(_, token)| not_heard(text, token, "place"))
}

/// A number above the strengths that can be nothing else: there is no strength, or it is right behind a complaint or a
/// place.
pub(super) fn no_strength(
    text: &Listened<'_>,
    strengths: &[(usize, u8)],
    heard: &[Heard<'_>],
) -> Option<Finding> {
    text.tokens.iter().enumerate().find_map(|(at, token)| {
        let number = token.number().filter(|number| !STRENGTHS.contains(number))?;
        let is_behind = heard.iter().any(|heard| heard.to == at);
        if is_counted(&text.tokens, at) || !strengths.is_empty() && !is_behind {
            return None;
        }
        let headline = say!("a strength of {number} is outside 1 to 5", number);
        Some(
            Finding::new(&codes::STRENGTH, text.span(token), headline)
                .help(say!("write 1 for what is just felt, up to 5 for what is not to be ridden")),
        )
    })
}

/// A strength in a clause of words that are not understood: they are a second complaint.
pub(super) fn another<'t>(
    text: &Listened<'_>,
    unknown: &[&'t Token<'t>],
    strength: &Token<'_>,
    heard: &[Heard<'_>],
) -> Option<Finding> {
    let has_complaint = text.tokens.iter().enumerate().any(|(at, token)| {
        token.clause == strength.clause && heard.iter().any(|heard| (heard.from..heard.to).contains(&at))
    });
    let own = unknown.iter().find(|token| token.clause == strength.clause);
    own.filter(|_| !has_complaint).map(|token| not_heard(text, token, "complaint"))
}

pub(super) fn twice(text: &Listened<'_>, token: &Token<'_>) -> Finding {
    let headline = say!("it is not clear which strength belongs to which complaint");
    Finding::new(&codes::SAID_TWICE, text.span(token), headline)
        .help(say!("write a text for each: `feel = [\"headshake straight 3\", \"harsh braking 2\"]`"))
}
