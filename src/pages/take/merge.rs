//! A day's text, laid into the notebook that the day already has: nothing in that is lost.

use std::ops::Range;

use crate::notebook::pieces;
use crate::source::limits;

/// A notebook with what was new in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    pub text: String,
    /// Whether anything was new.
    pub is_new: bool,
}

/// Why a text cannot be laid into a notebook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfit {
    /// A fence or a comment left open in one of them would swallow what follows.
    Open,
    /// One of them has more pieces than can be compared.
    TooMany,
}

/// Lays a text into a notebook. What both have, in one order, is already there. A block that begins as the notebook's
/// does and goes on replaces it. What only the text has comes right behind what precedes it there, or at the end.
/// Everything else of the notebook stays.
///
/// # Errors
///
/// Where the pieces would not all be read again as they are.
pub fn merged(notebook: &str, text: &str) -> Result<Merged, Unfit> {
    let (old, new) = (Pieces::of(notebook), Pieces::of(text));
    if old.plain.len().max(new.plain.len()) > limits::NOTEBOOK_PIECES {
        return Err(Unfit::TooMany);
    }
    let mut into = Draft {
        out: notebook.get(..old.start()).unwrap_or_default().to_owned(),
        end_of_line: if notebook.contains("\r\n") { "\r\n" } else { "\n" },
        pieces: Vec::new(),
        is_new: false,
    };
    let (mut from, mut by) = (0, 0);
    for (at, with) in anchors(&old.plain, &new.plain) {
        into.between(&old, from..at, &new, by..with);
        into.meet(&old, at, &new, with);
        (from, by) = (at + 1, with + 1);
    }
    into.between(&old, from..old.plain.len(), &new, by..new.plain.len());
    into.out.push_str(notebook.get(old.end()..).unwrap_or_default());
    let read = Pieces::of(&into.out).plain;
    if joined(&read) != joined(&into.pieces) {
        return Err(Unfit::Open);
    }
    Ok(Merged { is_new: into.is_new, text: into.out })
}

/// Which piece of the one is which of the other, as many as possible in one order: the longest common subsequence. Of
/// equally long ones, the one in which most are the same word for word, so that a text taken twice finds all of itself.
fn anchors(old: &[String], new: &[String]) -> Vec<(usize, usize)> {
    // Pieces count before words: there are fewer of them than this.
    const PIECE: u32 = 1 << 16;
    const { assert!(limits::NOTEBOOK_PIECES < 1 << 16) };
    let worth = |old: &String, new: &String| match (is_said(old, new), has_grown(old, new)) {
        (true, _) => Some(PIECE + 1),
        (false, true) => Some(PIECE),
        (false, false) => None,
    };
    // The value from each pair on, row by row from the last.
    let width = new.len() + 1;
    let mut most = vec![0_u32; width * (old.len() + 1)];
    let place = |at: usize, with: usize| at * width + with;
    let get = |most: &[u32], at: usize, with: usize| most.get(place(at, with)).copied().unwrap_or(0);
    for (at, was) in old.iter().enumerate().rev() {
        for (with, is) in new.iter().enumerate().rev() {
            let without = get(&most, at + 1, with).max(get(&most, at, with + 1));
            let met = worth(was, is).map_or(0, |worth| get(&most, at + 1, with + 1).saturating_add(worth));
            let best = without.max(met);
            if let Some(entry) = most.get_mut(place(at, with)) {
                *entry = best;
            }
        }
    }
    let (mut at, mut with) = (0, 0);
    let mut anchors = Vec::new();
    while let Some((was, is)) = old.get(at).zip(new.get(with)) {
        let met = worth(was, is).map(|worth| get(&most, at + 1, with + 1).saturating_add(worth));
        if met == Some(get(&most, at, with)) {
            anchors.push((at, with));
            (at, with) = (at + 1, with + 1);
        } else if get(&most, at + 1, with) >= get(&most, at, with + 1) {
            at += 1;
        } else {
            with += 1;
        }
    }
    anchors
}

struct Pieces<'t> {
    text: &'t str,
    ranges: Vec<Range<usize>>,
    /// Without empty lines around them, and without white space at line ends.
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
    let lines = piece.lines().map(str::trim_end).skip_while(|line| line.is_empty());
    let lines: Vec<&str> = lines.collect();
    lines.join("\n").trim_end().to_owned()
}

fn is_list(piece: &str) -> bool {
    let marker = piece.trim_start().trim_start_matches(|letter: char| letter.is_ascii_digit());
    ["- ", "* ", "+ ", ". ", ") "].iter().any(|mark| marker.starts_with(mark))
}

/// Whether a piece of a notebook says all that another one says. A list says what any run of its lines says, since lists
/// that meet become one.
fn is_said(old: &str, new: &str) -> bool {
    let is_within = |old: &str| {
        let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
        old.windows(new.len().max(1)).any(|run| run == new)
    };
    old == new || (is_list(old) && is_list(new) && is_within(old))
}

/// Pieces, with lists that meet joined, as they are read.
fn joined(pieces: &[String]) -> Vec<String> {
    let mut joined: Vec<String> = Vec::new();
    for piece in pieces {
        match joined.last_mut() {
            Some(last) if is_list(last) && is_list(piece) => *last = format!("{last}\n\n{piece}"),
            _ => joined.push(piece.clone()),
        }
    }
    joined
}

/// A notebook being written.
struct Draft<'n> {
    out: String,
    end_of_line: &'n str,
    /// What was written, in order, without the white space around it.
    pieces: Vec<String>,
    is_new: bool,
}

impl Draft<'_> {
    /// Two runs between pieces that both have. New pieces come first, behind the piece that they follow in the text; one
    /// that follows none comes last.
    fn between(&mut self, old: &Pieces<'_>, which: Range<usize>, new: &Pieces<'_>, by: Range<usize>) {
        let follows_one = by.start > 0;
        if follows_one {
            self.add(new, by.clone());
        }
        for (text, plain) in old.each(which) {
            self.end_line();
            self.out.push_str(text);
            self.pieces.push(plain.to_owned());
        }
        if !follows_one {
            self.add(new, by);
        }
    }

    /// A piece that both have: the notebook's own, or the one that it has grown into.
    fn meet(&mut self, old: &Pieces<'_>, at: usize, new: &Pieces<'_>, with: usize) {
        let (Some((text, was)), Some((_, is))) =
            (old.each(at..at + 1).next(), new.each(with..with + 1).next())
        else {
            return;
        };
        self.end_line();
        if is_said(was, is) {
            self.out.push_str(text);
            self.pieces.push(was.to_owned());
        } else {
            // The white space before it is the notebook's.
            let before = text.len() - text.trim_start().len();
            self.out.push_str(text.get(..before).unwrap_or_default());
            self.write(is);
        }
    }

    fn add(&mut self, new: &Pieces<'_>, which: Range<usize>) {
        for (_, plain) in new.each(which) {
            self.end_line();
            self.out.push_str(self.end_of_line);
            self.write(plain);
        }
    }

    /// Writes a new piece.
    fn write(&mut self, plain: &str) {
        for line in plain.lines() {
            self.out.push_str(line);
            self.out.push_str(self.end_of_line);
        }
        self.pieces.push(plain.to_owned());
        self.is_new = true;
    }

    /// Ends a last line that was left open. A byte order mark is not a line: the head begins behind it.
    fn end_line(&mut self) {
        if !["", "\u{feff}"].contains(&self.out.as_str()) && !self.out.ends_with('\n') {
            self.out.push_str(self.end_of_line);
        }
    }
}

/// Whether a block says everything that another one says, line by line, and goes on. A line of it may be longer where
/// the other's value ends.
fn has_grown(old: &str, new: &str) -> bool {
    if new.len() <= old.len() {
        return false;
    }
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
        let merged = merged(DAY, &format!("+++\nkind = \"day\"\n+++\n{text}")).unwrap();
        (merged.text, merged.is_new)
    }

    #[test]
    fn what_is_there_is_not_new() {
        assert_eq!(with("\n\nFog.  \n\nLunch.\n\n"), (DAY.to_owned(), false));
        assert_eq!(with(""), (DAY.to_owned(), false));
        assert_eq!(merged(DAY, DAY).unwrap().text, DAY);
    }

    #[test]
    fn a_byte_order_mark_stays_before_the_head() {
        let marked = format!("\u{feff}{DAY}");
        let made = merged(&marked, &format!("{DAY}\nRain.\n")).unwrap();
        assert_eq!(made.text, format!("{marked}\nRain.\n"));
        assert_eq!(merged(&marked, DAY).unwrap(), Merged { text: marked, is_new: false });
    }

    #[test]
    fn what_is_new_comes_behind_what_stands_before_it() {
        let block = "```change\nback = true\n```";
        let (text, is_new) = with(&format!("Fog.\n\n{block}\n\nLunch.\n"));
        assert_eq!(text, DAY.replace("Fog.\n", &format!("Fog.\n\n{block}\n")));
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
        let lays = |notebook: &str, text: &str| merged(notebook, text).map(|merged| merged.is_new);
        assert_eq!(lays(DAY, "Fog.\n\n- a\n\nLunch.\n\nb"), Ok(true));
        assert_eq!(lays("- a\n", "- b\n"), Ok(true));
        for open in ["<!-- a", "```stint", "<pre>", "~~~"] {
            // At the end it swallows nothing; in the middle it would, and so would the notebook's own.
            assert_eq!(lays("Fog.\n", &format!("Fog.\n\n{open}\n")), Ok(true), "{open}");
            assert_eq!(lays(DAY, &format!("Fog.\n\n{open}\n")), Err(Unfit::Open), "{open}");
            assert_eq!(lays(&format!("Fog.\n\n{open}\n"), "b\n"), Err(Unfit::Open), "{open}");
        }
        let many = "a\n\n".repeat(limits::NOTEBOOK_PIECES + 1);
        assert_eq!(lays(DAY, &many), Err(Unfit::TooMany));
    }

    #[test]
    fn nothing_of_a_notebook_is_lost() {
        let crlf = DAY.replace('\n', "\r\n");
        let merged_text = merged(&crlf, "```hours\nmeter = \"4 h\"\n```").unwrap().text;
        assert_eq!(merged_text, format!("{crlf}\r\n```hours\r\nmeter = \"4 h\"\r\n```\r\n"));
        assert_eq!(merged("a", "b").unwrap().text, "a\n\nb\n");
        assert_eq!(merged("", "b").unwrap().text, "\nb\n");
    }
}
