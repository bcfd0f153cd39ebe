//! The day in the rider's own words, with its figures filled in.

use std::ops::Range;

use crate::book::{Asked, Book, asked};
use crate::figures::tape::Tape;
use crate::figures::{Absent, Bench, Here};
use crate::notebook::Mention;
use crate::physics::statistics::median;
use crate::quantity::Kind;
use crate::season::{Season, State};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, Stint};
use crate::vocabulary::{Named, ReadingName, lookup};

use super::super::say::{Say, wanted};
use super::super::season::{changed, laps_told};
use super::{Desk, Options};

/// The marks around a figure's name in its code span.
const MARKS: [char; 2] = ['`', '@'];

/// The prose of the day's notebook as Markdown; `None` where there is none.
///
/// Photos are left out: they are on their own page.
pub(super) fn diary(desk: &Desk<'_>) -> Option<String> {
    let document = &desk.day.notebook.document;
    let text = desk.book.sources.whole(document.file);
    let mut parts: Vec<(usize, usize, String)> = Vec::new();
    for mention in &document.mentions {
        let (start, end) = with_marks(text, mention.span);
        parts.push((start, end, format!("**{}**", said(desk, mention))));
    }
    parts.extend(document.images.iter().map(|image| {
        let range = image.span.range();
        (range.start, range.end, String::new())
    }));
    parts.sort();

    let mut pieces: Vec<(usize, String)> = done(desk);
    for span in &document.prose {
        let mut prose = String::new();
        let range = span.range();
        let mut from = range.start;
        for (start, end, replacement) in
            parts.iter().filter(|(start, end, _)| range.start <= *start && *end <= range.end)
        {
            prose.push_str(text.get(from..*start).unwrap_or_default());
            prose.push_str(replacement);
            from = *end;
        }
        prose.push_str(text.get(from..range.end).unwrap_or_default());
        pieces.push((range.start, prose));
    }
    pieces.sort();
    let prose: String = pieces.into_iter().map(|(_, text)| text).collect();
    (!prose.trim().is_empty()).then_some(prose)
}

/// A figure span of a day's notebook, and what it shows.
pub(in crate::pages) struct Shown<'a> {
    pub mention: &'a Mention,
    /// The whole code span.
    pub range: Range<usize>,
    /// Markdown.
    pub told: String,
}

/// What the figure spans of a day show; the day by its place in the book.
pub(in crate::pages) fn shown<'a>(book: &'a Book, season: &'a Season, index: usize) -> Vec<Shown<'a>> {
    let (Some(day), Some(replay)) = (book.days.get(index), season.days.get(index)) else { return Vec::new() };
    let units = book.units_for(day.rider.as_deref());
    let (machine, say) = (book.machine(day), Say::new(&units));
    let desk = Desk { book, season, index, day, replay, machine, say, options: Options::default() };
    let text = book.sources.whole(day.notebook.document.file);
    let mentions = &day.notebook.document.mentions;
    let shown = mentions.iter().map(|mention| {
        let (start, end) = with_marks(text, mention.span);
        Shown { mention, range: start..end, told: said(&desk, mention) }
    });
    shown.collect()
}

/// What was changed and why, and how it rode, each at its place in the prose.
fn done(desk: &Desk<'_>) -> Vec<(usize, String)> {
    let mut before = &desk.replay.start;
    let mut all = Vec::new();
    for point in &desk.replay.points {
        let block = desk.day.notebook.blocks.get(point.block);
        let told = match block {
            Some(AnyBlock::Change(change)) => {
                let what = changed(desk.say, desk.machine, &before.differences(&point.state));
                let told = match &change.because {
                    Some(why) => say!("Changed: {what} – {why}", what, why = why.text),
                    None => say!("Changed: {what}", what),
                };
                (!what.is_empty()).then(|| desk.say.text(&told))
            }
            Some(AnyBlock::Stint(stint)) => rode(desk, stint),
            _ => None,
        };
        before = &point.state;
        let place = block.map(|block| block.header().fence.range().start);
        all.extend(place.zip(told).map(|(at, told)| (at, format!("\n\n*{}*\n\n", plain(&told)))));
    }
    all
}

/// A stint in one line: laps, feel, verdict; `None` where it has none of them.
fn rode(desk: &Desk<'_>, stint: &Stint) -> Option<String> {
    let laps = desk.book.laps(stint);
    let mut parts = Vec::new();
    if let (Some(best), Some(median)) = (laps.iter().copied().reduce(f64::min), median(&laps)) {
        let time = |seconds: f64| desk.say.value(Kind::Time, seconds).to_string();
        parts.push(desk.say.text(&say!(
            "{laps}, best {best}, median {median}",
            laps = laps_told(laps.len()),
            best = time(best),
            median = time(median),
        )));
    }
    let feel = stint.feel.iter().flat_map(|feel| &feel.values);
    parts.extend(feel.map(|feel| feel.text.clone()));
    parts.extend(stint.verdict.as_ref().map(|verdict| desk.say.text(&Message::word(verdict.text.clone()))));
    (!parts.is_empty()).then(|| desk.say.text(&say!("Ridden: {what}", what = parts.join("; "))))
}

/// The whole code span of a mention, whose own place is only its name.
pub(in crate::pages) fn with_marks(text: &str, span: Span) -> (usize, usize) {
    let range = span.range();
    let before = text.get(..range.start).unwrap_or_default();
    let behind = text.get(range.end..).unwrap_or_default();
    let start = before.trim_end_matches(|c| MARKS.contains(&c) || c == ' ').len();
    // A space before the code span is not part of it.
    let start = start + before.get(start..).unwrap_or_default().find(MARKS).unwrap_or(0);
    let ticks = behind.len() - behind.trim_start_matches([' ', '`']).len();
    let ticks = behind.get(..ticks).unwrap_or_default().rfind('`').map_or(0, |last| last + 1);
    (start, range.end + ticks)
}

/// What a mention shows: the figure at its place, or what that needs.
fn said(desk: &Desk<'_>, mention: &Mention) -> String {
    let Asked { name, day } = asked(mention);
    let (index, state): (usize, &State) = match day {
        None => (desk.index, desk.replay.at(mention.span.start)),
        Some(other) => {
            let other = desk.book.other_day(Some(desk.day), other);
            let index =
                other.and_then(|other| desk.book.days.iter().position(|day| std::ptr::eq(day, other)));
            match index.and_then(|index| Some((index, desk.season.days.get(index)?))) {
                Some((index, replay)) => (index, replay.end()),
                None => return plain(&mention.name),
            }
        }
    };
    match lookup(name) {
        Some(Named::Figure(figure)) => {
            let Some(here) = Here::of_day(desk.book, desk.season, index, state) else { return plain(name) };
            let tape = Tape::new();
            let figure = Bench::new(here, &tape).figure(figure);
            let told = match figure.id.info().is_against_standard() {
                true => desk.say.against_standard(&figure),
                false => desk.say.told(&figure).map(|told| desk.pump().told(&figure, told)),
            };
            match (told, figure.absent()) {
                (Some(shown), _) => plain(&shown),
                (None, Some(absent @ Absent::Missing(_))) => desk.say.text(&say!(
                    "({name} needs: {wanted})",
                    name,
                    wanted = plain(&desk.say.text(&wanted(absent)))
                )),
                (None, Some(instead @ Absent::Instead(_))) => plain(&desk.say.text(&wanted(instead))),
                (None, Some(absent)) => format!("({name}: {})", plain(&desk.say.text(&wanted(absent)))),
                (None, None) => plain(name),
            }
        }
        Some(Named::Setting(setting)) => match state.setting(setting) {
            Some(held) => {
                let said = desk.pump().setting(setting, &held.value);
                plain(&format!("{} {}", said.value, said.unit.unwrap_or_default()))
            }
            None => desk.say.text(&say!("({name}: not set)", name)),
        },
        Some(Named::Reading(ReadingName::SteeringDrop)) => {
            let drop = state.steering().and_then(|steering| steering.drop.as_ref());
            drop.map_or_else(
                || not_read(desk, name),
                |drop| plain(&desk.say.text(&Message::word(drop.text.clone()))),
            )
        }
        Some(Named::Reading(_)) => {
            let pull = state
                .steering()
                .and_then(|steering| steering.pull.as_ref())
                .and_then(|pull| pull.values.first());
            pull.map_or_else(
                || not_read(desk, name),
                |pull| plain(&desk.say.quantity(&pull.quantity).to_string()),
            )
        }
        None => plain(&mention.name),
    }
}

fn not_read(desk: &Desk<'_>, name: &str) -> String {
    desk.say.text(&say!("({name}: not read)", name))
}

/// Text that Markdown shows as it is.
pub(in crate::pages) fn plain(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        if matches!(letter, '*' | '_' | '`' | '[' | ']' | '<' | '>' | '\\' | '#' | '|') {
            escaped.push('\\');
        }
        escaped.push(letter);
    }
    escaped
}
