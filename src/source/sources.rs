//! The texts of a book and the way from byte offsets to lines and columns.

use std::collections::BTreeMap;
use std::ops::Bound::{Excluded, Unbounded};
use std::sync::{Arc, OnceLock};

use super::fault::FaultKind;
use super::span::{FileId, Position, Span};

/// The three bytes that some editors write before the text.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// Texts by their ids, each with its path relative to the book (`/` between folders everywhere).
///
/// A byte-order mark stays in the text, so that offsets are those of the file; it takes no column. Ids are in the order
/// of the paths, with room between them: a later file finds its place, and the others keep theirs.
#[derive(Debug, Default, Clone)]
pub struct Sources {
    files: BTreeMap<FileId, Arc<File>>,
    /// The id of every path that ever had one; it stays the path's own. Shared until a path is added.
    numbers: Arc<BTreeMap<Arc<str>, FileId>>,
    /// Whether an id is out of order, because there was no room at its place.
    is_crowded: bool,
}

/// How far apart ids are at first.
const ROOM: u32 = 1 << 15;

#[derive(Debug)]
pub(crate) struct File {
    path: String,
    text: String,
    /// Why the text is not complete.
    fault: Option<FaultKind>,
    /// Made when somebody first asks for a place in the file.
    index: OnceLock<Index>,
}

/// Finds lines and columns without reading the file again: a place in the middle of a line of a megabyte is
/// asked for as often as there are findings on it.
#[derive(Debug)]
struct Index {
    /// Where each line starts.
    lines: Vec<u32>,
    /// How many characters come before each [`STRETCH`] bytes.
    characters: Vec<u32>,
}

const STRETCH: usize = 1024;

impl Sources {
    pub fn new() -> Self {
        Self::default()
    }

    /// A collection without texts, with the ids that paths have here, and ids for more paths, which come in
    /// their order.
    pub(super) fn numbered<'p>(&self, paths: impl Iterator<Item = &'p str>) -> Self {
        let mut sources = Self { numbers: Arc::clone(&self.numbers), ..Self::default() };
        for path in paths {
            sources.number(path);
        }
        sources
    }

    /// Whether an id is out of the order of the paths: then all should be given anew.
    pub fn is_crowded(&self) -> bool {
        self.is_crowded
    }

    /// The id of a path: its own, else one between its neighbours'.
    fn number(&mut self, path: &str) -> FileId {
        // A book is read in the order of its paths, so that most are new and come last.
        if let Some((last, id)) = self.numbers.last_key_value()
            && **last < *path
            && !self.is_crowded
        {
            let id = FileId(id.0.saturating_add(ROOM));
            Arc::make_mut(&mut self.numbers).insert(Arc::from(path), id);
            return id;
        }
        if let Some(&id) = self.numbers.get(path) {
            return id;
        }
        let before =
            self.numbers.range::<str, _>((Unbounded, Excluded(path))).next_back().map_or(0, |(_, id)| id.0);
        let after = self.numbers.range::<str, _>((Excluded(path), Unbounded)).next().map(|(_, id)| id.0);
        let last = || self.numbers.values().max().map_or(0, |id| id.0);
        let id = match after {
            None if self.is_crowded => last().saturating_add(ROOM),
            None => before.saturating_add(ROOM),
            Some(after) if after > before.saturating_add(1) => before + (after - before) / 2,
            Some(_) => {
                self.is_crowded = true;
                last().saturating_add(ROOM)
            }
        };
        Arc::make_mut(&mut self.numbers).insert(Arc::from(path), FileId(id));
        FileId(id)
    }

    /// Adds a text, or replaces the text at a path, whose id stays.
    pub fn set(&mut self, path: impl Into<String>, text: impl Into<String>) -> FileId {
        self.set_read(path.into(), text.into(), None)
    }

    /// Adds as much of a text as could be read.
    pub(super) fn set_read(&mut self, path: String, text: String, fault: Option<FaultKind>) -> FileId {
        let id = self.number(&path);
        self.files.insert(id, Arc::new(File { path, text, fault, index: OnceLock::new() }));
        id
    }

    /// Takes over a text from the collection that this one goes on from, and what was wrong with it.
    pub(crate) fn take_over(&mut self, from: &Self, path: &str) -> Option<(FileId, Option<FaultKind>)> {
        let id = from.find(path)?;
        let file = from.files.get(&id)?;
        self.files.insert(id, Arc::clone(file));
        Some((id, file.fault.clone()))
    }

    /// Whether a file is the same here as in another collection: one text, read once.
    pub(crate) fn has_as_in(&self, other: &Self, file: FileId) -> bool {
        match (self.files.get(&file), other.files.get(&file)) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other),
            _ => false,
        }
    }

    /// All files, in the order of their paths.
    pub fn files(&self) -> impl Iterator<Item = FileId> {
        self.files.keys().copied()
    }

    /// The file at a path relative to the book.
    pub fn find(&self, path: &str) -> Option<FileId> {
        self.numbers.get(path).copied().filter(|id| self.files.contains_key(id))
    }

    /// The path relative to the book; empty for another collection's file.
    pub fn path(&self, file: FileId) -> &str {
        self.file(file).map_or("", |file| &file.path)
    }

    /// The whole text of a file; empty for another collection's file.
    pub fn whole(&self, file: FileId) -> &str {
        self.file(file).map_or("", |file| &file.text)
    }

    /// The text at a place, cut to the file's length.
    pub fn text(&self, span: Span) -> &str {
        let text = self.whole(span.file);
        let start = floor(text, span.start as usize);
        let end = floor(text, span.end as usize).max(start);
        text.get(start..end).unwrap_or("")
    }

    /// The line and column of a byte offset; past the end, those of the end.
    pub fn position(&self, file: FileId, offset: u32) -> Position {
        let Some(source) = self.file(file) else { return Position { line: 1, column: 1 } };
        let offset = floor(&source.text, offset as usize);
        let starts = &source.index().lines;
        let line = starts.partition_point(|&start| start as usize <= offset).max(1);
        let start = starts.get(line - 1).map_or(0, |&start| start as usize);
        let has_mark = line == 1 && offset > 0 && source.text.starts_with(BYTE_ORDER_MARK);
        let column = source.characters_before(offset) - source.characters_before(start) + 1;
        let narrow = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        Position { line: narrow(line), column: narrow(column - usize::from(has_mark)) }
    }

    /// Where a span starts.
    pub fn start(&self, span: Span) -> Position {
        self.position(span.file, span.start)
    }

    /// Where a span ends: the place behind its last character.
    pub fn end(&self, span: Span) -> Position {
        self.position(span.file, span.end)
    }

    /// The number of lines. A text that ends with a line end has an empty last line.
    pub fn line_count(&self, file: FileId) -> u32 {
        u32::try_from(self.line_starts(file).len()).unwrap_or(u32::MAX).max(1)
    }

    /// The place of a line, counted from 1, without its line end and without a byte-order mark.
    pub fn line(&self, file: FileId, line: u32) -> Option<Span> {
        let starts = self.line_starts(file);
        let at = (line as usize).checked_sub(1)?;
        let start = *starts.get(at)? as usize;
        let text = self.whole(file);
        let end = starts.get(at + 1).map_or(text.len(), |&next| next as usize);
        let line = text.get(start..end)?;
        let mark = if line.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        let kept = line.trim_end_matches(['\n', '\r']).len();
        Some(Span::new(file, start + mark, start + kept))
    }

    fn file(&self, file: FileId) -> Option<&File> {
        self.files.get(&file).map(|file| &**file)
    }

    fn line_starts(&self, file: FileId) -> &[u32] {
        self.file(file).map_or(&[], |file| &file.index().lines)
    }
}

impl File {
    fn index(&self) -> &Index {
        self.index.get_or_init(|| {
            let ends = self.text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
            let lines =
                std::iter::once(0).chain(ends.filter_map(|(at, _)| u32::try_from(at + 1).ok())).collect();
            let mut so_far = 0;
            // With the total at the end, for a text that ends exactly with a stretch.
            let mut before = vec![0];
            for stretch in self.text.as_bytes().chunks(STRETCH) {
                so_far += u32::try_from(characters(stretch)).unwrap_or(u32::MAX);
                before.push(so_far);
            }
            Index { lines, characters: before }
        })
    }

    fn characters_before(&self, offset: usize) -> usize {
        let stretch = offset / STRETCH;
        let before = self.index().characters.get(stretch).map_or(0, |&before| before as usize);
        match self.text.as_bytes().get(stretch * STRETCH..offset) {
            Some(rest) => before + characters(rest),
            None => before,
        }
    }
}

/// How many characters begin in these bytes of a text.
fn characters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| byte & 0b1100_0000 != 0b1000_0000).count()
}

/// The nearest place at or before an offset that does not cut a character.
fn floor(text: &str, offset: usize) -> usize {
    text.floor_char_boundary(offset)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, offset: u32) -> (u32, u32) {
        let mut sources = Sources::new();
        let file = sources.set("days/a.md", text);
        let position = sources.position(file, offset);
        (position.line, position.column)
    }

    #[test]
    fn columns_count_characters_and_lines_end_either_way() {
        assert_eq!(at("", 0), (1, 1));
        assert_eq!(at("é± x\r\nb", 5), (1, 4));
        assert_eq!(at("é± x\r\nb", 8), (2, 1));
        assert_eq!(at("a\n", 2), (2, 1));
        assert_eq!(at("a\nb", 99), (2, 2));
    }

    #[test]
    fn columns_are_counted_across_the_stretches_of_a_long_line() {
        let text = format!("é\n{}", "é".repeat(3000));
        for (offset, column) in [(3, 1), (1023, 511), (1025, 512), (2047, 1023), (2049, 1024), (6003, 3001)] {
            assert_eq!(at(&text, offset), (2, column), "{offset}");
        }
        let whole = "a".repeat(2 * STRETCH);
        assert_eq!(at(&whole, 2 * STRETCH as u32), (1, 2 * STRETCH as u32 + 1));
    }

    #[test]
    fn a_byte_order_mark_takes_bytes_but_no_column() {
        assert_eq!(at("\u{feff}ab\nc", 0), (1, 1));
        assert_eq!(at("\u{feff}ab\nc", 4), (1, 2));
        assert_eq!(at("\u{feff}ab\nc", 6), (2, 1));
    }

    #[test]
    fn a_place_that_cuts_a_character_is_moved_to_its_start() {
        let mut sources = Sources::new();
        let file = sources.set("a.md", "é±");
        assert_eq!(sources.text(Span::new(file, 1, 3)), "é");
        assert_eq!(sources.text(Span::new(file, 40, 50)), "");
    }

    #[test]
    fn a_replaced_text_keeps_its_id() {
        let mut sources = Sources::new();
        let file = sources.set("a.md", "one\ntwo");
        assert_eq!(sources.position(file, 4).line, 2);
        assert_eq!(sources.set("a.md", "other"), file);
        assert_eq!(sources.position(file, 4).line, 1);
        assert_eq!(sources.line(file, 1).map(|span| sources.text(span)), Some("other"));
    }
}
