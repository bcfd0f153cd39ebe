//! Findings as text for a terminal: what is wrong, where, and what to do.
//!
//! Written for somebody who is cold and in a hurry. What is wrong comes first, in words. Each place has one line:
//! where it is, as editors understand it, and the notebook's line with the part that is meant between two marks, so
//! that no columns need counting. Then what to do, and last the name of the rule.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::finding::{Finding, Severity};
use crate::render::terminal::{harmless, one_line};
use crate::source::{Sources, Span};
use crate::speech::Tongue;

/// How findings are laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Only a second sign: nothing is shown by colour alone.
    pub colour: bool,
    /// The most columns of a line.
    pub width: usize,
}

impl Default for Look {
    fn default() -> Self {
        Self { colour: false, width: 80 }
    }
}

/// More other places than this are a list, and are not shown one by one.
const MOST_PLACES: usize = 4;

/// The marks around the part of a notebook's line that is meant.
const MARKS: (&str, &str) = ("▸", "◂");
const LEFT_OUT: char = '…';
/// The least columns for the notebook's line; with fewer beside its place, it goes below.
const LEAST: usize = 36;
/// The least width of the layout, in columns.
const NARROWEST: usize = 40;

/// Each finding with its lines and what to do, in the order given.
pub fn text(findings: &[Finding], sources: &Sources, look: Look) -> String {
    text_in(&Tongue::ENGLISH, findings, sources, look)
}

/// The same in a language.
pub fn text_in(tongue: &Tongue, findings: &[Finding], sources: &Sources, look: Look) -> String {
    let look = Look { width: look.width.max(NARROWEST), ..look };
    let mut page = Page { out: String::new(), look, tongue };
    for (at, finding) in findings.iter().enumerate() {
        if at > 0 {
            page.out.push('\n');
        }
        page.finding(finding, sources);
    }
    page.out
}

/// A line for each: place, severity, headline and the rule's name.
pub fn brief(findings: &[Finding], sources: &Sources) -> String {
    brief_in(&Tongue::ENGLISH, findings, sources)
}

/// The same in a language.
pub fn brief_in(tongue: &Tongue, findings: &[Finding], sources: &Sources) -> String {
    let line = |finding: &Finding| {
        let (place, word) = (place(finding.span, sources), finding.severity.word());
        format!("{place}: {word}: {} ({})\n", one_line(&tongue.say(&finding.headline)), finding.code.name)
    };
    findings.iter().map(line).collect()
}

fn place(span: Span, sources: &Sources) -> String {
    let at = sources.start(span);
    format!("{}:{}:{}", one_line(sources.path(span.file)), at.line, at.column)
}

struct Page<'t> {
    out: String,
    look: Look,
    tongue: &'t Tongue,
}

impl Page<'_> {
    fn finding(&mut self, finding: &Finding, sources: &Sources) {
        let colour = match finding.severity {
            Severity::Error => "1;31",
            Severity::Warning => "1;33",
            Severity::Note => "1;36",
        };
        let sign = self.painted(colour, finding.severity.sign());
        self.paragraph(&sign, "  ", &one_line(&self.tongue.say(&finding.headline)), None);
        // A long list of places is for programs: the headline says how many there are.
        let is_list = finding.labels.len() > MOST_PLACES;
        let shown = if is_list { &[] } else { finding.labels.as_slice() };
        let others = shown.iter().map(|label| (label.span, self.tongue.say(&label.text)));
        let own = (finding.span, self.tongue.say(&finding.label));
        let places: Vec<(Span, String)> = std::iter::once(own).chain(others).collect();
        let widest = places.iter().map(|(span, _)| place(*span, sources).width()).max().unwrap_or(0);
        for (span, label) in places {
            self.place(span, &label, widest, sources);
        }
        let arrow = self.painted("1", "→");
        let sign = format!("  {arrow}");
        for (left, remedy) in (0..finding.remedies.len()).rev().zip(&finding.remedies) {
            let name = (left == 0).then_some(finding.code.name);
            self.paragraph(&sign, "    ", &one_line(&self.tongue.say(&remedy.text)), name);
        }
        if finding.remedies.is_empty() {
            self.paragraph("   ", "    ", "", Some(finding.code.name));
        }
    }

    /// Words behind a sign, with further lines indented and a name at the far end of the last.
    fn paragraph(&mut self, sign: &str, indent: &str, words: &str, name: Option<&str>) {
        let mut lines = lines(words, self.look.width - indent.len());
        if lines.is_empty() {
            lines.push(String::new());
        }
        let last = indent.len() + lines.last().map_or(0, |line| line.width());
        for (at, line) in lines.iter().enumerate() {
            self.out.push_str(if at == 0 { sign } else { indent });
            if at == 0 {
                self.out.push(' ');
            }
            self.out.push_str(line);
            if at + 1 < lines.len() {
                self.out.push('\n');
            }
        }
        if let Some(name) = name {
            let mut room = self.look.width.saturating_sub(last);
            if room < name.len() + 2 && last > indent.len() {
                self.out.push('\n');
                room = self.look.width;
            }
            self.out.push_str(&" ".repeat(room.saturating_sub(name.len())));
            let name = self.painted("2", name);
            self.out.push_str(&name);
        }
        self.out.push('\n');
    }

    /// A place, the notebook's line there, and its label.
    fn place(&mut self, span: Span, label: &str, widest: usize, sources: &Sources) {
        let place = place(span, sources);
        let (beside, below) = (self.look.width.saturating_sub(widest + 4), self.look.width - 4);
        let is_below = beside < LEAST.min(below);
        let room = if is_below { below } else { beside };
        let mut line = marked(span, sources, room);
        // What the marks already show is not repeated.
        let is_shown = line.as_ref().is_some_and(|line| line.meant.contains(label));
        let label = if is_shown { "".into() } else { one_line(label) };
        let remark = label.width() + 4;
        let is_too_wide = line.as_ref().map_or(0, Marked::width) + remark > room;
        // A long remark is neither cut nor in the way of what it is about.
        let is_apart = is_too_wide && remark + LEAST / 2 > room;
        if !label.is_empty() && is_too_wide && !is_apart {
            line = marked(span, sources, room - remark);
        }
        self.out.push_str("  ");
        self.out.push_str(&place);
        if let Some(Marked { before, meant, behind }) = &line {
            let gap = if is_below { "\n    ".to_owned() } else { " ".repeat(widest - place.width() + 2) };
            // A place between two letters has one mark.
            let end = if meant.is_empty() { "" } else { MARKS.1 };
            let meant = self.painted("1;4", meant);
            self.out.extend([gap.as_str(), before, MARKS.0, &meant, end, behind]);
        }
        if !label.is_empty() {
            match is_apart {
                true => {
                    let words = lines(&label, self.look.width.saturating_sub(6));
                    self.out.push_str("\n    — ");
                    self.out.push_str(&words.join("\n      "));
                }
                false => self.out.extend(["  — ", &*label]),
            }
        }
        self.out.push('\n');
    }

    fn painted(&self, code: &str, text: &str) -> String {
        if self.look.colour && !text.is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}

/// A notebook's line in three parts.
struct Marked {
    before: String,
    /// What the finding is about.
    meant: String,
    behind: String,
}

impl Marked {
    fn width(&self) -> usize {
        let parts = [&self.before, &self.meant, &self.behind];
        parts.map(|part| part.width()).iter().sum::<usize>() + MARKS.0.width() + MARKS.1.width()
    }
}

/// The line on which a span begins, cut around the span to some columns with its marks; `None` where the line has
/// nothing to show.
fn marked(span: Span, sources: &Sources, columns: usize) -> Option<Marked> {
    let number = sources.start(span).line;
    let line = sources.line(span.file, number)?;
    let goes_on = sources.position(span.file, span.end.saturating_sub(1)).line > number;
    let start = span.start.clamp(line.start, line.end);
    let end = span.end.clamp(start, line.end);
    let part = |start, end| sources.text(Span { file: span.file, start, end });
    let (before, meant, behind) = (part(line.start, start), part(start, end), part(end, line.end));
    // A line may be as long as a file, and every finding on it asks for it: read no more of it than can be shown.
    let most = columns * char::MAX_LEN_UTF8;
    let before = if before.len() > most { before } else { before.trim_start() };
    let behind = behind.get(..behind.floor_char_boundary(most)).unwrap_or(behind).trim_end();

    let room = columns.saturating_sub(MARKS.0.width() + MARKS.1.width());
    let meant = fitted(meant.chars(), room, goes_on);
    let room = room.saturating_sub(width(&meant));
    // What comes before matters more: the key is there.
    let wanted = width(&fitted(behind.chars(), room, false));
    let before = fitted(before.chars().rev(), room - wanted.min(room / 2), false);
    let behind = fitted(behind.chars(), room.saturating_sub(width(&before)), false);
    let is_empty = before.is_empty() && meant.is_empty() && behind.is_empty();
    (!is_empty).then(|| Marked {
        before: before.into_iter().rev().collect(),
        meant: meant.into_iter().collect(),
        behind: behind.into_iter().collect(),
    })
}

/// As many letters as fit some columns, with a sign where there are more.
fn fitted(letters: impl Iterator<Item = char>, columns: usize, goes_on: bool) -> Vec<char> {
    let mut taken = Vec::new();
    let mut is_cut = goes_on;
    for letter in letters.map(harmless) {
        taken.push(letter);
        // Accents take no column, and there may be a thousand of them.
        if width(&taken) > columns || taken.len() > 2 * columns {
            is_cut = true;
            break;
        }
    }
    if is_cut {
        while !taken.is_empty() && (width(&taken) >= columns || taken.len() > 2 * columns) {
            taken.pop();
        }
        taken.extend((columns > 0).then_some(LEFT_OUT));
    }
    taken
}

fn width(letters: &[char]) -> usize {
    letters.iter().map(|letter| letter.width().unwrap_or(1)).sum()
}

/// Words in lines of some columns. Text between backticks is broken only where it must be, since it is for copying. A
/// number keeps its unit.
fn lines(words: &str, columns: usize) -> Vec<String> {
    let mut is_code = false;
    let pieces = words.split(|letter: char| {
        is_code ^= letter == '`';
        letter == ' ' && !is_code
    });
    let pieces = pieces
        .flat_map(|piece| if piece.width() > columns { piece.split(' ').collect() } else { vec![piece] });
    let mut joined: Vec<String> = Vec::new();
    for piece in pieces {
        match joined.last_mut() {
            Some(number) if is_unit_of(number, piece) => {
                number.push(' ');
                number.push_str(piece);
            }
            _ => joined.push(piece.to_owned()),
        }
    }
    let mut lines: Vec<String> = Vec::new();
    let mut last = 0;
    for piece in joined {
        let width = piece.width();
        match lines.last_mut() {
            Some(line) if last + 1 + width <= columns => {
                line.push(' ');
                line.push_str(&piece);
                last += 1 + width;
            }
            _ => {
                lines.push(piece);
                last = width;
            }
        }
    }
    lines
}

/// Whether a word is most likely the unit of the number before it.
fn is_unit_of(number: &str, word: &str) -> bool {
    const LONGEST_UNIT: usize = 6;
    number.ends_with(|letter: char| letter.is_ascii_digit())
        && !number.contains(' ')
        && word.starts_with(|letter: char| letter.is_alphabetic() || matches!(letter, '°' | '%'))
        && word.len() <= LONGEST_UNIT
}
