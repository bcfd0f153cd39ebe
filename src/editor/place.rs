//! Where somebody is writing, by the lines alone: half-written text is seldom TOML.

use lsp_types::Position;

use crate::source::BOOK_FILE;
use crate::vocabulary::blocks::{BookHead, Head, spec};
use crate::vocabulary::{BlockSpec, Typed};

use super::page::Page;

/// Where somebody is writing.
#[derive(Debug)]
pub(super) enum Place {
    /// On a block's fence, behind its marks: the first word, or the one behind it.
    Fence { word: Option<String> },
    /// In a block, a head or `book.toml`.
    Table { spec: &'static BlockSpec, keys: Vec<String>, argument: String, at: InTable },
    /// In a code span behind `@`.
    Figure,
}

/// Where in a table.
#[derive(Debug)]
pub(super) enum InTable {
    Key,
    /// In the value of a key, with what is written since its quote; nothing where no quote was opened.
    Value {
        key: String,
        written: Option<String>,
    },
}

const HEAD_MARK: &str = "+++";
const FIGURE_MARK: &str = "`@";

/// A fence that is open.
struct Fence<'t> {
    mark: char,
    marks: usize,
    words: &'t str,
    line: usize,
}

fn fence(line: &str, number: usize) -> Option<Fence<'_>> {
    let line = line.trim_start();
    let mark = line.chars().next().filter(|mark| matches!(mark, '`' | '~'))?;
    let words = line.trim_start_matches(mark);
    let marks = line.len() - words.len();
    (marks >= 3).then_some(Fence { mark, marks, words, line: number })
}

/// Where a position of a file is; `None` in prose.
pub(super) fn of(page: &Page<'_>, position: Position) -> Option<Place> {
    let number = position.line as usize;
    let before = before(page, position);
    if page.path == BOOK_FILE {
        return Some(in_book(page, number, before));
    }
    let line = |number: usize| page.lines.line(number).trim_start_matches('\u{feff}');
    let mut first = 0;
    if line(0).trim_end() == HEAD_MARK {
        let end = (1..=number).find(|at| line(*at).trim_end() == HEAD_MARK);
        match end {
            None if number == 0 => return None,
            None => return Some(in_table(page, Head::SPEC, String::new(), 1..number, before)),
            Some(end) if end == number => return None,
            Some(end) => first = end + 1,
        }
    }
    let mut open: Option<Fence<'_>> = None;
    for at in first..number {
        match (&open, fence(line(at), at)) {
            (None, opened) => open = opened,
            (Some(is), Some(other))
                if other.mark == is.mark && other.marks >= is.marks && other.words.trim().is_empty() =>
            {
                open = None;
            }
            (Some(_), _) => {}
        }
    }
    match open {
        Some(open) => {
            let mut words = open.words.split_whitespace();
            let spec = spec(words.next()?)?;
            let argument = words.next().unwrap_or_default().to_owned();
            Some(in_table(page, spec, argument, open.line + 1..number, before))
        }
        None => match fence(before, number) {
            Some(fence) => {
                let words: Vec<&str> = fence.words.split_whitespace().collect();
                let is_behind_a_word = fence.words.ends_with(char::is_whitespace);
                let word = match words.as_slice() {
                    [word] if is_behind_a_word => Some((*word).to_owned()),
                    [word, _] if !is_behind_a_word => Some((*word).to_owned()),
                    [] | [_] => None,
                    _ => return None,
                };
                Some(Place::Fence { word })
            }
            None => {
                let (_, name) = before.rsplit_once(FIGURE_MARK)?;
                (!name.contains('`')).then_some(Place::Figure)
            }
        },
    }
}

/// The text of a line before a position.
pub(super) fn before<'c>(page: &Page<'c>, position: Position) -> &'c str {
    let line = page.lines.line(position.line as usize);
    let start = page.lines.offset(Position { line: position.line, character: 0 });
    let at = page.lines.offset(position).saturating_sub(start);
    line.get(..at).unwrap_or(line)
}

/// The keys of `book.toml` are in sections.
fn in_book(page: &Page<'_>, number: usize, before: &str) -> Place {
    let section = |line: &str| {
        let name = line.trim().strip_prefix('[')?.strip_suffix(']')?;
        Some(name.trim().to_owned())
    };
    let (at, section) = (0..number)
        .rev()
        .find_map(|at| Some((at + 1, section(page.lines.line(at))?)))
        .unwrap_or((0, String::new()));
    in_table(page, BookHead::SPEC, section, at..number, before)
}

fn in_table(
    page: &Page<'_>,
    spec: &'static BlockSpec,
    argument: String,
    above: std::ops::Range<usize>,
    before: &str,
) -> Place {
    let key = |line: &str| line.split_once('=').map(|(key, _)| key.trim().to_owned());
    // Keys below count as well, up to the end of the table.
    let below = (above.end + 1..).map(|at| page.lines.line(at));
    let is_over = |line: &str| line.trim() == HEAD_MARK || fence(line, 0).is_some() || line.starts_with('[');
    let below = below.take_while(|line| !line.is_empty() && !is_over(line));
    let keys = above.map(|at| page.lines.line(at)).chain(below).filter_map(key).collect();
    let at = match before.split_once('=') {
        None => InTable::Key,
        Some((key, value)) => {
            let quotes = value.matches('"').count();
            let written = value.rsplit('"').next().filter(|_| quotes % 2 == 1);
            InTable::Value { key: key.trim().to_owned(), written: written.map(str::to_owned) }
        }
    };
    Place::Table { spec, keys, argument, at }
}
