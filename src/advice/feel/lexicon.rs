//! The words in which riders say what they felt, and what each of them means.

use std::borrow::Cow;

use crate::advice::data::{Said, SaidWords, Ways};
use crate::advice::parts::Advice;
use crate::advice::phrases::{Saying, Token};

/// Sets of words that matter to a complaint, and of words that do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum List {
    Small,
    Joins,
    NotSo,
    IsOver,
    Better,
    Same,
    Worse,
    Parts,
    At,
    NoPlace,
    Counted,
}

impl List {
    const fn bit(self) -> u16 {
        1 << self as u16
    }

    /// Whether a word of a text is on it.
    pub fn has(self, token: &Token<'_>) -> bool {
        token.lists & self.bit() != 0
    }
}

/// Where data has a list.
type OfData = fn(&SaidWords) -> &Vec<String>;

/// Each list with the letter that stands for it.
const LISTS: [(List, char, OfData); 11] = [
    (List::Small, 's', |words| &words.small),
    (List::Joins, 'j', |words| &words.joins),
    (List::NotSo, 'n', |words| &words.not_so),
    (List::IsOver, 'o', |words| &words.is_over),
    (List::Better, 'b', |words| &words.better),
    (List::Same, 'e', |words| &words.same),
    (List::Worse, 'w', |words| &words.worse),
    (List::Parts, 'p', |words| &words.parts),
    (List::At, 'a', |words| &words.at),
    (List::NoPlace, 'x', |words| &words.no_place),
    (List::Counted, 'c', |words| &words.counted),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning<'a> {
    Complaint(&'a str),
    Place(&'a str),
    /// There is nothing to complain of.
    Content,
}

/// The words of riders of one language, beside English.
///
/// It is texts and numbers, so that the one that ships can be made ready beforehand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Lexicon {
    /// Ways of saying something under their first word without its ending; longest first. A line has the meaning and a
    /// phrase.
    pub ways: Lines,
    /// Words under themselves, each with the letters of its lists.
    pub words: Lines,
    /// The single words among the ways, which a slip may resemble; a line each.
    pub singles: Cow<'static, str>,
}

/// Lines that begin with what they stand under and a tab, in that order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Lines {
    pub text: Cow<'static, str>,
    /// Where each begins.
    pub starts: Cow<'static, [u32]>,
}

impl Lines {
    pub const fn ready(text: &'static str, starts: &'static [u32]) -> Self {
        Self { text: Cow::Borrowed(text), starts: Cow::Borrowed(starts) }
    }

    /// Of those under the same, the one given first comes first.
    fn new(mut lines: Vec<(String, String)>) -> Self {
        lines.sort_by(|one, other| one.0.cmp(&other.0));
        lines.dedup();
        let (mut text, mut starts) = (String::new(), Vec::with_capacity(lines.len()));
        for (under, line) in
            lines.iter().filter(|(under, line)| !under.contains(['\t', '\n']) && !line.contains('\n'))
        {
            starts.push(u32::try_from(text.len()).unwrap_or(u32::MAX));
            text.extend([under, "\t", line, "\n"]);
        }
        Self { text: text.into(), starts: starts.into() }
    }

    /// The text from a line on.
    fn rest(&self, start: u32) -> &str {
        self.text.get(start as usize..).unwrap_or_default()
    }

    /// The lines under something.
    fn under<'l>(&'l self, key: &str) -> impl Iterator<Item = &'l str> {
        // A tab comes before every letter, so lines are in the order of what they stand under.
        let order = |start: u32| {
            let rest = self.rest(start).as_bytes();
            let (head, behind) = rest.split_at(rest.len().min(key.len()));
            head.cmp(key.as_bytes()).then_with(|| behind.first().cmp(&Some(&b'\t')))
        };
        let from = self.starts.partition_point(|start| order(*start).is_lt());
        let lines = self.starts.get(from..).unwrap_or_default().iter();
        let (lines, length) = (lines.take_while(move |start| order(**start).is_eq()), key.len());
        lines.filter_map(move |start| self.rest(*start).lines().next()?.get(length + 1..))
    }
}

/// Begins the meaning of a line.
const COMPLAINT: char = 'c';
const PLACE: char = 'p';
const CONTENT: char = '-';

impl<'a> Meaning<'a> {
    fn written(self) -> String {
        match self {
            Self::Complaint(word) => format!("{COMPLAINT}{word}"),
            Self::Place(place) => format!("{PLACE}{place}"),
            Self::Content => CONTENT.to_string(),
        }
    }

    fn read(written: &'a str) -> Option<Self> {
        if let Some(word) = written.strip_prefix(COMPLAINT) {
            return Some(Self::Complaint(word));
        }
        match written.strip_prefix(PLACE) {
            Some(place) => Some(Self::Place(place)),
            None => written.starts_with(CONTENT).then_some(Self::Content),
        }
    }
}

impl Lexicon {
    pub const fn ready(ways: Lines, words: Lines, singles: &'static str) -> Self {
        Self { ways, words, singles: Cow::Borrowed(singles) }
    }

    /// Of an advice file, with the words of a language beside English.
    pub fn new(advice: &Advice, own: Option<&Said>) -> Self {
        let said: Vec<&Said> = [&advice.sayings().said].into_iter().chain(own).collect();
        fn of<'s>(said: &[&'s Said], list: fn(&'s Said) -> &'s [Ways]) -> Vec<(&'s str, &'s str)> {
            let all = said.iter().flat_map(|said| list(said));
            all.flat_map(|it| it.ways.iter().map(move |way| (it.of.as_str(), way.as_str()))).collect()
        }
        let names = advice.words().into_iter().map(|name| (Meaning::Complaint(name), name));
        let places = advice.sayings().places.iter().map(|place| (Meaning::Place(place), place.as_str()));
        let ways =
            of(&said, |said| &said.complaints).into_iter().map(|(word, way)| (Meaning::Complaint(word), way));
        let where_else =
            of(&said, |said| &said.places).into_iter().map(|(place, way)| (Meaning::Place(place), way));
        let content = said.iter().flat_map(|said| &said.words.content);
        let content = content.map(|way| (Meaning::Content, way.as_str()));
        let all: Vec<(Meaning<'_>, &str)> =
            names.chain(places).chain(ways).chain(where_else).chain(content).collect();
        let mut singles = String::new();
        for (_, way) in all.iter().filter(|(_, way)| way.chars().all(char::is_alphanumeric)) {
            singles.extend([way, "\n"]);
        }
        let mut phrases: Vec<(String, Meaning<'_>)> =
            all.into_iter().filter_map(|(meaning, way)| Some((Saying::line(way)?, meaning))).collect();
        phrases.sort_by_cached_key(|(line, _)| std::cmp::Reverse(Saying::read(line).len()));
        let line = |(phrase, meaning): (String, Meaning<'_>)| {
            (Saying::read(&phrase).first().to_owned(), format!("{}\t{phrase}", meaning.written()))
        };
        let ways = Lines::new(phrases.into_iter().map(line).collect());
        Self { ways, words: words(&said), singles: singles.into() }
    }

    /// The lists that a word is on, a bit each.
    pub fn lists(&self, word: &str) -> u16 {
        let letters = || self.words.under(word).flat_map(str::chars);
        let on = letters().filter_map(|letter| LISTS.iter().find(|(_, own, _)| *own == letter));
        on.fold(0, |bits, (list, ..)| bits | list.bit())
    }

    /// The ways of saying something that begin with a word, longest first.
    pub fn ways<'l>(&'l self, first: &str) -> impl Iterator<Item = (Saying<'l>, Meaning<'l>)> {
        self.ways.under(first).filter_map(|line| {
            let (meaning, phrase) = line.split_once('\t')?;
            Some((Saying::read(phrase), Meaning::read(meaning)?))
        })
    }

    pub fn singles(&self) -> impl Iterator<Item = &str> {
        self.singles.lines()
    }
}

fn words(said: &[&Said]) -> Lines {
    let all = said.iter().flat_map(|said| LISTS.iter().map(|(_, letter, list)| (letter, list(&said.words))));
    let lines = all.flat_map(|(letter, list)| list.iter().map(|word| (word.clone(), letter.to_string())));
    Lines::new(lines.collect())
}
