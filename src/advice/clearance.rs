//! Who is not to ride, and what must be looked at after a crash.

use std::cell::LazyCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use memchr::memchr3_iter;
use serde::Serialize;

use crate::book::{Book, Day};
use crate::finding::Finding;
use crate::notebook::{Node, Table, Value};
use crate::quantity::Units;
use crate::season::Place;
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Checked, LOOK_AFTER_CRASH, LOOK_SIGNS, Stint, Typed};
use crate::vocabulary::values::Texts;

use super::answer::Location;
use super::codes;
use super::injury::{Found, Injury, Sought};
use super::parts::Advice;

/// A rider with words of injury on file whom nobody has cleared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unfit {
    /// What comes first on the rider's pages.
    pub say: String,
    /// What others are shown, and nothing more.
    pub others: String,
    /// The rider's words that are the sign, for the rider's own pages.
    pub words: String,
    pub date: String,
    pub at: Location,
    #[serde(skip)]
    text: String,
}

impl Unfit {
    /// In one line, for the rider's own pages.
    pub fn text(&self) -> String {
        self.text.clone()
    }
}

/// Words of an injury or of a crash in something that a rider wrote.
struct Piece {
    found: Found,
    /// The place of the words.
    place: Span,
    /// The place of the whole text.
    span: Span,
    /// Whether it is in a ride's own block.
    is_of_ride: bool,
}

/// A place in a book: the day, and how far down its file. Unlike [`Place`], prose has one too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Mark {
    pub day: usize,
    pub offset: u32,
}

impl Mark {
    /// Where a block begins.
    pub fn of(book: &Book, place: Place) -> Self {
        let block = book.days.get(place.day).and_then(|day| day.notebook.blocks.get(place.block));
        Self { day: place.day, offset: block.map_or(0, |block| block.header().span.start) }
    }

    /// The end of a day.
    pub fn end_of(day: usize) -> Self {
        Self { day, offset: u32::MAX }
    }
}

/// Whether the rider of a day is not to ride, by the day's place in the book.
///
/// Until somebody cleared the rider it holds on every day, earlier ones too. Once cleared, it holds from its own day to
/// the day of the clearing.
pub fn unfit(book: &Book, advice: &Advice, day: usize) -> Option<Unfit> {
    let asked = book.days.get(day)?;
    let sign = standing_sign(book, asked, &|_, day| Arc::new(signs(book, advice, day)))?;
    Some(told(book, advice.injury(), &sign, &book.units_for(asked.rider.as_deref())))
}

/// For pages that others see as well: which riders of some days are not cleared at the end of their last one. One line each,
/// and nothing of why.
pub fn not_cleared(book: &Book, advice: &Advice, days: impl IntoIterator<Item = usize>) -> Vec<String> {
    let of = |_: usize, day: &Day| Arc::new(signs(book, advice, day));
    let stopped = stopped(book, days, &of).into_iter();
    let line = |(day, _): (&Day, Sign)| {
        let units = &book.about.units;
        let rider =
            book.rider(day).map_or_else(|| units.say(&say!("the rider")), |rider| rider.title.clone());
        format!("{rider}: {}", units.word(&advice.injury().others))
    };
    stopped.map(line).collect()
}

/// The findings that riders are not cleared to ride, one each, for those who keep the book. `signs` has each day's, in the
/// order of the book.
pub fn check_riders(book: &Book, advice: &Advice, signs: &[Arc<Signs>]) -> Vec<Finding> {
    let of = |day: usize, _: &Day| signs.get(day).map(Arc::clone).unwrap_or_default();
    let stopped = stopped(book, 0..book.days.len(), &of).into_iter();
    let finding = |(_, sign): (&Day, Sign)| {
        let headline = say!(
            "{others}, since {date}",
            others = Message::word(advice.injury().others.clone()),
            date = sign.date
        );
        Finding::new(&codes::NOT_CLEARED, sign.span, headline).help(say!(
            "somebody qualified clears them; then a later day's `checked` says `cleared = \"by whom, when\"`"
        ))
    };
    stopped.map(finding).collect()
}

/// The riders of some days who are not to ride, each with the last of these days and the sign.
fn stopped<'b>(
    book: &'b Book,
    days: impl IntoIterator<Item = usize>,
    of: &dyn Fn(usize, &Day) -> Arc<Signs>,
) -> Vec<(&'b Day, Sign)> {
    let mut last: BTreeMap<&Option<String>, usize> = BTreeMap::new();
    for index in days {
        if let Some(day) = book.days.get(index) {
            let known = last.entry(&day.rider).or_insert(index);
            *known = index.max(*known);
        }
    }
    let mut last: Vec<usize> = last.into_values().collect();
    last.sort_unstable();
    let days = last.into_iter().filter_map(|index| book.days.get(index));
    days.filter_map(|day| Some((day, standing_sign(book, day, of)?))).collect()
}

/// A sign of an injury, and its place.
struct Sign {
    words: String,
    span: Span,
    date: Date,
}

/// The sign that keeps a day's rider from riding.
fn standing_sign(book: &Book, asked: &Day, of: &dyn Fn(usize, &Day) -> Arc<Signs>) -> Option<Sign> {
    let of_rider = || book.days.iter().enumerate().filter(|(_, day)| day.rider == asked.rider);
    // Most riders have no sign, and nobody asks when they were cleared.
    let clearings: LazyCell<Vec<Date>, _> = LazyCell::new(|| {
        let cleared = of_rider().filter(|(_, day)| clearing(day).is_some());
        cleared.map(|(_, day)| day.date).collect()
    });
    let standing = |date: Date| {
        let cleared = clearings.iter().find(|cleared| **cleared > date);
        cleared.is_none_or(|cleared| date <= asked.date && asked.date < *cleared)
    };
    let mut earlier = None;
    for (index, this) in of_rider() {
        let is_behind = earlier.is_some_and(|earlier| earlier < this.date);
        let signs = of(index, this);
        let sign = if is_behind { &signs.behind_clearing } else { &signs.first };
        let Some((found, span)) = sign else { continue };
        earlier = earlier.or(Some(this.date));
        if standing(this.date) {
            return Some(Sign { words: found.words.clone(), span: *span, date: this.date });
        }
    }
    None
}

/// The block in which a day's rider is cleared.
fn clearing(day: &Day) -> Option<&Checked> {
    let mut checked = day.notebook.all::<Checked>();
    checked.find(|checked| checked.cleared.as_ref().is_some_and(|by| !by.text.trim().is_empty()))
}

fn told(book: &Book, injury: &Injury, Sign { words, span, date }: &Sign, units: &Units) -> Unfit {
    let at = book.sources.start(*span);
    let (file, line) = (book.sources.path(span.file), at.line);
    let stop = units.word(&injury.say);
    let text = units.say(&say!(
        "{stop} ({date}, {file}:{line}: {words}; it holds until a `checked` of a later day says `cleared`)",
        stop,
        date,
        file,
        line,
        words
    ));
    Unfit {
        say: stop,
        others: units.word(&injury.others),
        words: words.clone(),
        date: date.to_string(),
        at: Location { file: file.to_owned(), line, column: at.column },
        text,
    }
}

/// The signs of an injury in a day, whatever earlier days say.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Signs {
    /// The first sign.
    first: Option<(Found, Span)>,
    /// The first sign that is not of the past. Prose above a clearing is about what is being cleared, where there was
    /// something.
    behind_clearing: Option<(Found, Span)>,
}

/// Reads a day for signs of an injury.
pub fn signs(book: &Book, advice: &Advice, day: &Day) -> Signs {
    let cleared = clearing(day).map(|cleared| cleared.header().span.start);
    let is_of_the_past =
        |piece: &Piece| !piece.is_of_ride && cleared.is_some_and(|cleared| piece.span.start < cleared);
    let mut signs = Signs::default();
    for piece in pieces(book, day, advice.injury(), Sought::Sign) {
        let is_past = is_of_the_past(&piece);
        signs.first.get_or_insert_with(|| (piece.found.clone(), piece.place));
        if !is_past {
            signs.behind_clearing = Some((piece.found, piece.place));
            break;
        }
    }
    signs
}

/// A crash of a rider, or with a machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Crash {
    pub mark: Mark,
    pub date: Date,
    pub words: String,
    /// Whether what is due after it was done.
    pub is_seen_to: bool,
}

/// The last crash of a day's rider up to a place, and whether somebody has asked for the signs since.
pub(super) fn crash_of_rider(book: &Book, advice: &Advice, until: Mark) -> Option<Crash> {
    let rider = &book.days.get(until.day)?.rider;
    last_crash(book, advice, until, LOOK_SIGNS, |day| day.rider == *rider)
}

/// The last crash with a day's machine up to a place, whoever rode, and whether the machine was looked over
/// since.
pub(super) fn crash_of_machine(book: &Book, advice: &Advice, until: Mark) -> Option<Crash> {
    let machine = book.days.get(until.day)?.machine.as_ref()?;
    last_crash(book, advice, until, LOOK_AFTER_CRASH, |day| day.machine.as_ref() == Some(machine))
}

fn last_crash(
    book: &Book,
    advice: &Advice,
    until: Mark,
    look: &str,
    is_of: impl Fn(&Day) -> bool,
) -> Option<Crash> {
    let days: Vec<(usize, &Day)> =
        book.days.iter().enumerate().take(until.day + 1).filter(|(_, day)| is_of(day)).collect();
    let (mark, date, words) = days.iter().rev().find_map(|(index, day)| {
        pieces(book, day, advice.injury(), Sought::Crash).into_iter().rev().find_map(|piece| {
            let mark = Mark { day: *index, offset: piece.span.start };
            (mark <= until).then_some((mark, day.date, piece.found.words))
        })
    })?;
    let is_seen_to = days.iter().any(|(index, day)| {
        day.notebook.all::<Checked>().any(|checked| {
            let at = Mark { day: *index, offset: checked.header.span.start };
            let is_named = |done: &Texts| done.values.iter().any(|word| word.text == look);
            at > mark && at <= until && checked.done.as_ref().is_some_and(is_named)
        })
    });
    Some(Crash { mark, date, words, is_seen_to })
}

/// What is found in the texts of a day, in the order of the file: in prose, and in every text of every block except
/// those of `checked`.
fn pieces(book: &Book, day: &Day, injury: &Injury, sought: Sought) -> Vec<Piece> {
    let document = &day.notebook.document;
    let mut all: Vec<Piece> = Vec::new();
    for &span in document.prose.iter() {
        all.extend(injury.find(sought, book.sources.text(span)).map(|found| {
            let start = span.start as usize;
            let place = Span::new(span.file, start + found.at.start, start + found.at.end);
            Piece { found, place, span, is_of_ride: false }
        }));
    }
    let tables = book.tables(&day.notebook);
    for block in document.blocks.iter().filter(|block| block.word != Checked::SPEC.word) {
        // Most blocks have no such word at all, and are not read for their texts.
        let written = book.sources.text(block.body.span);
        if !is_written_otherwise(written.as_bytes()) && !injury.may_hold(sought, written) {
            continue;
        }
        let is_of_ride = block.word == Stint::SPEC.word;
        each_text(&tables.of(block), &mut |text, node| {
            all.extend(injury.find(sought, text).map(|found| {
                // The value may be written with escapes.
                let place = node.place(found.at.clone());
                Piece { found, place, span: node.span, is_of_ride }
            }));
        });
    }
    all.sort_by_key(|piece| piece.span.start);
    all
}

/// Whether texts of a block may be written otherwise than they read, with escapes or over several lines.
fn is_written_otherwise(body: &[u8]) -> bool {
    memchr3_iter(b'\\', b'"', b'\'', body)
        .any(|at| matches!(body.get(at..), Some([b'\\', ..] | [b'"', b'"', ..] | [b'\'', b'\'', ..])))
}

fn each_text(table: &Table<'_>, look: &mut impl FnMut(&str, &Node<'_>)) {
    for entry in &table.entries {
        each_text_of(&entry.value, look);
    }
}

fn each_text_of(node: &Node<'_>, look: &mut impl FnMut(&str, &Node<'_>)) {
    match &node.value {
        Value::Text(text) => look(&text.text, node),
        Value::List(items) => items.iter().for_each(|item| each_text_of(item, look)),
        Value::Table(table) => each_text(table, look),
        Value::Integer(_) | Value::Float(_) | Value::Boolean(_) | Value::Date(_) => {}
    }
}
