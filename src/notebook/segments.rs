//! Text cut out of a file, with the way back.
//!
//! The text of a fence is not a slice of the file. The marks of lists and quotes, the fence's indent and
//! carriage returns are gone, and a tab may have become spaces.

use std::borrow::Cow;
use std::ops::Range;

use smallvec::SmallVec;

use crate::source::{FileId, Span};

/// A text, and the place in the file of each stretch of it.
#[derive(Debug)]
pub(super) struct Cut<'t> {
    /// Borrowed where it is one stretch of the file, byte for byte, as nearly every fence is.
    pub text: Cow<'t, str>,
    whole: &'t str,
    file: FileId,
    /// `(offset in text, offset in file)`, sorted by both. Within a stretch both advance together, up to the next
    /// stretch in the file. Spaces that stand for the rest of a tab have a place but no bytes.
    stretches: SmallVec<[(usize, usize); 1]>,
    /// Where the last stretch ends in the file.
    end: usize,
}

impl<'t> Cut<'t> {
    pub fn new(file: FileId, whole: &'t str, start: usize) -> Self {
        Self { text: Cow::Borrowed(""), whole, file, stretches: SmallVec::new(), end: start }
    }

    /// A text that is a slice of the file.
    pub fn slice(file: FileId, whole: &'t str, range: Range<usize>) -> Self {
        let mut cut = Self::new(file, whole, range.start);
        cut.push(whole.get(range.clone()).unwrap_or(""), range);
        cut
    }

    /// Appends the file's text at `range`.
    pub fn push(&mut self, text: &str, range: Range<usize>) {
        if text.is_empty() {
            return;
        }
        let goes_on = range.start == self.end && self.is_verbatim() && text.len() == range.len();
        if !goes_on || self.stretches.is_empty() {
            self.stretches.push((self.text.len(), range.start));
        }
        match (&self.text, self.stretches.as_slice()) {
            (Cow::Borrowed(_), [(_, from)]) if self.whole.get(range.clone()) == Some(text) => {
                self.text = Cow::Borrowed(self.whole.get(*from..range.end).unwrap_or_default());
            }
            _ => self.text.to_mut().push_str(text),
        }
        self.end = range.end;
    }

    /// Drops the text from an offset on.
    pub fn truncate(&mut self, offset: usize) {
        let file_end = self.start_of(offset);
        match &mut self.text {
            Cow::Borrowed(text) => *text = text.get(..offset).unwrap_or(text),
            Cow::Owned(text) => text.truncate(offset),
        }
        self.stretches.retain(|&mut (start, _)| start < offset);
        self.end = file_end;
    }

    /// A part of the text.
    #[inline]
    pub fn part(&self, range: Range<usize>) -> Option<Cow<'t, str>> {
        match &self.text {
            Cow::Borrowed(text) => text.get(range).map(Cow::Borrowed),
            Cow::Owned(text) => text.get(range).map(|part| Cow::Owned(part.to_owned())),
        }
    }

    /// The place in the file of a range of the text.
    #[inline]
    pub fn place(&self, range: Range<usize>) -> Span {
        if let Cow::Borrowed(text) = self.text {
            let from = self.end - text.len();
            return Span::new(
                self.file,
                from + range.start.min(text.len()),
                from + range.end.min(text.len()),
            );
        }
        let start = self.start_of(range.start);
        let end = if range.end > range.start { self.end_of(range.end) } else { start };
        Span::new(self.file, start, end)
    }

    /// Where a range of the text begins in the file, if it stands there byte for byte.
    #[inline]
    pub fn verbatim(&self, range: Range<usize>) -> Option<usize> {
        if let Cow::Borrowed(text) = self.text {
            return Some(self.end - text.len() + range.start);
        }
        let place = self.place(range.clone()).range();
        let is_one_stretch = self.stretch_of(range.start) == self.stretch_of(range.end.saturating_sub(1));
        (is_one_stretch && place.len() == range.len()).then_some(place.start)
    }

    /// A range of the text in pieces of one stretch each, with each piece's place in the file.
    pub fn pieces(&self, range: Range<usize>) -> impl Iterator<Item = (Range<usize>, Range<usize>)> + '_ {
        let first = self.stretch_of(range.start);
        let mut at = range.start;
        self.stretches.iter().enumerate().skip(first).map_while(move |(index, _)| {
            if at >= range.end {
                return None;
            }
            let until = self.stretches.get(index + 1).map_or(range.end, |&(next, _)| next.min(range.end));
            let piece = at..until;
            at = until;
            let file = self.start_of(piece.start)..self.end_of(piece.end);
            Some((piece, file))
        })
    }

    /// The offset in the text of a place in the file; the end for a place behind it or between stretches.
    pub fn offset_of(&self, in_file: usize) -> usize {
        let at = self.stretches.partition_point(|&(_, start)| start <= in_file).saturating_sub(1);
        let Some(&(start, from)) = self.stretches.get(at) else { return self.text.len() };
        let until = self.stretches.get(at + 1).map_or(self.text.len(), |&(next, _)| next);
        (start + in_file.saturating_sub(from)).min(until)
    }

    /// The offset in the file of the byte at an offset.
    fn start_of(&self, offset: usize) -> usize {
        self.lift(self.stretch_of(offset), offset)
    }

    /// The offset in the file behind the byte before an offset.
    fn end_of(&self, offset: usize) -> usize {
        self.lift(self.stretch_of(offset.saturating_sub(1)), offset)
    }

    fn lift(&self, stretch: usize, offset: usize) -> usize {
        let Some(&(start, in_file)) = self.stretches.get(stretch) else { return self.end };
        let until = self.stretches.get(stretch + 1).map_or(self.end, |&(_, next)| next);
        (in_file + offset.saturating_sub(start)).min(until.max(in_file))
    }

    fn stretch_of(&self, offset: usize) -> usize {
        self.stretches.partition_point(|&(start, _)| start <= offset).saturating_sub(1)
    }

    /// Whether the last stretch has as many bytes in the file as in the text.
    fn is_verbatim(&self) -> bool {
        self.stretches.last().is_some_and(|&(start, in_file)| self.text.len() - start == self.end - in_file)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_lifted_over_what_was_left_out() {
        // > ab\r\n> cd
        let mut cut = Cut::new(FileId(0), "> ab\r\n> cd", 2);
        cut.push("ab", 2..4);
        cut.push("\n", 5..6);
        cut.push("cd", 8..10);
        let lift = |range: Range<usize>| cut.place(range).range();
        assert_eq!(cut.text, "ab\ncd");
        assert_eq!(lift(0..2), 2..4);
        assert_eq!(lift(3..5), 8..10);
        assert_eq!(lift(1..4), 3..9);
        assert_eq!(lift(5..5), 10..10);
        let pieces: Vec<_> = cut.pieces(1..5).collect();
        assert_eq!(pieces, [(1..2, 3..4), (2..3, 5..6), (3..5, 8..10)]);
    }

    #[test]
    fn spaces_that_stand_for_half_a_tab_have_a_place_and_no_bytes() {
        let mut cut = Cut::new(FileId(0), "- \tab", 3);
        cut.push("  ", 3..3);
        cut.push("ab", 3..5);
        assert_eq!(cut.place(0..2).range(), 3..3);
        assert_eq!(cut.place(2..4).range(), 3..5);
        assert_eq!(cut.place(0..4).range(), 3..5);
    }
}
