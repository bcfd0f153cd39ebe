//! A feeling in a rider's own words: which complaints, where, and how strong.
//!
//! Case, commas, order and endings do not matter; the ways of saying things are data. What is not understood is kept as
//! it was written. A text gets one finding at most, and never an error: the words are the rider's.

mod ear;
mod findings;
mod lexicon;
mod made;
#[rustfmt::skip]
pub(super) mod ready;

use crate::book::{Book, Day};
use crate::finding::Finding;
use crate::source::Span;
use crate::vocabulary::values::{Texts, Written};

use super::data::Said;
use super::parts::Advice;
use super::phrases::{Saying, Token, tokens};

pub use ear::Ear;
pub use findings::check;
use findings::{another, left_over, no_strength, twice};
use lexicon::{Lexicon, List, Meaning};

/// Separates what is to be understood from words that are only kept.
const FREE_TEXT: &str = " - ";

const STRENGTHS: std::ops::RangeInclusive<u64> = 1..=5;

/// How many words a denial reaches, or a word for what is over.
const REACH: usize = 3;

/// A shorter word is not a slip for another.
const LEAST_SLIP: usize = 4;

/// One complaint of a ride.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feel {
    /// Its word in the advice.
    pub complaint: String,
    /// A place of the advice, or one of the track's own sections.
    pub place: Option<String>,
    /// 1 to 5; `None` where none was given.
    pub strength: Option<u8>,
    /// The rider's own words, where they say more than what was understood; may be empty.
    pub words: String,
    pub span: Span,
}

/// What is understood of one rider.
struct Hearing<'a> {
    advice: &'a Advice,
    lexicon: Lexicon,
}

/// Words of a text that have a meaning.
struct Heard<'a> {
    meaning: Meaning<'a>,
    /// The first of them, and the one behind the last.
    from: usize,
    to: usize,
}

/// What was understood of a text.
#[derive(Default)]
struct Understood {
    feels: Vec<Feel>,
    finding: Option<Finding>,
}

impl<'a> Hearing<'a> {
    /// By the words of an advice file, with those of the rider's own language beside English.
    fn new(advice: &'a Advice, own: Option<&Said>) -> Self {
        let lexicon = match (advice, own) {
            (Advice::Shipped, None) => ready::english(),
            _ => Lexicon::new(advice, own),
        };
        Self { advice, lexicon }
    }

    /// The words of a text, each with the lists that it is on.
    fn tokens<'t>(&self, text: &'t str) -> Vec<Token<'t>> {
        let mut tokens = tokens(text);
        tokens.iter_mut().for_each(|token| token.lists = self.lexicon.lists(&token.text));
        tokens
    }

    fn understand_all(&self, texts: &Texts, sections: &[Section<'_>]) -> Vec<Feel> {
        texts.values.iter().flat_map(|text| self.understand(text, sections).feels).collect()
    }

    fn understand(&self, written: &Written, sections: &[Section<'_>]) -> Understood {
        let closed = before_free_text(&written.text);
        let free =
            written.text.strip_prefix(closed).and_then(|rest| rest.strip_prefix(FREE_TEXT)).unwrap_or("");
        let text = Listened { tokens: self.tokens(closed), written };
        let (heard, section) = self.hear(&text.tokens, sections);
        let is_heard = |at: usize| heard.iter().any(|heard| (heard.from..heard.to).contains(&at));
        let is_of_section = |at: usize| section.is_some_and(|(_, from, to)| (from..to).contains(&at));
        let strengths = strengths(&text.tokens, &heard);
        let unknown: Vec<&Token<'_>> = text
            .tokens
            .iter()
            .enumerate()
            .filter(|(at, token)| {
                let is_word = token.number().is_none() && !is_small(token);
                is_word && !is_heard(*at) && !is_of_section(*at)
            })
            .map(|(_, token)| token)
            .collect();
        let complaints: Vec<&Heard<'_>> =
            heard.iter().filter(|heard| matches!(heard.meaning, Meaning::Complaint(_))).collect();
        if complaints.is_empty() {
            let is_content = heard.iter().any(|heard| heard.meaning == Meaning::Content);
            let finding = (!is_content).then(|| self.no_complaint(&text, &unknown));
            return Understood { feels: Vec::new(), finding };
        }
        let words = if unknown.is_empty() { free.trim() } else { written.text.as_str() };
        let mut understood = Understood::default();
        let mut is_twice = None;
        for part in parts(&text.tokens, &heard) {
            let within = |at: usize| part.contains(&at);
            let own: Vec<&&Heard<'_>> = complaints.iter().filter(|heard| within(heard.from)).collect();
            let mut places: Vec<&str> = Vec::new();
            for heard in heard.iter().filter(|heard| within(heard.from)) {
                match heard.meaning {
                    Meaning::Place(place) if !places.contains(&place) => places.push(place),
                    _ => {}
                }
            }
            if let Some((name, ..)) = section.filter(|(_, from, _)| places.is_empty() && within(*from)) {
                places.push(name);
            }
            let strong: Vec<&(usize, u8)> = strengths.iter().filter(|(at, _)| within(*at)).collect();
            // With several complaints for one strength, or several strengths, none of them can be assigned.
            let strength = match strong.as_slice() {
                [(_, strength)] if own.len() == 1 => Some(*strength),
                [] => None,
                [.., (at, _)] => {
                    is_twice = is_twice.or(text.tokens.get(*at));
                    None
                }
            };
            for heard in own.into_iter().filter(|heard| !is_denied(heard, &text.tokens, &is_heard)) {
                let Meaning::Complaint(complaint) = heard.meaning else { continue };
                let places = if places.is_empty() {
                    vec![None]
                } else {
                    places.iter().map(|place| Some((*place).to_owned())).collect()
                };
                for place in places {
                    let is_said = understood
                        .feels
                        .iter()
                        .any(|feel| feel.complaint == complaint && feel.place == place);
                    if !is_said {
                        understood.feels.push(Feel {
                            complaint: complaint.to_owned(),
                            place,
                            strength,
                            words: words.to_owned(),
                            span: written.span,
                        });
                    }
                }
            }
        }
        merge(&mut understood.feels);
        understood.finding = self
            .slip(&text, &unknown)
            .or_else(|| no_strength(&text, &strengths, &heard))
            .or_else(|| {
                let mut twice = strengths.iter().filter(|_| is_twice.is_some());
                twice.find_map(|(at, _)| another(&text, &unknown, text.tokens.get(*at)?, &heard))
            })
            .or_else(|| is_twice.map(|token| twice(&text, token)))
            .or_else(|| left_over(&text, &is_heard, &is_of_section));
        understood
    }

    /// What is said, from the left: the longest phrase at each place, and the track's own sections.
    fn hear<'s>(
        &self,
        tokens: &[Token<'_>],
        sections: &[Section<'s>],
    ) -> (Vec<Heard<'_>>, Option<(&'s str, usize, usize)>) {
        let mut heard = Vec::new();
        let mut at = 0;
        while let Some(rest) = tokens.get(at..).filter(|rest| !rest.is_empty()) {
            let mut alike = rest.first().into_iter().flat_map(|token| self.lexicon.ways(token.stem()));
            let said = alike.find_map(|(phrase, meaning)| Some((phrase.matches(rest, is_small)?, meaning)));
            match said {
                Some((length, meaning)) => {
                    heard.push(Heard { meaning, from: at, to: at + length });
                    at += length;
                }
                None => at += 1,
            }
        }
        let section = sections.iter().find_map(|(name, line)| {
            let phrase = Saying::read(line);
            (0..tokens.len()).find_map(|at| {
                let length = phrase.matches(tokens.get(at..)?, is_small)?;
                Some((*name, at, at + length))
            })
        });
        (heard, section)
    }
}

/// The clauses of a text, each with a complaint. A clause without one belongs to the clause before, else to
/// the one behind.
fn parts(tokens: &[Token<'_>], heard: &[Heard<'_>]) -> Vec<std::ops::Range<usize>> {
    let is_inside = |at: usize| heard.iter().any(|heard| heard.from < at && at < heard.to);
    let has_complaint = |part: &std::ops::Range<usize>| {
        heard.iter().any(|heard| matches!(heard.meaning, Meaning::Complaint(_)) && part.contains(&heard.from))
    };
    let mut starts: Vec<usize> = vec![0];
    for (at, pair) in tokens.windows(2).enumerate() {
        let [before, token] = pair else { continue };
        let at = at + 1;
        let is_joined = List::Joins.has(token);
        if !is_inside(at) && (before.clause != token.clause || is_joined) {
            starts.push(at);
        }
    }
    let ends = starts.iter().skip(1).copied().chain([tokens.len()]);
    let mut parts: Vec<std::ops::Range<usize>> = Vec::new();
    for part in starts.iter().copied().zip(ends).map(|(from, to)| from..to) {
        match parts.last_mut() {
            Some(last) if !has_complaint(&part) || !has_complaint(last) => last.end = part.end,
            _ => parts.push(part),
        }
    }
    parts
}

/// Numbers that can be strengths, with their places.
fn strengths(tokens: &[Token<'_>], heard: &[Heard<'_>]) -> Vec<(usize, u8)> {
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let number = token.number().filter(|number| STRENGTHS.contains(number));
        let Some(number) = number.and_then(|number| u8::try_from(number).ok()) else { continue };
        // In *mid-corner 4* the corner is not counted.
        let is_of_phrase = heard.iter().any(|heard| heard.to == at && heard.to - heard.from > 1);
        if (is_of_phrase || !is_counted(tokens, at)) && !is_most(tokens, at) {
            found.push((at, number));
        }
    }
    found
}

/// Whether a number counts turns, laps or millimetres.
fn is_counted(tokens: &[Token<'_>], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|before| tokens.get(before));
    let counts = |token: &Token<'_>| List::Counted.has(token);
    // *Lap 4* is counted; *after two laps 4* is not.
    let is_one = |token: &Token<'_>| !token.text.ends_with('s');
    before.is_some_and(|token| counts(token) && is_one(token)) || tokens.get(at + 1).is_some_and(counts)
}

/// Whether the rider says that it was not so, or is over.
fn is_denied(heard: &Heard<'_>, tokens: &[Token<'_>], is_heard: &impl Fn(usize) -> bool) -> bool {
    let Some(first) = tokens.get(heard.from) else { return false };
    let is_of = |at: usize, list: List| {
        let token = tokens.get(at).filter(|token| token.clause == first.clause && !is_heard(at));
        token.is_some_and(|token| list.has(token))
    };
    (heard.from.saturating_sub(REACH)..heard.from).any(|at| is_of(at, List::NotSo))
        || (heard.to..heard.to + REACH).any(|at| is_of(at, List::IsOver))
}

fn is_small(token: &Token<'_>) -> bool {
    List::Small.has(token) || List::Joins.has(token)
}

/// What is to be understood of a text.
fn before_free_text(text: &str) -> &str {
    text.split_once(FREE_TEXT).map_or(text, |(closed, _)| closed)
}

/// Whether a number is the 5 of *3 of 5*.
fn is_most(tokens: &[Token<'_>], at: usize) -> bool {
    let token = |back: usize| at.checked_sub(back).and_then(|at| tokens.get(at));
    let is_number = |token: Option<&Token<'_>>| token.is_some_and(|token| token.number().is_some());
    let is_of = token(1).is_some_and(|token| token.text == "of");
    let is_five = tokens.get(at).and_then(Token::number) == Some(*STRENGTHS.end());
    is_five && (is_number(token(1)) || is_of && (is_number(token(2)) || is_number(token(3))))
}

/// A part of a track, and how a text names it.
type Section<'b> = (&'b str, String);

/// The sections of a day's track.
fn sections<'b>(book: &'b Book, day: &Day) -> Vec<Section<'b>> {
    let block = book.track(day).and_then(|track| track.track_block());
    let sections = block.and_then(|block| block.sections.as_ref());
    let names = sections.iter().flat_map(|texts| &texts.values).map(|section| section.text.as_str());
    names.filter_map(|name| Some((name, Saying::line(name)?))).collect()
}

/// A complaint with a place and the same one without, in one text, are one: with the place, and with either's
/// strength.
fn merge(feels: &mut Vec<Feel>) {
    let bare: Vec<Feel> = feels.iter().filter(|feel| feel.place.is_none()).cloned().collect();
    for bare in bare {
        let is_placed = |feel: &Feel| feel.complaint == bare.complaint && feel.place.is_some();
        if !feels.iter().any(is_placed) {
            continue;
        }
        for placed in feels.iter_mut().filter(|feel| is_placed(feel)) {
            placed.strength = placed.strength.or(bare.strength);
        }
        feels.retain(|feel| *feel != bare);
    }
}

/// A text and its words.
struct Listened<'t> {
    tokens: Vec<Token<'t>>,
    written: &'t Written,
}

impl Listened<'_> {
    /// The place of a word. A text whose place in the file is longer than itself and its quotes has escapes; then it
    /// is the place of the whole value.
    fn span(&self, token: &Token<'_>) -> Span {
        let span = self.written.span;
        let is_plain = (span.end - span.start) as usize == self.written.text.len() + 2;
        let start = span.start as usize + 1;
        if is_plain { Span::new(span.file, start + token.from, start + token.to) } else { span }
    }
}
