//! Lines of text for a terminal: stretches of one weight, and words wrapped to some columns.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::document::tree::Inline;

use super::harmless;

/// How a stretch is set. Without colour all look alike: nothing is shown by it alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Face {
    #[default]
    Plain,
    Strong,
    Emphasised,
    /// The heads of a table.
    Faint,
}

/// A stretch of text in one face.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Stretch {
    text: String,
    face: Face,
}

/// One line, or a piece of one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Line(Vec<Stretch>);

impl Line {
    pub fn of(text: &str, face: Face) -> Self {
        let mut line = Self::default();
        line.push(text, face);
        line
    }

    /// Adds text, each letter of it harmless.
    pub fn push(&mut self, text: &str, face: Face) {
        for letter in text.chars() {
            self.push_letter(letter, face);
        }
    }

    fn push_letter(&mut self, letter: char, face: Face) {
        // A no-break space is an ordinary one from here on, for whoever searches the text.
        let letter = if letter == '\u{a0}' { ' ' } else { harmless(letter) };
        match self.0.last_mut() {
            Some(last) if last.face == face => last.text.push(letter),
            _ => self.0.push(Stretch { text: letter.to_string(), face }),
        }
    }

    pub fn append(&mut self, other: &Self) {
        for stretch in &other.0 {
            self.push(&stretch.text, stretch.face);
        }
    }

    pub fn pad_to(&mut self, width: usize) {
        let lacking = width.saturating_sub(self.width());
        self.push(&" ".repeat(lacking), Face::Plain);
    }

    /// The same, indented by some spaces.
    pub fn indented(&self, by: usize) -> Self {
        let mut line = Self::of(&" ".repeat(by), Face::Plain);
        line.append(self);
        line
    }

    pub fn width(&self) -> usize {
        self.0.iter().map(|stretch| stretch.text.width()).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|stretch| stretch.text.trim().is_empty())
    }

    pub fn plain(&self) -> String {
        self.0.iter().map(|stretch| stretch.text.as_str()).collect()
    }

    /// Writes the line and its end, without spaces at the end.
    pub fn write(&self, has_colour: bool, out: &mut String) {
        let end = self.plain().trim_end().len();
        let mut at = 0;
        for Stretch { text, face } in &self.0 {
            let shown = text.get(..end.saturating_sub(at).min(text.len())).unwrap_or_default();
            at += text.len();
            // ECMA-48, 8.3.117 SGR: 1 is bold, 2 faint, 3 italic.
            let code = match face {
                Face::Strong => "1",
                Face::Emphasised => "3",
                Face::Faint => "2",
                Face::Plain => "",
            };
            if has_colour && !code.is_empty() && !shown.is_empty() {
                out.push_str(&format!("\u{1b}[{code}m{shown}\u{1b}[0m"));
            } else {
                out.push_str(shown);
            }
        }
        out.push('\n');
    }
}

/// The words of a text, each with the face of its letters; `None` where a line ends.
fn words(text: &[Inline]) -> Vec<Option<Line>> {
    let mut words = Vec::new();
    let mut word = Line::default();
    for inline in text {
        let face = match inline {
            Inline { is_strong: true, .. } => Face::Strong,
            Inline { is_emphasised: true, .. } => Face::Emphasised,
            _ => Face::Plain,
        };
        // A line to write down stands as it is to be written: backticks would be copied with it.
        let is_marked = inline.is_code && !inline.text.contains(" = ");
        let shown = if is_marked { format!("`{}`", inline.text) } else { inline.text.clone() };
        for letter in shown.chars() {
            if letter.is_whitespace() && letter != '\u{a0}' {
                words.extend((!word.0.is_empty()).then(|| Some(std::mem::take(&mut word))));
            } else {
                word.push_letter(letter, face);
            }
        }
        if inline.is_line_end {
            words.extend((!word.0.is_empty()).then(|| Some(std::mem::take(&mut word))));
            words.push(None);
        }
    }
    words.extend((!word.0.is_empty()).then_some(Some(word)));
    joined(words)
}

/// A value keeps its uncertainty on its line: `102.0 ± 0.7`.
fn joined(words: Vec<Option<Line>>) -> Vec<Option<Line>> {
    let is_sign = |word: &Line| word.plain() == "±";
    let mut all: Vec<Option<Line>> = Vec::with_capacity(words.len());
    let mut is_behind_sign = false;
    for word in words {
        let is_this_sign = word.as_ref().is_some_and(is_sign);
        match (all.last_mut(), &word) {
            (Some(Some(last)), Some(word)) if is_this_sign || is_behind_sign => {
                last.push(" ", Face::Plain);
                last.append(word);
            }
            _ => all.push(word),
        }
        is_behind_sign = is_this_sign;
    }
    all
}

/// The widest word of a text.
pub(super) fn widest_word(text: &[Inline]) -> usize {
    words(text).iter().flatten().map(Line::width).max().unwrap_or(0)
}

/// A text wrapped to some columns; a longer word is broken. An empty text has no lines.
pub(super) fn wrapped(text: &[Inline], width: usize) -> Vec<Line> {
    let width = width.max(1);
    let mut lines: Vec<Line> = Vec::new();
    let mut is_new = true;
    for word in words(text) {
        let Some(word) = word else {
            is_new = true;
            continue;
        };
        match lines.last_mut().filter(|_| !is_new) {
            Some(line) if line.width() + 1 + word.width() <= width => {
                let last = line.0.last().map_or(Face::Plain, |stretch| stretch.face);
                let next = word.0.first().map_or(Face::Plain, |stretch| stretch.face);
                line.push(" ", if last == next { last } else { Face::Plain });
                line.append(&word);
            }
            _ => lines.extend(broken(&word, width)),
        }
        is_new = false;
    }
    lines
}

/// A word in pieces no wider than a line.
fn broken(word: &Line, width: usize) -> Vec<Line> {
    if word.width() <= width {
        return vec![word.clone()];
    }
    let mut pieces = vec![Line::default()];
    let mut so_far = 0;
    for stretch in &word.0 {
        for letter in stretch.text.chars() {
            let wide = letter.width().unwrap_or(0);
            if so_far + wide > width {
                pieces.push(Line::default());
                so_far = 0;
            }
            so_far += wide;
            if let Some(piece) = pieces.last_mut() {
                piece.push_letter(letter, stretch.face);
            }
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &[Inline], width: usize) -> Vec<String> {
        wrapped(text, width).iter().map(Line::plain).collect()
    }

    #[test]
    fn words_wrap_and_a_value_keeps_its_uncertainty() {
        let text = [Inline::plain("the sag is 102.0 ± 0.7 mm now")];
        assert_eq!(shown(&text, 14), ["the sag is", "102.0 ± 0.7 mm", "now"]);
        assert_eq!(shown(&[Inline::plain("abcdefgh ij")], 3), ["abc", "def", "gh", "ij"]);
        assert_eq!(shown(&[], 3), Vec::<String>::new());
    }

    #[test]
    fn nothing_that_a_terminal_obeys_is_in_a_line_but_our_own_weight() {
        let strong = Inline { is_strong: true, ..Inline::plain("a\u{1b}[2Jb\u{202e}") };
        let mut out = String::new();
        wrapped(std::slice::from_ref(&strong), 80).iter().for_each(|line| line.write(true, &mut out));
        assert_eq!(out, "\u{1b}[1ma\u{fffd}[2Jb\u{fffd}\u{1b}[0m\n");
        out.clear();
        wrapped(&[strong], 80).iter().for_each(|line| line.write(false, &mut out));
        assert_eq!(out, "a\u{fffd}[2Jb\u{fffd}\n");
    }
}
