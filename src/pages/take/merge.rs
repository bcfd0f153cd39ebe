//! A day's text laid into the notebook that the day has: nothing of that one is lost.

use std::ops::Range;

use similar::{Algorithm, DiffOp, capture_diff_slices};

use crate::notebook::pieces;

/// A notebook with what was new in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    pub text: String,
    /// Whether anything was new.
    pub is_new: bool,
    /// Whether the notebook's fences and those of the text are all still read as fences: what was left open in the text, a
    /// comment for one, takes in what stands behind it.
    pub is_whole: bool,
}

/// Lays a text into a notebook. What both have, in one order, is there already; what only the text has comes behind what
/// stands before it there. A block that says all that the notebook's says and goes on takes its place; everything else of
/// the notebook stays.
pub fn merged(notebook: &str, text: &str) -> Merged {
    let old = Pieces::of(notebook);
    let new = Pieces::of(text);
    let end_of_line = if notebook.contains("\r\n") { "\r\n" } else { "\n" };
    let mut into = Into {
        out: notebook.get(..old.start()).unwrap_or_default().to_owned(),
        end_of_line,
        pieces: vec![],
        is_new: false,
    };
    for op in capture_diff_slices(Algorithm::Lcs, &old.plain, &new.plain) {
        match op {
            DiffOp::Equal { old_index, len, .. } | DiffOp::Delete { old_index, old_len: len, .. } => {
                into.keep(&old, old_index..old_index + len);
            }
            DiffOp::Insert { new_index, new_len, .. } => into.add(&new, new_index..new_index + new_len),
            DiffOp::Replace { old_index, old_len, new_index, new_len } => {
                into.grow(&old, old_index..old_index + old_len, &new, new_index..new_index + new_len);
            }
        }
    }
    into.out.push_str(notebook.get(old.end()..).unwrap_or_default());
    let is_fence = |piece: &&String| piece.starts_with("```") || piece.starts_with("~~~");
    let read = Pieces::of(&into.out).plain;
    let is_whole = read.iter().filter(is_fence).eq(into.pieces.iter().filter(is_fence));
    Merged { is_new: into.is_new, is_whole, text: into.out }
}

struct Pieces<'t> {
    text: &'t str,
    ranges: Vec<Range<usize>>,
    /// Without the white space around them and at the ends of their lines.
    plain: Vec<String>,
}

impl<'t> Pieces<'t> {
    fn of(text: &'t str) -> Self {
        let ranges = pieces(text);
        let plain = ranges.iter().map(|range| plain(text.get(range.clone()).unwrap_or_default())).collect();
        Self { text, ranges, plain }
    }

    /// Where the first begins.
    fn start(&self) -> usize {
        self.ranges.first().map_or(self.text.len(), |range| range.start)
    }

    /// Where the last ends.
    fn end(&self) -> usize {
        self.ranges.last().map_or(self.text.len(), |range| range.end)
    }

    fn each(&self, which: Range<usize>) -> impl Iterator<Item = (&'t str, &str)> {
        let ranges = self.ranges.get(which.clone()).unwrap_or_default();
        let plain = self.plain.get(which).unwrap_or_default();
        ranges
            .iter()
            .zip(plain)
            .map(|(range, plain)| (self.text.get(range.clone()).unwrap_or_default(), plain.as_str()))
    }
}

fn plain(piece: &str) -> String {
    let lines: Vec<&str> = piece.trim().lines().map(str::trim_end).collect();
    lines.join("\n")
}

struct Into<'n> {
    out: String,
    end_of_line: &'n str,
    /// What was written, in order, without the white space around it.
    pieces: Vec<String>,
    is_new: bool,
}

impl Into<'_> {
    fn keep(&mut self, old: &Pieces<'_>, which: Range<usize>) {
        for (text, plain) in old.each(which) {
            self.end_line();
            self.out.push_str(text);
            self.pieces.push(plain.to_owned());
        }
    }

    fn add(&mut self, new: &Pieces<'_>, which: Range<usize>) {
        for (_, plain) in new.each(which) {
            self.end_line();
            self.out.push_str(self.end_of_line);
            self.write(plain);
        }
    }

    /// Of two runs that differ, the first is kept and the second comes behind it, but for blocks that have grown.
    fn grow(&mut self, old: &Pieces<'_>, which: Range<usize>, new: &Pieces<'_>, by: Range<usize>) {
        let mut from = by.start;
        for at in which {
            let Some((text, plain)) = old.each(at..at + 1).next() else { continue };
            let grown = new.each(from..by.end).position(|(_, grown)| has_grown(plain, grown));
            let Some(grown) = grown else {
                self.keep(old, at..at + 1);
                continue;
            };
            self.add(new, from..from + grown);
            // The white space before it is the notebook's.
            let before = text.len() - text.trim_start().len();
            self.end_line();
            self.out.push_str(text.get(..before).unwrap_or_default());
            for (_, grown) in new.each(from + grown..from + grown + 1) {
                self.write(grown);
            }
            from += grown + 1;
        }
        self.add(new, from..by.end);
    }

    /// Writes a piece that is new.
    fn write(&mut self, plain: &str) {
        for line in plain.lines() {
            self.out.push_str(line);
            self.out.push_str(self.end_of_line);
        }
        self.pieces.push(plain.to_owned());
        self.is_new = true;
    }

    /// Ends a last line that was left open.
    fn end_line(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with('\n') {
            self.out.push_str(self.end_of_line);
        }
    }
}

/// Whether a block says everything that another one says, line by line, and goes on: a line of it may be longer where
/// the other one's value ends.
fn has_grown(old: &str, new: &str) -> bool {
    let (mut old, mut new) = (old.lines(), new.lines());
    let fence = old.next().unwrap_or_default();
    let is_fence = fence.starts_with("```") && fence.len() > 3;
    if !is_fence || new.next() != Some(fence) {
        return false;
    }
    let goes_on = |old: &str, new: &str| {
        let said = old.trim_end_matches(['"', ']', ' ', ',']);
        old == new || (said.contains('=') && new.starts_with(said))
    };
    old.all(|old| new.any(|new| goes_on(old, new)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: &str = "+++\nkind = \"day\"\n+++\n\nFog.\n\n```stint\nlaps = \"2:01 2:02\"\n```\n\nLunch.\n";

    fn with(text: &str) -> (String, bool) {
        let merged = merged(DAY, &format!("+++\nkind = \"day\"\n+++\n{text}"));
        (merged.text, merged.is_new)
    }

    #[test]
    fn what_is_there_is_not_new() {
        assert_eq!(with("\n\nFog.  \n\nLunch.\n\n"), (DAY.to_owned(), false));
        assert_eq!(with(""), (DAY.to_owned(), false));
        assert_eq!(merged(DAY, DAY).text, DAY);
    }

    #[test]
    fn what_is_new_comes_behind_what_stands_before_it() {
        let block = "```change\nback = true\n```";
        let (text, is_new) = with(&format!("Fog.\n\n{block}\n\nLunch.\n"));
        assert_eq!(text, DAY.replace("\nLunch.", &format!("\n{block}\n\nLunch.")));
        assert!(is_new);
        assert_eq!(with(block).0, format!("{DAY}\n{block}\n"));
    }

    #[test]
    fn a_block_that_says_more_takes_the_place_of_what_it_was() {
        let grown = "```stint\nstart = \"09:10\"\nlaps = \"2:01 2:02 2:00\"\nverdict = \"better\"\n```";
        let was = "```stint\nlaps = \"2:01 2:02\"\n```";
        assert_eq!(with(&format!("Fog.\n\n{grown}\n\nLunch.")).0, DAY.replace(was, grown));
        // Another stint is another stint.
        let other = "```stint\nlaps = \"2:03 2:02 2:00\"\n```";
        let (text, _) = with(&format!("Fog.\n\n{other}\n\nLunch."));
        assert!(text.contains(was) && text.contains(other), "{text}");
    }

    #[test]
    fn what_would_take_in_what_stands_behind_it_is_told() {
        let whole = |text: &str| merged(&format!("{DAY}\n```hours\nmeter = \"4 h\"\n```\n"), text).is_whole;
        assert!(whole("Fog.\n\n- a\n\nLunch.\n\nb"));
        assert!(whole("```stint\n"));
        assert!(!whole("Fog.\n\n<!-- a\n"));
        assert!(!whole("Fog.\n\n```stint\n"));
        assert!(!whole("Fog.\n\n<pre>\n"));
    }

    #[test]
    fn nothing_of_a_notebook_is_lost() {
        let crlf = DAY.replace('\n', "\r\n");
        let merged_text = merged(&crlf, "```hours\nmeter = \"4 h\"\n```").text;
        assert_eq!(merged_text, format!("{crlf}\r\n```hours\r\nmeter = \"4 h\"\r\n```\r\n"));
        assert_eq!(merged("a", "b").text, "a\n\nb\n");
        assert_eq!(merged("", "b").text, "\nb\n");
    }
}
