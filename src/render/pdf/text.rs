//! Text into lines.

use crate::document::tree::Inline;
use crate::document::{Ink, Shape, Weight};

use super::piece::{Piece, Rectangle, Style};

/// Sets text in lines of this width, one below the other.
pub(super) fn paragraph(inlines: &[Inline], width: f64, style: Style) -> Piece {
    let mut piece = Piece::default();
    let lines = lines(inlines, width, style);
    for (at, line) in lines.iter().enumerate() {
        let top = style.line() * at as f64;
        for run in &line.runs {
            run.write(&mut piece, top, style);
        }
        piece.broken += usize::from(line.is_broken);
    }
    piece.height = style.line() * lines.len() as f64;
    piece
}

/// Each line of a text as a piece of its own.
pub(super) fn split(inlines: &[Inline], width: f64, style: Style) -> Vec<Piece> {
    split_with_widths(inlines, width, style).into_iter().map(|(piece, _)| piece).collect()
}

/// Each line of a text as a piece of its own, with the line's width.
pub(super) fn split_with_widths(inlines: &[Inline], width: f64, style: Style) -> Vec<(Piece, f64)> {
    lines(inlines, width, style)
        .into_iter()
        .map(|line| {
            let mut piece = Piece::empty(style.line());
            for run in &line.runs {
                run.write(&mut piece, 0.0, style);
            }
            piece.broken = usize::from(line.is_broken);
            (piece, line.width)
        })
        .collect()
}

/// Sets plain text in lines of this width.
pub(super) fn plain(text: &str, width: f64, style: Style) -> Piece {
    paragraph(&[Inline::plain(text)], width, style)
}

/// The width of the text where it is not broken, and the width of its longest word.
pub(super) fn widths(inlines: &[Inline], style: Style) -> (f64, f64) {
    let whole = lines(inlines, f64::INFINITY, style).iter().map(|line| line.width).fold(0.0, f64::max);
    (whole, longest_word(inlines, style))
}

/// The width of the longest word of a text.
pub(super) fn longest_word(inlines: &[Inline], style: Style) -> f64 {
    let words = inlines.iter().map(|inline| {
        let weight = weight(inline, style);
        longest(&inline.text, Style { weight, ..style })
    });
    words.fold(0.0, f64::max)
}

/// The width of the longest word of a plain text.
pub(super) fn longest(text: &str, style: Style) -> f64 {
    words(text).map(|word| style.width(word.trim_end())).fold(0.0, f64::max)
}

pub(super) struct Line {
    pub runs: Vec<Run>,
    pub width: f64,
    /// Whether it ends within a word.
    is_broken: bool,
}

impl Line {
    const EMPTY: Self = Self { runs: Vec::new(), width: 0.0, is_broken: false };
}

/// Text of one style on one line.
pub(super) struct Run {
    x: f64,
    text: String,
    weight: Weight,
    is_struck: bool,
    is_code: bool,
    link: Option<String>,
}

impl Run {
    fn write(&self, piece: &mut Piece, top: f64, style: Style) {
        let style = Style { weight: self.weight, ..style };
        let baseline = top + style.baseline();
        if self.is_code {
            // There is one family: code is distinguished from words by its ground.
            let width = style.width(&self.text);
            let at =
                Rectangle { x: self.x - 0.8, y: top + 0.8, width: width + 1.6, height: style.line() - 1.2 };
            piece.bar(at, Ink::Tint);
        }
        piece.write(self.x, baseline, &self.text, style);
        let width = style.width(&self.text);
        if self.is_struck {
            piece.rule(self.x, self.x + width, baseline - style.size * 0.28, 0.6, style.ink);
        }
        if let Some(target) = &self.link {
            piece.rule(self.x, self.x + width, baseline + 1.5, 0.3, Ink::Dark);
            let at = Rectangle { x: self.x, y: top, width, height: style.line() };
            piece.links.push((at, target.clone()));
        }
    }
}

fn weight(inline: &Inline, style: Style) -> Weight {
    if inline.is_strong {
        Weight::Bold
    } else if inline.is_emphasised {
        Weight::Italic
    } else {
        style.weight
    }
}

/// Breaks text at its spaces, and within a word only where the word alone is too wide.
pub(super) fn lines(inlines: &[Inline], width: f64, style: Style) -> Vec<Line> {
    let mut breaker = Breaker { lines: Vec::new(), line: Line::EMPTY, style };
    for inline in inlines {
        let weight = weight(inline, style);
        let style = Style { weight, ..style };
        let fits = |part: &str| style.width(part.trim_end_matches(' ')) <= width;
        for piece in kept(&inline.text, fits) {
            let word = piece.trim_end_matches(' ');
            let word_width = style.width(word);
            if breaker.line.width + word_width > width + 0.01 && !breaker.line.runs.is_empty() {
                breaker.end_line();
            }
            if word_width > width {
                // Every letter has the same width everywhere, so a part is as wide as its letters.
                let (mut part, mut part_width) = (String::new(), 0.0);
                for letter in piece.chars() {
                    let letter_width = style.width(letter.encode_utf8(&mut [0; 4]));
                    if !letter.is_whitespace() && part_width + letter_width > width && !part.is_empty() {
                        breaker.push(&part, inline, style);
                        breaker.line.is_broken = true;
                        breaker.end_line();
                        part.clear();
                        part_width = 0.0;
                    }
                    part.push(letter);
                    part_width += letter_width;
                }
                breaker.push(&part, inline, style);
            } else {
                breaker.push(piece, inline, style);
            }
        }
        if inline.is_line_end {
            breaker.end_line();
        }
    }
    if !breaker.line.runs.is_empty() {
        breaker.end_line();
    }
    breaker.lines
}

/// The parts between which a line breaks: a number goes with its `±` and a short word behind it, such as its unit, while
/// that fits.
fn kept(text: &str, fits: impl Fn(&str) -> bool) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let mut words = words(rest);
        let mut last = words.next()?;
        let mut length = last.len();
        while is_number(last) || is_sign(last) {
            let Some(next) = words.next().filter(|next| is_sign(next) || is_sign(last) || is_short(next))
            else {
                break;
            };
            if !rest.get(..length + next.len()).is_some_and(&fits) {
                break;
            }
            (last, length) = (next, length + next.len());
        }
        let (part, behind) = rest.split_at(length);
        rest = behind;
        Some(part)
    })
}

fn is_sign(word: &str) -> bool {
    word.trim_end_matches(' ') == "±"
}

/// A word that is a number; a date is none.
fn is_number(word: &str) -> bool {
    let word = word.trim_end_matches(' ').trim_start_matches('(');
    let is_part = |letter: char| letter.is_ascii_digit() || ".,+-−±–".contains(letter);
    word.ends_with(|letter: char| letter.is_ascii_digit())
        && word.chars().all(is_part)
        && word.matches('-').count() < 2
}

/// The letters of a word that is not left alone behind its number.
const SHORT: usize = 6;

fn is_short(word: &str) -> bool {
    let word = word.trim_end_matches(|letter: char| letter.is_whitespace() || ".,;:)?!".contains(letter));
    word.starts_with(char::is_alphabetic) && word.chars().count() <= SHORT
}

/// The letters that each part of two has between which a line may break at a stroke.
const PART: usize = 3;

/// The parts between which a line may break: words with their spaces, and the parts of compounds.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let (mut earlier, mut before, mut run) = (' ', ' ', 0);
        let mut letters = rest.char_indices().peekable();
        while let Some((at, letter)) = letters.next() {
            let end = at + letter.len_utf8();
            let next = letters.peek().map(|(_, next)| *next);
            let is_end = match letter {
                // `16 °C` and `front : rear` stay together.
                ' ' => !matches!(next, Some(' ' | '°' | ':')) && (earlier, before) != (' ', ':'),
                // `two-stroke`, but not `14-22` or `-3`.
                '-' => before.is_alphabetic() && next.is_some_and(char::is_alphabetic),
                // `mud/sand`, but not `N/mm`.
                '/' => {
                    let behind = rest.get(end..).unwrap_or_default().chars();
                    run >= PART && behind.take(PART).filter(|letter| letter.is_alphabetic()).count() == PART
                }
                _ => false,
            };
            run = if letter.is_alphabetic() { run + 1 } else { 0 };
            if is_end {
                let (word, behind) = rest.split_at(end);
                rest = behind;
                return Some(word);
            }
            (earlier, before) = (before, letter);
        }
        let word = std::mem::take(&mut rest);
        (!word.is_empty()).then_some(word)
    })
}

/// Divides room among columns. Those that need little get all they want; the others get more the longer they
/// are, by the square root, so that no long text is beside white space. None gets less than its longest word
/// while there is room for that.
pub(super) fn share(wanted: &[f64], least: &[f64], room: f64) -> Vec<f64> {
    let all: f64 = wanted.iter().sum();
    let needed: f64 = least.iter().sum();
    if all <= room {
        return wanted.to_vec();
    }
    if needed >= room {
        return least.iter().map(|least| room * least / needed).collect();
    }
    let widths = |most: f64| -> Vec<f64> {
        let width = |wanted: f64, least: f64| wanted.min(most * wanted.sqrt()).max(least);
        wanted.iter().zip(least).map(|(wanted, least)| width(*wanted, *least)).collect()
    };
    // The factor of the roots with which all columns just fit, far more exact than anyone can see.
    let (mut low, mut high) = (0.0, room);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if widths(middle).iter().sum::<f64>() <= room { low = middle } else { high = middle }
    }
    widths(low)
}

/// Widths of columns as they are shared out, but none below its least: what that takes, the others give.
pub(super) fn at_least(shared: Vec<f64>, least: &[f64], room: f64) -> Vec<f64> {
    let needed: f64 = least.iter().sum();
    if shared.iter().zip(least).all(|(width, least)| width >= least) {
        return shared;
    }
    if needed >= room {
        return least.iter().map(|least| room * least / needed).collect();
    }
    // What each has beyond its least is left in proportion.
    let beyond: Vec<f64> = shared.iter().zip(least).map(|(width, least)| (width - least).max(0.0)).collect();
    let all: f64 = beyond.iter().sum();
    least.iter().zip(beyond).map(|(least, beyond)| least + beyond * (room - needed) / all.max(1e-9)).collect()
}

struct Breaker {
    lines: Vec<Line>,
    line: Line,
    style: Style,
}

impl Breaker {
    fn push(&mut self, text: &str, inline: &Inline, style: Style) {
        // A line does not begin with a space.
        let text = if self.line.runs.is_empty() { text.trim_start_matches(' ') } else { text };
        if text.is_empty() {
            return;
        }
        let is_same = |run: &Run| {
            (run.weight, run.is_struck, run.is_code) == (style.weight, inline.is_struck, inline.is_code)
                && run.link == inline.link
        };
        let x = self.line.width;
        match self.line.runs.last_mut() {
            Some(run) if is_same(run) => run.text.push_str(text),
            _ => self.line.runs.push(Run {
                x,
                text: text.to_owned(),
                weight: style.weight,
                is_struck: inline.is_struck,
                is_code: inline.is_code,
                link: inline.link.clone(),
            }),
        }
        self.line.width += style.width(text);
    }

    fn end_line(&mut self) {
        let mut line = std::mem::replace(&mut self.line, Line::EMPTY);
        if let Some(run) = line.runs.last_mut() {
            let kept = run.text.trim_end_matches(' ').len();
            let style = Style { weight: run.weight, ..self.style };
            line.width -= style.width(run.text.get(kept..).unwrap_or_default());
            run.text.truncate(kept);
        }
        self.lines.push(line);
    }
}

/// Every text of a piece, to find characters that the family lacks.
pub(super) fn texts(piece: &Piece) -> impl Iterator<Item = (&str, Weight)> {
    piece.shapes.iter().filter_map(|shape| match shape {
        Shape::Text { text, weight, .. } => Some((text.as_str(), *weight)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_within_their_width_and_lose_no_letter() {
        let style = Style::new(9.0, Weight::Regular);
        let text = "Antidisestablishmentarianism and a few words more, αβγ, щука, 12.5 kg";
        for width in [20.0, 60.0, 200.0] {
            let lines = lines(&[Inline::plain(text)], width, style);
            let joined: String =
                lines.iter().flat_map(|line| line.runs.iter().map(|run| run.text.replace(' ', ""))).collect();
            assert_eq!(joined, text.replace(' ', ""));
            for line in &lines {
                let width_of_line: f64 = line.runs.iter().map(|run| style.width(&run.text)).sum();
                assert!(width_of_line <= width + 0.02, "{width_of_line} in {width}");
            }
        }
    }
}
